// The operators of the formula language, in one table: the grammar reads its symbols from it, the
// builder and the printer its precedence.
#pragma once

#include <array>
#include <cstdint>
#include <string_view>

#include "engine/formula/ast.hpp"

namespace loftledger::formula {

enum class Place : std::uint8_t { prefix, infix, postfix };

struct OperatorRow {
  std::string_view symbol;
  Operator op;
  Place place;
  int binding;  // the higher, the tighter; all infix operators group from the left
};

// ODF 1.3 part 4, table 1 in section 5.5: a sign binds tighter than "%" and "^", so -2^2 is 4.
inline constexpr std::array kOperators{
    OperatorRow{"=", Operator::equal, Place::infix, 1},
    OperatorRow{"<>", Operator::unequal, Place::infix, 1},
    OperatorRow{"<", Operator::less, Place::infix, 1},
    OperatorRow{"<=", Operator::less_equal, Place::infix, 1},
    OperatorRow{">", Operator::greater, Place::infix, 1},
    OperatorRow{">=", Operator::greater_equal, Place::infix, 1},
    OperatorRow{"&", Operator::concatenate, Place::infix, 2},
    OperatorRow{"+", Operator::plus, Place::infix, 3},
    OperatorRow{"-", Operator::minus, Place::infix, 3},
    OperatorRow{"*", Operator::multiply, Place::infix, 4},
    OperatorRow{"/", Operator::divide, Place::infix, 4},
    OperatorRow{"^", Operator::power, Place::infix, 5},
    OperatorRow{"%", Operator::percent, Place::postfix, 6},
    OperatorRow{"+", Operator::plus, Place::prefix, 7},
    OperatorRow{"-", Operator::minus, Place::prefix, 7},
    OperatorRow{"~", Operator::joined, Place::infix, 8},
    OperatorRow{"!", Operator::intersection, Place::infix, 9},
    OperatorRow{"!!", Operator::crossing, Place::infix, 9},
    OperatorRow{":", Operator::range, Place::infix, 10},
};

// The row of an operator that stands in the table at that place.
constexpr const OperatorRow& row_of(Operator op, Place place) {
  for (const OperatorRow& row : kOperators) {
    if (row.op == op && row.place == place) return row;
  }
  return kOperators.front();
}

constexpr Place place_of(Kind kind) {
  return kind == Kind::prefix ? Place::prefix
                              : (kind == Kind::postfix ? Place::postfix : Place::infix);
}

}  // namespace loftledger::formula
