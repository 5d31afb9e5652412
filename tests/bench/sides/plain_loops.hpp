// The measured formulas as plain loops, one a column. The same text is compiled twice.
#pragma once

#include <algorithm>
#include <cmath>
#include <cstddef>

#include "tests/bench/sides/big_book.hpp"

namespace loftledger::bench {

// Compiled like the rest of the program.
void plain_loops(ByHand::Columns& columns, double factor);

// Compiled for this very processor, with the compiler's whole effort.
void plain_loops_at_best(ByHand::Columns& columns, double factor);

// What both are made of.
[[gnu::always_inline]] inline void plain_loops_here(ByHand::Columns& columns, double factor) {
  auto& [a, b, c, d, e, f, g, h, i] = columns;
  const std::size_t rows = a.size();
  for (std::size_t r = 0; r < rows; ++r) b[r] = a[r] * factor + 1;
  for (std::size_t r = 0; r < rows; ++r) c[r] = b[r] > 500 ? b[r] - 500 : b[r];
  for (std::size_t r = 0; r < rows; ++r) d[r] = std::floor(c[r] / 3 * 100 + 0.5) / 100;
  for (std::size_t r = 0; r < rows; ++r) e[r] = std::max(c[r], d[r]);
  for (std::size_t r = 0; r < rows; ++r) f[r] = b[r] + c[r] + d[r];
  for (std::size_t r = 0; r < rows; ++r) g[r] = f[r] - e[r] * 0.5;
  for (std::size_t r = 0; r < rows; ++r) h[r] = g[r] < 0 ? 0 : g[r] / 2;
  for (std::size_t r = 0; r < rows; ++r) i[r] = h[r] + b[r];
}

}  // namespace loftledger::bench
