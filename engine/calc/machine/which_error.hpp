// Where more than one thing is wrong: which error a formula shows, as the office decides it.
#pragma once

#include <optional>

#include "engine/formula/ast.hpp"
#include "engine/standard/call/call.hpp"

namespace loftledger::calc {

// What an operator finds wrong with its operand: an error, or what is no number where one is due.
Value failure_of(formula::Operator op, const Value& operand, const sheet::Settings& settings);

// One side of an operator.
struct Side {
  const standard::Operand& operand;
  const Value& value;  // as the operator reads it
};

// Of two operands that both fail, at a formula's cell; `otherwise` where only one of them does.
Value error_of_operands(formula::Operator op, Side left, Side right, CellAddress here,
                        const sheet::Settings& settings, Value otherwise);

// One side of an operator between arrays, at one place of the result.
struct Element {
  const Value& value;
  bool of_array = false;  // false: a single value that goes with every element
};

// The same for two elements; it depends on which of them comes from an array.
Value error_of_elements(formula::Operator op, Element left, Element right,
                        const sheet::Settings& settings, Value otherwise);

// The error with which an argument ends the call before the function sees it: one that the formula
// itself came to. Errors in cells are for the function to meet, in its own order.
std::optional<standard::Operand> error_before_call(standard::Take take,
                                                   const standard::Operand& argument);

// What shows of an argument before a wrong count of arguments does: that it is no array where one
// is due. `array`: ranges are taken as arrays.
std::optional<Code> error_before_count(standard::Take take, const standard::Operand& argument,
                                       bool array);

// Whether an error on top of the stack ends the formula. One that came from a cell does not.
bool ends_formula(const standard::Operand& top);

}  // namespace loftledger::calc
