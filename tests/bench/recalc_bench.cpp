// Recalculation of 100,000 rows by 8 columns against the same loops written by hand, in one run.
#include <benchmark/benchmark.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "engine/calc/calculator.hpp"

namespace loftledger {
namespace {

constexpr std::int32_t kColumns = 8;

// Column A holds numbers, J1 one cell that all rows depend on; B to I the formulas.
const char* const kFormulas[kColumns] = {
    "[.A%]*[.$J$1]+1",       "IF([.B%]>500;[.B%]-500;[.B%])",
    "ROUND([.C%]/3;2)",      "MAX([.C%];[.D%])",
    "SUM([.B%:.D%])",        "[.F%]-[.E%]*0.5",
    "IF([.G%]<0;0;[.G%]/2)", "[.H%]+[.B%]",
};

void fill(sheet::Workbook& workbook, std::int32_t rows) {
  workbook.add_sheet("S");
  sheet::Sheet& sheet = workbook.sheet(0);
  sheet.set(0, 9, 1.5);
  for (std::int32_t row = 0; row < rows; ++row) {
    sheet.set(row, 0, std::fmod(row * 0.37, 1000));
    for (std::int32_t c = 0; c < kColumns; ++c) {
      std::string text;
      for (const char* at = kFormulas[c]; *at != 0; ++at) {
        text += *at == '%' ? std::to_string(row + 1) : std::string(1, *at);
      }
      sheet.set_formula(row, c + 1, workbook.intern(text, {0, row, c + 1}));
    }
  }
}

void BM_Recalculate(benchmark::State& state) {
  const auto rows = static_cast<std::int32_t>(state.range(0)) / kColumns;
  sheet::Workbook workbook;
  fill(workbook, rows);
  calc::Calculator calculator(workbook, {});
  for (auto _ : state) calculator.recalculate();
  state.SetItemsProcessed(state.iterations() * rows * kColumns);
  state.SetComplexityN(state.range(0));
}
BENCHMARK(BM_Recalculate)
    ->Arg(1000)
    ->Arg(10000)
    ->Arg(100000)
    ->Arg(800000)
    ->Arg(1000000)
    ->Unit(benchmark::kMillisecond)
    ->Complexity(benchmark::oN);

void BM_ChangeOneCell(benchmark::State& state) {
  sheet::Workbook workbook;
  fill(workbook, 100000);
  calc::Calculator calculator(workbook, {});
  calculator.recalculate();
  double value = 1;
  for (auto _ : state) {
    calculator.set({0, 0, 9}, value += 0.001);
    calculator.update();
  }
}
BENCHMARK(BM_ChangeOneCell)->Unit(benchmark::kMillisecond);

void BM_ByHand(benchmark::State& state) {
  constexpr std::size_t kRows = 100000;
  std::vector<double> a(kRows), b(kRows), c(kRows), d(kRows), e(kRows), f(kRows), g(kRows),
      h(kRows), i(kRows);
  for (std::size_t r = 0; r < kRows; ++r) a[r] = std::fmod(static_cast<double>(r) * 0.37, 1000);
  double factor = 1.5;
  for (auto _ : state) {
    benchmark::DoNotOptimize(factor);
    for (std::size_t r = 0; r < kRows; ++r) b[r] = a[r] * factor + 1;
    for (std::size_t r = 0; r < kRows; ++r) c[r] = b[r] > 500 ? b[r] - 500 : b[r];
    for (std::size_t r = 0; r < kRows; ++r) d[r] = std::floor(c[r] / 3 * 100 + 0.5) / 100;
    for (std::size_t r = 0; r < kRows; ++r) e[r] = std::max(c[r], d[r]);
    for (std::size_t r = 0; r < kRows; ++r) f[r] = b[r] + c[r] + d[r];
    for (std::size_t r = 0; r < kRows; ++r) g[r] = f[r] - e[r] * 0.5;
    for (std::size_t r = 0; r < kRows; ++r) h[r] = g[r] < 0 ? 0 : g[r] / 2;
    for (std::size_t r = 0; r < kRows; ++r) i[r] = h[r] + b[r];
    benchmark::DoNotOptimize(i.data());
    benchmark::ClobberMemory();
  }
  state.SetItemsProcessed(state.iterations() * static_cast<std::int64_t>(kRows) * kColumns);
}
BENCHMARK(BM_ByHand)->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace loftledger
