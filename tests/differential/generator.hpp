// Random formulas that depend on a seed and the tables alone.
#pragma once

#include <cstdint>
#include <random>

#include "tests/differential/material.hpp"
#include "tests/differential/term.hpp"

namespace loftledger::differential {

// Single cells and runs stand in these rows, as data do on other sheets.
inline constexpr std::int32_t kSampleRows = 24;
inline constexpr std::int32_t kRunRows = 3;

// A formula and how it stands in a sheet: over a span as a matrix formula, or in that many cells
// down a column, its relative references moving along.
struct Sample {
  std::uint64_t seed = 0;
  TermPointer term;
  std::size_t variant = 0;  // how texts match
  std::int32_t row = 0;     // where it stands, as ranges meet it
  bool matrix = false;
  std::int32_t rows = 1;
  std::int32_t columns = 1;
};

class Generator {
 public:
  Generator(const Material& material, std::uint64_t seed) : material_(material), random_(seed) {}

  // The function that the formula begins with, by its place in the material.
  TermPointer formula(std::size_t function);
  bool chance(std::size_t one_in) { return pick(one_in) == 0; }
  std::int32_t up_to(std::size_t most) { return static_cast<std::int32_t>(1 + pick(most)); }

 private:
  std::size_t pick(std::size_t choices) {
    return static_cast<std::size_t>(random_() % std::max<std::size_t>(choices, 1));
  }
  template <class T>
  const T& one_of(const std::vector<T>& all) {
    return all[pick(all.size())];
  }

  TermPointer expression(int depth);
  TermPointer call(const Drawn& function, int depth);
  TermPointer argument(const Drawn& function, std::size_t index, int depth);
  TermPointer operation(int depth);
  TermPointer leaf();
  TermPointer number();
  TermPointer array();
  TermPointer reference();
  TermPointer area(std::int32_t most_rows, std::int32_t most_columns);
  TermPointer changed(const TermPointer& term);

  const Material& material_;
  std::mt19937_64 random_;
};

// The sample of that number: seeds count up from the run's, and functions take turns. What is not
// settled (settled.hpp) is drawn again.
Sample sample(const Material& material, std::uint64_t seed);

}  // namespace loftledger::differential
