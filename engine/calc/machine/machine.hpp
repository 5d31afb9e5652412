// Runs one program for one cell.
#pragma once

#include <span>
#include <vector>

#include "engine/calc/program/program.hpp"
#include "engine/standard/call/cells.hpp"

namespace loftledger::calc {

class Machine {
 public:
  // `stop` is looked at after each step: where it is true, the run ends at once and its result
  // means nothing (a cell was read that is still to be calculated).
  Machine(standard::Cells& cells, const bool& stop) : cells_(cells), stop_(stop) {}

  // What the formula yields, references not yet read. A call may not come to an argument that was
  // left out; a branch of IF or CHOOSE that is left out is an empty value, as the office has it.
  standard::Operand run(const Program& program, CellAddress here);

  // The single value that the cell shows.
  Value value(const Program& program, CellAddress here);
  // The array that a matrix formula spreads over so many rows and columns.
  Matrix matrix(const Program& program, CellAddress here, standard::Extent extent);

 private:
  // After a step: an error that the formula itself came to ends it where no call that looks at
  // errors is left.
  void look_for_end(const Program& program, const Instruction& instruction);
  // The same as run(), but that several ranges stay so.
  standard::Operand run_whole(const Program& program, CellAddress here);
  standard::Operand run_part(const Program& program, std::uint32_t begin, std::uint32_t end);
  // What all branches yield, one after another, for a condition that is an array.
  std::vector<standard::Operand> each_branch(const Program& program, const Branches& branches);
  standard::Operand stacked(const standard::Operand& union_of);
  void infix(const Instruction& instruction);
  // An operator between arrays, or an array and a single value.
  standard::Operand by_element(const Instruction& instruction, const standard::Operand& a,
                               const standard::Operand& b);
  void unary(const Instruction& instruction);
  void call(const Program& program, const Instruction& instruction);
  struct Called;
  void take_argument(Called& called, std::size_t index);
  // What the function answers to these arguments, or to their number.
  standard::Operand answer(const Called& called, std::span<const standard::Operand> arguments);
  // The same for each element of the arguments that spread.
  Matrix answers(const Called& called);
  void planning(const Program& program, const Instruction& instruction);
  std::uint32_t condition(const Program& program, const Instruction& instruction);
  std::uint32_t error_branch(const Program& program, const Instruction& instruction);
  std::uint32_t choose(const Program& program, const Instruction& instruction);

  standard::Operand pop() {
    standard::Operand top = std::move(stack_.back());
    stack_.pop_back();
    return top;
  }
  // True where the operand is an array, or counts as one in array mode.
  static bool spreads(const standard::Operand& operand, bool array);
  Matrix as_matrix(const standard::Operand& operand);
  Value as_value(const standard::Operand& operand);
  // The single value of an argument: a formula that hands on an empty cell is 0.
  Value as_argument(const standard::Operand& operand);
  Value as_operand(formula::Operator op, const standard::Operand& operand);
  standard::Operand combine(const Matrix& choice, const std::vector<standard::Operand>& parts);

  standard::Cells& cells_;
  const bool& stop_;
  CellAddress here_;
  standard::Extent extent_;
  std::vector<standard::Operand> stack_;
  int parts_ = 0;           // of arrays of branches, one in another
  std::uint32_t met_ = 0;   // calls so far that look at errors
  bool passed_on_ = false;  // the top of the stack by a call
  bool ended_ = false;      // by the error on top of the stack
};

// Whether the array, of which one row or column is repeated, has such an element.
bool reaches(const Matrix& m, std::size_t row, std::size_t column);

// The element of an array, of which one row or column is repeated; #N/A beyond it.
const Value& repeated(const Matrix& m, std::size_t row, std::size_t column);

// A cell or an array position that is left empty shows 0 in a formula's result.
Value shown_result(Value value);

}  // namespace loftledger::calc
