// SUBTOTAL and AGGREGATE: other functions, over the cells that are left when hidden rows, errors or
// other totals are passed over (OpenFormula 6.16.60).
#include <algorithm>
#include <array>
#include <memory>
#include <string_view>
#include <utility>
#include <vector>

#include "engine/standard/call/forwarded_cells.hpp"
#include "engine/standard/maths/functions.hpp"
#include "engine/standard/values/arithmetic.hpp"

namespace loftledger::standard {

namespace {

struct Passing {
  bool filtered = false;  // rows that a filter hides
  bool hidden = false;    // all hidden rows
  bool totals = false;    // cells whose formulas are totals themselves
  bool errors = false;
};

// The document without the cells that are passed over: they are empty here.
class VisibleCells final : public ForwardedCells {
 public:
  VisibleCells(Cells& all, Passing passing) : ForwardedCells(all), passing_(passing) {}

  Value at(CellAddress address) override {
    Value value = all().at(address);
    return passed_over(address) || passed_over(value) ? Value() : value;
  }

  void each(const Area& area, FunctionRef<bool(CellAddress, std::span<const double>)> numbers,
            FunctionRef<bool(CellAddress, const Value&)> others) override {
    all().each(
        area,
        [&](CellAddress first, std::span<const double> block) {
          return visible_runs(first, block, numbers);
        },
        [&](CellAddress address, const Value& value) {
          return passed_over(value) || passed_over(address) || others(address, value);
        });
  }

  bool passed_over(const Value& value) const { return passing_.errors && value.is_error(); }

 private:
  bool passed_over(CellAddress a) const {
    return (passing_.hidden && all().hidden(a.sheet, a.row, false)) ||
           (passing_.filtered && all().hidden(a.sheet, a.row, true)) ||
           (passing_.totals && all().is_total(a));
  }

  bool visible_runs(CellAddress first, std::span<const double> block,
                    FunctionRef<bool(CellAddress, std::span<const double>)> numbers) {
    for (std::size_t begin = 0; begin < block.size();) {
      CellAddress start = first;
      start.row += static_cast<std::int32_t>(begin);
      if (passed_over(start)) {
        ++begin;
        continue;
      }
      std::size_t end = begin + 1;
      for (CellAddress next = start; end < block.size(); ++end) {
        ++next.row;
        if (passed_over(next)) break;
      }
      if (!numbers(start, block.subspan(begin, end - begin))) return false;
      begin = end;
    }
    return true;
  }

  Passing passing_;
};

constexpr std::array<std::string_view, 19> kTotals = {
    "AVERAGE",
    "COUNT",
    "COUNTA",
    "MAX",
    "MIN",
    "PRODUCT",
    "STDEV",
    "STDEVP",
    "SUM",
    "VAR",
    "VARP",
    "MEDIAN",
    "COM.MICROSOFT.MODE.SNGL",
    "LARGE",
    "SMALL",
    "COM.MICROSOFT.PERCENTILE.INC",
    "COM.MICROSOFT.QUARTILE.INC",
    "COM.MICROSOFT.PERCENTILE.EXC",
    "COM.MICROSOFT.QUARTILE.EXC",
};
constexpr double kSubtotals = 11;  // the first of them are those of SUBTOTAL

bool sums_up(double number) {
  constexpr double kThese[] = {1, 2, 3, 6, 9};
  return std::ranges::count(kThese, number) > 0;
}

// The total with that number over the arguments from `first` on.
Operand total(Call& call, double number, std::size_t first, Passing passing) {
  VisibleCells visible(call.cells(), passing);
  std::vector<Operand> arguments;
  for (std::size_t i = first; i < call.count(); ++i) {
    // An error that is no cell's is passed over by the plain totals only.
    const bool passed = visible.passed_over(call[i].value) && sums_up(number);
    arguments.push_back(passed ? Operand(Value()) : call[i]);
    if (call[i].kind != Operand::Kind::matrix || !passing.errors) continue;
    Matrix matrix = *call[i].matrix;
    for (Value& value : matrix.cells()) {
      if (visible.passed_over(value)) value = Value();
    }
    arguments.back() = std::move(matrix);
  }
  const StandardFunction* function =
      call.cells().function(kTotals[static_cast<std::size_t>(number) - 1]);
  if (function == nullptr) return Code::internal;
  if (arguments.size() < static_cast<std::size_t>(function->least)) return Code::missing_argument;
  if (function->most >= 0 && arguments.size() > static_cast<std::size_t>(function->most)) {
    return Code::parameters;
  }
  Call inner(*function, arguments, visible, call.here(), call.array_mode());
  return function->body(inner);
}

Operand subtotal(Call& call) {
  double number = floor_as_seen(call.number(0));
  if (call.failed()) return call.failure();
  constexpr double kVisible = 100;  // added to the number: hidden rows do not count
  const bool hidden = number > kVisible;
  if (hidden) number -= kVisible;
  if (number < 1 || number > kSubtotals) {
    return Error(Code::argument,
                 "SUBTOTAL: the number of the function must be from 1 to 11, or "
                 "from 101 to 111",
                 0);
  }
  return total(call, number, 1, {.filtered = true, .hidden = hidden, .totals = true});
}

Operand aggregate(Call& call) {
  const double number = floor_as_seen(call.number(0));
  const double option = floor_as_seen(call.number(1));
  if (call.failed()) return Error(Code::argument, "AGGREGATE: an option is no number");
  if (number < 1 || number > static_cast<double>(kTotals.size())) {
    return Error(Code::argument, "AGGREGATE: the number of the function must be from 1 to 19", 0);
  }
  constexpr double kOptions = 7;
  if (option < 0 || option > kOptions) {
    return Error(Code::argument, "AGGREGATE: the option must be from 0 to 7", 1);
  }
  const auto bits = static_cast<unsigned>(option);
  return total(call, number, 2,
               {.hidden = (bits & 1U) != 0, .totals = bits < 4, .errors = (bits & 2U) != 0});
}

constexpr StandardFunction kFunctions[] = {
    with_role(Role::total, {"SUBTOTAL", subtotal, 2, -1, "vr", Group::medium}),
    with_role(Role::total, meeting_errors({"COM.MICROSOFT.AGGREGATE", aggregate, 3, -1, "eea"})),
};

}  // namespace

StandardFunctions total_functions() { return kFunctions; }

}  // namespace loftledger::standard
