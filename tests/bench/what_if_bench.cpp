// What-if runs of the example shop's plan: one input set and everything that depends on it worked
// out, again and again; in the engine, and in real Calc with the extension.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <limits>
#include <vector>

#include "engine/engine.hpp"
#include "tests/bench/calc/calc_side.hpp"
#include "tests/bench/sides/ratio.hpp"
#include "tests/support/system/files.hpp"

namespace loftledger::bench {
namespace {

constexpr int kRuns = 10000;
constexpr int kOfficeRuns = 500;
constexpr const char* kBook = LOFTLEDGER_SOURCE "/tests/data/books/small-plan.fods";
constexpr const char* kInputs[] = {"case_price_a", "wage", "loss_a"};
constexpr const char* kResult = "margin_a_opened_medium";

// A little around the value that the plan has.
double tried(double value, int run) { return value * (1 + 0.0001 * (run % 1000)); }

bool measure(CalcSide& office, Book& book, const char* name) {
  book.recalculate();
  const Result<CellAddress> found_input = book.find(name);
  const Result<CellAddress> found_result = book.find(kResult);
  if (!found_input || !found_result) {
    fmt::print(stderr, "{} or {} is no cell of the plan\n", name, kResult);
    return false;
  }
  const CellAddress input = *found_input;
  const CellAddress result = *found_result;
  const double value = book.cell(input).number();
  bool refused = false;
  const auto try_value = [&](int run) {
    refused = !book.set(input, tried(value, run)) || refused;
    book.update();
    return book.cell(result).number();
  };
  double sum = 0;
  const double ours = best_of(3, [&] {
    sum = 0;
    for (int run = 0; run < kRuns; ++run) sum += try_value(run);
  });
  const std::int64_t cells = book.calculated();

  // The way there and back through the pipe is no part of Calc's work: two calls less.
  office.choose_sheet(input.sheet);
  double call = std::numeric_limits<double>::infinity();
  for (int i = 0; i < kOfficeRuns; ++i) call = std::min(call, office.call());
  double theirs = 0;
  double office_sum = 0;
  double our_sum = 0;
  std::vector<double> results;
  for (int run = 0; run < kOfficeRuns; ++run) {
    theirs += std::max(0.0, office.change(input.row, input.column, tried(value, run)) - 2 * call);
    office.choose_sheet(result.sheet);
    office_sum += office.number(result.row, result.column);
    office.choose_sheet(input.sheet);
    our_sum += try_value(run);
  }
  office.change(input.row, input.column, value);
  refused = !book.set(input, value) || refused;
  fmt::print(
      "{}: {} cells depend on it; {:.2f} µs a run, Calc {:.1f} µs (and {:.0f} µs a call "
      "through the pipe, left out)\n",
      name, cells, ours / kRuns * 1e6, theirs / kOfficeRuns * 1e6, call * 1e6);
  print_ratio("10,000 what-if runs", "Calc, one at a time", theirs / kOfficeRuns * kRuns, "engine",
              ours, "500");
  const bool same = std::fabs(office_sum - our_sum) <= 1e-9 * std::fabs(our_sum);
  if (same && !refused) return true;
  fmt::print(stderr, "{}: {} beside {}\n", name, our_sum, office_sum);
  return false;
}

int run() {
  Result<Book> book = Book::open(kBook, {});
  if (!book) {
    fmt::print(stderr, "{}\n", book.error().text());
    return 1;
  }
  // A copy: the office refuses a file that somebody has open.
  const support::TemporaryFolder folder;
  const std::filesystem::path copy = folder.path() / "plan.fods";
  std::filesystem::copy_file(kBook, copy);
  CalcSide office(LOFTLEDGER_PACKAGE);
  office.open(copy);
  bool same = true;
  for (const char* name : kInputs) same = measure(office, *book, name) && same;
  if (!office.problem().empty()) fmt::print(stderr, "Calc: {}\n", office.problem());
  return same && office.problem().empty() ? 0 : 1;
}

}  // namespace
}  // namespace loftledger::bench

int main() { return loftledger::bench::run(); }
