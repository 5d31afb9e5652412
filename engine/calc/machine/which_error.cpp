#include "engine/calc/machine/which_error.hpp"

#include "engine/standard/values/arithmetic.hpp"

namespace loftledger::calc {

using formula::Operator;
using standard::Operand;
using standard::Take;

Value failure_of(Operator op, const Value& operand, const sheet::Settings& settings) {
  const bool as_it_is = standard::compares(op) || op == Operator::concatenate;
  return as_it_is ? operand : standard::to_number(operand, settings);
}

Value error_of_operands(Operator op, Side left, Side right, CellAddress here,
                        const sheet::Settings& settings, Value otherwise) {
  const Value at_left = failure_of(op, left.value, settings);
  const Value at_right = failure_of(op, right.value, settings);
  if (!at_left.is_error() || !at_right.is_error()) return otherwise;
  if (op == Operator::concatenate) return left.operand.is_error() ? at_left : at_right;
  // A range without a cell for the formula and a text that the formula holds are weaker than what
  // comes from a cell.
  const auto weak = [&](const Side& side) {
    if (side.operand.kind != Operand::Kind::area) return side.value.is_text();
    return !standard::intersection(side.operand.area, here);
  };
  if (weak(left) && !weak(right)) return at_right;
  // Where there is no cell for the right one, the office does not look for one in a range at left.
  const bool left_range = left.operand.kind == Operand::Kind::area && !left.operand.is_cell();
  return left_range && right.operand.kind == Operand::Kind::area && weak(right) ? at_right
                                                                                : at_left;
}

Value error_of_elements(Operator op, Element left, Element right, const sheet::Settings& settings,
                        Value otherwise) {
  const Value at_left = failure_of(op, left.value, settings);
  const Value at_right = failure_of(op, right.value, settings);
  if (!at_left.is_error() || !at_right.is_error()) return otherwise;
  const bool joins = op == Operator::concatenate;
  if (left.of_array && right.of_array) return joins ? at_right : otherwise;
  switch (op) {
    case Operator::minus:
    case Operator::divide:
      return at_left;
    case Operator::plus:
    case Operator::multiply:
      return left.of_array ? at_left : at_right;
    default:
      return left.of_array ? at_right : at_left;
  }
}

std::optional<Operand> error_before_call(Take take, const Operand& argument) {
  if (take == Take::reference || take == Take::array || take == Take::places ||
      take == Take::outcome || !argument.is_error()) {
    return std::nullopt;
  }
  return take == Take::sought ? Operand(Code::parameters) : argument;
}

std::optional<Code> error_before_count(Take take, const Operand& argument, bool array) {
  if (take != Take::array && (!array || standard::as_it_stands(take))) return std::nullopt;
  if (argument.kind == Operand::Kind::areas && take != Take::array) return Code::value;
  if (argument.kind == Operand::Kind::area && argument.area.sheets() > 1) {
    return Code::parameters;
  }
  return std::nullopt;
}

bool ends_formula(const Operand& top) { return top.is_error() && !top.from_cell; }

}  // namespace loftledger::calc
