// What a call of the add-in costs in Calc: loading and calculating a sheet of planning functions,
// beside the same sheet with native formulas of the same arithmetic. Both as .ods, as Calc itself
// writes it.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <limits>
#include <string>

#include "tests/bench/calc/calc_side.hpp"
#include "tests/bench/sides/big_book.hpp"
#include "tests/support/system/files.hpp"

namespace loftledger::bench {
namespace {

constexpr std::int32_t kRows = 100000;
constexpr int kTimes = 5;
constexpr std::int32_t kResultColumn = 3;

struct Case {
  const char* name;
  const char* native;  // % stands for the row's number
  const char* planning;
};

constexpr Case kCases[] = {
    {"BODIESPERCASE", "[.A%]*(1-[.C%])/[.B%]",
     "LOFTLEDGER.PLANNING.BODIESPERCASE([.A%];[.B%];[.C%])"},
    {"COSTPERBODY", "([.A%]+[.C%])/[.B%]", "LOFTLEDGER.PLANNING.COSTPERBODY([.A%];[.B%];[.C%])"},
    {"MARGINPERBODY", "[.A%]-[.B%]-[.A%]*[.C%]",
     "LOFTLEDGER.PLANNING.MARGINPERBODY([.A%];[.B%];[.C%])"},
};

void write_flat(const std::filesystem::path& file, const char* formula) {
  FlatWriter out(file);
  for (std::int32_t row = 0; row < kRows; ++row) {
    out.begin_row();
    out.number(9000 + row % 100);
    out.number(50 + row % 37);
    out.number(0.01 * (row % 7));
    out.formula(numbered(formula, row));
    out.end_row();
  }
}

std::filesystem::path written(CalcSide& office, const support::TemporaryFolder& folder,
                              const std::string& name, const char* formula) {
  const std::filesystem::path flat = folder.path() / (name + ".fods");
  write_flat(flat, formula);
  std::filesystem::path out = folder.path() / (name + ".ods");
  office.open(flat);
  office.save_as_ods(out);
  return out;
}

// Of two tables, A after B and B after A, so that what else the machine does meets both.
bool measure(CalcSide& office, const support::TemporaryFolder& folder, const Case& each) {
  const auto native = written(office, folder, std::string(each.name) + "-native", each.native);
  const auto planning =
      written(office, folder, std::string(each.name) + "-planning", each.planning);
  double native_time = std::numeric_limits<double>::infinity();
  double planning_time = native_time;
  double native_calculation = native_time;
  double planning_calculation = native_time;
  double native_last = 0;
  double planning_last = 1;
  for (int i = 0; i < kTimes; ++i) {
    native_time = std::min(native_time, office.open(native));
    native_last = office.number(kRows - 1, kResultColumn);
    native_calculation = std::min(native_calculation, office.calculate_all());
    planning_time = std::min(planning_time, office.open(planning));
    planning_last = office.number(kRows - 1, kResultColumn);
    planning_calculation = std::min(planning_calculation, office.calculate_all());
  }
  fmt::print(
      "{}: {} cells loaded and calculated: native {:.0f} ms, planning {:.0f} ms, ratio {:.3f} "
      "(at most 1.2)\n  calculateAll alone: native {:.1f} ms, planning {:.1f} ms: {:.2f} µs a "
      "call more\n",
      each.name, kRows, native_time * 1e3, planning_time * 1e3, planning_time / native_time,
      native_calculation * 1e3, planning_calculation * 1e3,
      (planning_calculation - native_calculation) / kRows * 1e6);
  std::fflush(stdout);
  if (std::fabs(native_last - planning_last) > 1e-12 * std::fabs(native_last)) {
    fmt::print(stderr, "{}: {} beside {}\n", each.name, native_last, planning_last);
    return false;
  }
  return true;
}

int run() {
  const support::TemporaryFolder folder;
  CalcSide office(LOFTLEDGER_PACKAGE);
  bool same = true;
  for (const Case& each : kCases) same = measure(office, folder, each) && same;
  if (!office.problem().empty()) fmt::print(stderr, "Calc: {}\n", office.problem());
  return same && office.problem().empty() ? 0 : 1;
}

}  // namespace
}  // namespace loftledger::bench

int main() { return loftledger::bench::run(); }
