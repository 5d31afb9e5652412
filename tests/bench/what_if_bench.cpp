// What-if runs of the example shop's plan: one input set and everything that depends on it worked
// out, again and again; in the engine, and in real Calc with the extension.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <limits>
#include <vector>

#include "engine/calc/calculator.hpp"
#include "engine/calc/program/program.hpp"
#include "engine/ods/document.hpp"
#include "engine/planning/catalogue.hpp"
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

CellAddress cell_of(const sheet::Workbook& workbook, const char* name) {
  const sheet::NamedExpression* found = workbook.find_name(name, -1);
  if (found == nullptr) return {};
  // "[$Inputs.$B$9]"
  std::string text = found->expression;
  std::erase_if(text, [](char c) { return c == '$' || c == '[' || c == ']'; });
  const std::size_t dot = text.find('.');
  CellAddress out = parse_cell(text.substr(dot + 1)).value_or(CellAddress{});
  out.sheet = workbook.find_sheet(text.substr(0, dot)).value_or(0);
  return out;
}

// A little around the value that the plan has.
double tried(double value, int run) { return value * (1 + 0.0001 * (run % 1000)); }

bool measure(CalcSide& office, sheet::Workbook& workbook, const char* name) {
  calc::Calculator calculator(workbook, planning::catalogue(), {});
  calculator.recalculate();
  const CellAddress input = cell_of(workbook, name);
  const CellAddress result = cell_of(workbook, kResult);
  const double value = workbook.get(input).number();
  double sum = 0;
  const double ours = best_of(3, [&] {
    sum = 0;
    for (int run = 0; run < kRuns; ++run) {
      calculator.set(input, tried(value, run));
      calculator.update();
      sum += workbook.get(result).number();
    }
  });
  const std::int64_t cells = calculator.calculated();

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
    calculator.set(input, tried(value, run));
    calculator.update();
    our_sum += workbook.get(result).number();
  }
  office.change(input.row, input.column, value);
  calculator.set(input, value);
  fmt::print(
      "{}: {} cells depend on it; {:.2f} µs a run, Calc {:.1f} µs (and {:.0f} µs a call "
      "through the pipe, left out)\n",
      name, cells, ours / kRuns * 1e6, theirs / kOfficeRuns * 1e6, call * 1e6);
  print_ratio("10,000 what-if runs", "Calc, one at a time", theirs / kOfficeRuns * kRuns, "engine",
              ours, "500");
  if (std::fabs(office_sum - our_sum) <= 1e-9 * std::fabs(our_sum)) return true;
  fmt::print(stderr, "{}: {} beside {}\n", name, our_sum, office_sum);
  return false;
}

int run() {
  Result<ods::Document> document = ods::Document::open(kBook);
  if (!document) {
    fmt::print(stderr, "{}\n", document.error().text());
    return 1;
  }
  // A copy: the office refuses a file that somebody has open.
  const support::TemporaryFolder folder;
  const std::filesystem::path copy = folder.path() / "plan.fods";
  std::filesystem::copy_file(kBook, copy);
  CalcSide office(LOFTLEDGER_PACKAGE);
  office.open(copy);
  bool same = true;
  for (const char* name : kInputs) same = measure(office, document->workbook(), name) && same;
  if (!office.problem().empty()) fmt::print(stderr, "Calc: {}\n", office.problem());
  return same && office.problem().empty() ? 0 : 1;
}

}  // namespace
}  // namespace loftledger::bench

int main() { return loftledger::bench::run(); }
