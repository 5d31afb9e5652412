// Operators of the machine: on single values, on arrays element by element, and on references.
#include <algorithm>

#include "engine/calc/machine/machine.hpp"
#include "engine/calc/machine/which_error.hpp"
#include "engine/standard/values/arithmetic.hpp"

namespace loftledger::calc {

using formula::Operator;
using standard::Operand;

namespace {

// The rectangle from the first corner of one reference to the last of the other (the ':' operator).
Operand spanned(const Operand& a, const Operand& b) {
  if (a.is_error()) return a;
  if (b.is_error()) return b;
  if (a.kind != Operand::Kind::area || b.kind != Operand::Kind::area) return Code::argument;
  return Operand::range_of({std::min(a.area.first_sheet, b.area.first_sheet),
                            std::max(a.area.last_sheet, b.area.last_sheet),
                            std::min(a.area.first_row, b.area.first_row),
                            std::max(a.area.last_row, b.area.last_row),
                            std::min(a.area.first_column, b.area.first_column),
                            std::max(a.area.last_column, b.area.last_column)});
}

std::vector<Area> areas_of(const Operand& operand) {
  if (operand.kind == Operand::Kind::area) return {operand.area};
  return operand.areas ? *operand.areas : std::vector<Area>{};
}

Operand from_areas(std::vector<Area> areas) {
  if (areas.size() == 1) return areas[0];
  Operand out;
  out.kind = Operand::Kind::areas;
  out.areas = std::make_shared<const std::vector<Area>>(std::move(areas));
  return out;
}

Operand joined(const Operand& a, const Operand& b) {
  if (a.is_error()) return a;
  if (b.is_error()) return b;
  if (!a.is_reference() || !b.is_reference()) return Code::argument;
  std::vector<Area> all = areas_of(a);
  for (const Area& each : areas_of(b)) all.push_back(each);
  Operand out = from_areas(std::move(all));
  out.range = a.range || b.range;
  return out;
}

Operand intersected(const Operand& a, const Operand& b) {
  if (a.is_error()) return a;
  if (b.is_error()) return b;
  if (!a.is_reference() || !b.is_reference()) return Code::argument;
  std::vector<Area> common;
  for (const Area& x : areas_of(a)) {
    for (const Area& y : areas_of(b)) {
      const Area meet{
          std::max(x.first_sheet, y.first_sheet),   std::min(x.last_sheet, y.last_sheet),
          std::max(x.first_row, y.first_row),       std::min(x.last_row, y.last_row),
          std::max(x.first_column, y.first_column), std::min(x.last_column, y.last_column)};
      if (meet.sheets() > 0 && meet.rows() > 0 && meet.columns() > 0) common.push_back(meet);
    }
  }
  // The office shows #REF! for references that do not meet, not #NULL!.
  if (common.empty()) return Code::reference;
  return from_areas(std::move(common));
}

// Powers of arrays, where the office lets what is no number through as if it were one: to the power
// of 0 it is 1, and so is 1 to its power.
Value power_of_element(const Value& base, const Value& exponent, bool of_arrays,
                       const sheet::Settings& settings) {
  const Value a = standard::to_number(base, settings);
  const Value b = standard::to_number(exponent, settings);
  if (!a.is_error() && !b.is_error()) {
    return standard::apply(Operator::power, a, b, settings);
  }
  const bool a_text = a.is_error() && !base.is_error();
  const bool b_text = b.is_error() && !exponent.is_error();
  if (of_arrays && (a_text || b_text)) return Code::value;
  if ((a.is_numeric() && a.number() == 1) || (b.is_numeric() && b.number() == 0)) return 1.0;
  if (!of_arrays) return Code::number;
  return a.is_error() ? a : b;
}

}  // namespace

void Machine::unary(const Instruction& instruction) {
  // For the office a plus is not there: a reference stays one.
  if (instruction.step == Step::prefix && instruction.op == Operator::plus) return;
  Operand a = pop();
  if (!spreads(a, instruction.array)) {
    stack_.emplace_back(standard::apply(instruction.op, as_value(a), cells_.settings()));
    return;
  }
  Matrix m = as_matrix(a);
  for (Value& each : m.cells()) each = standard::apply(instruction.op, each, cells_.settings());
  stack_.emplace_back(std::move(m));
}

// Several ranges are no value, which the office answers in another way where a text is due.
Value Machine::as_operand(Operator op, const Operand& operand) {
  if (op != Operator::concatenate) return as_value(operand);
  return operand.kind == Operand::Kind::areas ? Value(Code::argument) : as_argument(operand);
}

void Machine::infix(const Instruction& instruction) {
  Operand b = pop();
  Operand a = pop();
  switch (instruction.op) {
    case Operator::range:
      stack_.push_back(spanned(a, b));
      return;
    case Operator::joined:
      stack_.push_back(joined(a, b));
      return;
    case Operator::intersection:
      stack_.push_back(intersected(a, b));
      return;
    default:
      break;
  }
  for (Operand* each : {&a, &b}) {
    if (instruction.array && each->kind == Operand::Kind::areas) *each = Code::value;
  }
  if (!spreads(a, instruction.array) && !spreads(b, instruction.array)) {
    const Value x = as_operand(instruction.op, a);
    const Value y = as_operand(instruction.op, b);
    Value result = standard::apply(instruction.op, x, y, cells_.settings());
    if (result.is_error()) {
      result = error_of_operands(instruction.op, {a, x}, {b, y}, here_, cells_.settings(),
                                 std::move(result));
    }
    stack_.emplace_back(std::move(result));
    return;
  }
  stack_.push_back(by_element(instruction, a, b));
}

Operand Machine::by_element(const Instruction& instruction, const Operand& a, const Operand& b) {
  // Outside array mode a range beside an inline array is one value still, but in comparisons.
  const auto operand = [&](const Operand& each) {
    const bool one =
        !instruction.array && !standard::compares(instruction.op) && each.is_reference();
    return one ? Matrix(1, 1, as_value(each)) : as_matrix(each);
  };
  const auto many_sheets = [&](const Operand& each) {
    return (instruction.array || standard::compares(instruction.op)) &&
           each.kind == Operand::Kind::area && each.area.sheets() > 1;
  };
  if (many_sheets(a) || many_sheets(b)) {
    return Error(Code::parameters, "a range over several sheets is no array");
  }
  const Matrix x = operand(a);
  const Matrix y = operand(b);
  const bool a_spreads = spreads(a, instruction.array);
  const bool b_spreads = spreads(b, instruction.array);
  const bool of_arrays = a_spreads && b_spreads;
  // A single value goes with every element; two arrays meet in the part that both have, but in
  // comparisons, where what only one of them has is #VALUE!.
  const bool whole = standard::compares(instruction.op);
  const auto extent = [whole](std::size_t m, std::size_t n) {
    return m == 1 ? n : n == 1 ? m : whole ? std::max(m, n) : std::min(m, n);
  };
  Matrix out(extent(x.rows(), y.rows()), extent(x.columns(), y.columns()));
  for (std::size_t r = 0; r < out.rows(); ++r) {
    for (std::size_t c = 0; c < out.columns(); ++c) {
      if (whole && !(reaches(x, r, c) && reaches(y, r, c))) {
        out.at(r, c) = Code::value;
        continue;
      }
      const Value& left = repeated(x, r, c);
      const Value& right = repeated(y, r, c);
      if (instruction.op == Operator::power) {
        out.at(r, c) = power_of_element(left, right, of_arrays, cells_.settings());
        continue;
      }
      Value element = standard::apply(instruction.op, left, right, cells_.settings());
      if (element.is_error()) {
        element = error_of_elements(instruction.op, {left, a_spreads}, {right, b_spreads},
                                    cells_.settings(), std::move(element));
      }
      out.at(r, c) = std::move(element);
    }
  }
  return out;
}

}  // namespace loftledger::calc
