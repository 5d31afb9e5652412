// Recalculation of 100,000 rows by 8 columns, and of what depends on one changed cell: against the
// same loops written by hand, and against real Calc with the same workbook, all in one run.
#include <fmt/format.h>

#include <cmath>
#include <cstdio>

#include "engine/calc/calculator.hpp"
#include "tests/bench/calc/calc_side.hpp"
#include "tests/bench/sides/big_book.hpp"
#include "tests/bench/sides/ratio.hpp"
#include "tests/support/system/files.hpp"

namespace loftledger::bench {
namespace {

constexpr std::int32_t kRows = 100000;
constexpr int kTimes = 40;
constexpr int kOfficeTimes = 5;

int failures = 0;

void expect_same(const char* what, std::int32_t row, std::int32_t column, double ours,
                 double theirs) {
  if (std::fabs(ours - theirs) <= 1e-12 * std::fabs(theirs)) return;
  fmt::print(stderr, "{}: row {} column {}: {} beside {}\n", what, row, column, ours, theirs);
  ++failures;
}

double result(const sheet::Workbook& workbook, std::int32_t row, std::int32_t column) {
  return workbook.get({0, row, column}).number();
}

// The results of every way are the same: nobody is fast by leaving something out.
void compare_by_hand(const sheet::Workbook& workbook, const char* what, const ByHand& by_hand) {
  for (std::int32_t row = 0; row < kRows; ++row) {
    for (std::int32_t c = 1; c <= kFormulaColumns; ++c) {
      expect_same(what, row, c, result(workbook, row, c),
                  by_hand.column(c)[static_cast<std::size_t>(row)]);
    }
  }
}

void compare_office(const sheet::Workbook& workbook, CalcSide& office) {
  constexpr std::int32_t kStep = 997;
  for (std::int32_t row = 0; row < kRows; row += kStep) {
    for (std::int32_t c = 1; c <= kFormulaColumns; ++c) {
      expect_same("Calc", row, c, result(workbook, row, c), office.number(row, c));
    }
  }
}

int run() {
  sheet::Workbook workbook;
  fill(workbook, kRows);
  calc::Calculator calculator(workbook, {});
  const double all = best_of(kTimes, [&] { calculator.recalculate(); });
  ByHand by_hand(kRows);
  const double plain = best_of(kTimes, [&] { by_hand.run(kFactor); });
  const double best = best_of(kTimes, [&] { by_hand.run_at_best(kFactor); });
  const double exact = best_of(kTimes, [&] { by_hand.run_exactly(kFactor); });
  compare_by_hand(workbook, "by hand, exactly", by_hand);
  const double again = best_of(kTimes, [&] { calculator.recalculate(); });
  const double ours = std::min(all, again);
  double factor = kFactor;
  const double change = best_of(kTimes, [&] {
    calculator.set({0, 0, kFactorColumn}, factor += 0.001);
    calculator.update();
  });

  print_ratio("recalculate 800,000 formula cells", "plain loops by hand", plain, "engine", ours,
              "at least 0.33");
  print_ratio("the same", "plain loops, for this very processor", best, "engine", ours,
              "at least 0.33");
  print_ratio("the same", "loops by hand that keep Calc's rules", exact, "engine", ours,
              "at least 0.33");

  const support::TemporaryFolder folder;
  const std::filesystem::path file = folder.path() / "big.fods";
  write_flat(file, kRows);
  CalcSide office;
  office.open(file);
  const double office_all = best_of(kOfficeTimes, [&] { office.calculate_all(); });
  double office_factor = kFactor;
  const double office_change =
      best_of(kOfficeTimes, [&] { office.change(0, kFactorColumn, office_factor += 0.001); });
  office.change(0, kFactorColumn, factor);
  compare_office(workbook, office);
  if (!office.problem().empty()) {
    fmt::print(stderr, "Calc: {}\n", office.problem());
    return 1;
  }
  print_ratio("recalculate 800,000 formula cells", "Calc, calculateAll", office_all, "engine", ours,
              "20");
  print_ratio("change one cell that 100,000 rows depend on", "Calc", office_change, "engine",
              change, "20");
  return failures == 0 ? 0 : 1;
}

}  // namespace
}  // namespace loftledger::bench

int main() { return loftledger::bench::run(); }
