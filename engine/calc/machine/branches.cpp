// What the machine does where only some parts of a formula count: IF, CHOOSE, IFERROR, IFNA.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "engine/calc/machine/machine.hpp"

namespace loftledger::calc {

using standard::Operand;

std::vector<Operand> Machine::each_branch(const Program& program, const Branches& branches) {
  std::vector<Operand> out;
  ++parts_;
  for (const std::uint32_t begin : branches.begins) {
    out.push_back(run_part(program, begin, branches.end));
  }
  --parts_;
  return out;
}

Operand Machine::combine(const Matrix& choice, const std::vector<Operand>& parts) {
  std::vector<Matrix> matrices;
  std::size_t rows = choice.rows();
  std::size_t columns = choice.columns();
  for (const Operand& part : parts) {
    matrices.push_back(as_matrix(part));
    rows = std::max(rows, matrices.back().rows());
    columns = std::max(columns, matrices.back().columns());
  }
  Matrix out(rows, columns);
  for (std::size_t r = 0; r < rows; ++r) {
    for (std::size_t c = 0; c < columns; ++c) {
      const Value& which = repeated(choice, r, c);
      out.at(r, c) = which.is_error()
                         ? which
                         : repeated(matrices[static_cast<std::size_t>(which.number())], r, c);
    }
  }
  return out;
}

std::uint32_t Machine::condition(const Program& program, const Instruction& instruction) {
  const Branches& branches = program.branches[instruction.operand];
  const Operand test = pop();
  if (spreads(test, instruction.array)) {
    Matrix choice = as_matrix(test);
    for (Value& each : choice.cells()) {
      // A text in an array is no truth, whatever it says.
      if (each.is_text()) each = Code::value;
      const Value truth = standard::to_truth(each, cells_.settings());
      each = truth.is_error() ? truth : Value(truth.number() != 0 ? 0.0 : 1.0);
    }
    std::vector<Operand> parts = each_branch(program, branches);
    if (parts.empty()) parts.push_back(Operand::truth(true));
    if (parts.size() < 2) parts.push_back(Operand::truth(false));
    if (!stop_) stack_.push_back(combine(choice, parts));
    return branches.end;
  }
  const Value truth = standard::to_truth(as_value(test), cells_.settings());
  if (truth.is_error()) {
    stack_.emplace_back(truth);
    return branches.end;
  }
  const std::size_t branch = truth.number() != 0 ? 0 : 1;
  if (branch < branches.begins.size()) return branches.begins[branch];
  // Without a branch for it the condition itself is the result.
  stack_.push_back(Operand::truth(branch == 0));
  return branches.end;
}

std::uint32_t Machine::error_branch(const Program& program, const Instruction& instruction) {
  const Branches& branches = program.branches[instruction.operand];
  const auto caught = [&](const Value& value) {
    return value.is_error() && (!instruction.only_missing || value.code() == Code::not_available);
  };
  Operand test = pop();
  if (test.kind == Operand::Kind::missing) {
    stack_.push_back(std::move(test));
    return branches.end;
  }
  if (spreads(test, instruction.array)) {
    const Matrix tested = as_matrix(test);
    if (std::none_of(tested.cells().begin(), tested.cells().end(), caught)) {
      stack_.push_back(std::move(test));
      return branches.end;
    }
    Matrix choice(tested.rows(), tested.columns());
    for (std::size_t i = 0; i < choice.size(); ++i) {
      choice.cells()[i] = caught(tested.cells()[i]) ? 1.0 : 0.0;
    }
    std::vector<Operand> parts = each_branch(program, branches);
    parts.insert(parts.begin(), test);
    if (!stop_) stack_.push_back(combine(choice, parts));
    return branches.end;
  }
  Value value = as_value(test);
  if (caught(value)) return branches.begins[0];
  stack_.emplace_back(std::move(value));
  return branches.end;
}

std::uint32_t Machine::choose(const Program& program, const Instruction& instruction) {
  const Branches& branches = program.branches[instruction.operand];
  const std::size_t count = branches.begins.size();
  const auto index_of = [&](const Value& value) -> Value {
    const Value number = standard::to_number(value, cells_.settings());
    if (number.is_error()) return number;
    const double index = std::trunc(number.number());
    if (index < 1 || index > static_cast<double>(count)) {
      return Error(Code::argument,
                   fmt::format("CHOOSE: the index is {}; it must be from 1 to {}", index, count));
    }
    return index - 1;
  };
  const Operand test = pop();
  if (spreads(test, instruction.array)) {
    Matrix choice = as_matrix(test);
    for (Value& each : choice.cells()) each = each.is_text() ? Value(Code::value) : index_of(each);
    std::vector<Operand> parts = each_branch(program, branches);
    if (!stop_) stack_.push_back(combine(choice, parts));
    return branches.end;
  }
  const Value index = index_of(as_value(test));
  if (index.is_error()) {
    stack_.emplace_back(index);
    return branches.end;
  }
  return branches.begins[static_cast<std::size_t>(index.number())];
}

}  // namespace loftledger::calc
