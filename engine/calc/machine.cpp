#include "engine/calc/machine.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>

#include "engine/calc/reason.hpp"
#include "engine/standard/arithmetic.hpp"

namespace loftledger::calc {

namespace {

using formula::Operator;
using standard::Operand;
using standard::Take;

// An array larger than this would not fit a sheet's worth of memory on a small machine.
constexpr std::int64_t kMaxArrayCells = 1 << 24;

}  // namespace

const Value& repeated(const Matrix& m, std::size_t row, std::size_t column) {
  static const Value kOutside(Code::not_available);
  const std::size_t r = m.rows() == 1 ? 0 : row;
  const std::size_t c = m.columns() == 1 ? 0 : column;
  if (r >= m.rows() || c >= m.columns()) return kOutside;
  return m.at(r, c);
}

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
  return from_areas(std::move(all));
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

}  // namespace

Value shown_result(Value value) {
  if (value.kind() == Value::Kind::number && !std::isfinite(value.number())) return Code::number;
  return value;
}

bool Machine::spreads(const Operand& operand, bool array) {
  return operand.kind == Operand::Kind::matrix ||
         (array && operand.kind == Operand::Kind::area && !operand.area.single());
}

Value Machine::as_value(const Operand& operand) { return standard::single(operand, cells_, here_); }

Matrix Machine::as_matrix(const Operand& operand) {
  if (operand.kind == Operand::Kind::matrix) return *operand.matrix;
  if (operand.kind != Operand::Kind::area || operand.area.sheets() > 1) {
    return Matrix(1, 1, as_value(operand));
  }
  // A whole column is read as far as anything stands in it.
  Area area = operand.area;
  if (area.rows() * area.columns() > kMaxArrayCells || area.rows() == kMaxRows ||
      area.columns() == kMaxColumns) {
    const auto used = cells_.used(area);
    if (!used) return Matrix(1, 1);
    if (used->rows() * used->columns() > kMaxArrayCells) {
      return Matrix(1, 1, Value(Error(Code::internal, "the array is too large")));
    }
    area = *used;
  }
  Matrix out(static_cast<std::size_t>(area.rows()), static_cast<std::size_t>(area.columns()));
  const auto put = [&](CellAddress at, Value value) {
    out.at(static_cast<std::size_t>(at.row - area.first_row),
           static_cast<std::size_t>(at.column - area.first_column)) = std::move(value);
  };
  cells_.each(
      area,
      [&](CellAddress first, std::span<const double> block) {
        for (double number : block) {
          put(first, number);
          ++first.row;
        }
        return true;
      },
      [&](CellAddress at, const Value& value) {
        put(at, value);
        return true;
      });
  return out;
}

Operand Machine::run(const Program& program, CellAddress here) {
  here_ = here;
  stack_.clear();
  return run_part(program, 0, static_cast<std::uint32_t>(program.code.size()));
}

Value Machine::value(const Program& program, CellAddress here) {
  const Operand operand = run(program, here);
  return stop_ ? Value() : shown_result(as_value(operand));
}

Matrix Machine::matrix(const Program& program, CellAddress here) {
  const Operand operand = run(program, here);
  if (stop_) return Matrix(1, 1);
  Matrix out = as_matrix(operand);
  if (out.empty()) out = Matrix(1, 1);
  for (Value& value : out.cells()) value = shown_result(std::move(value));
  return out;
}

Operand Machine::run_part(const Program& program, std::uint32_t begin, std::uint32_t end) {
  const std::size_t floor = stack_.size();
  for (std::uint32_t at = begin; at < end && !stop_;) {
    const Instruction& instruction = program.code[at++];
    switch (instruction.step) {
      case Step::constant:
        stack_.push_back(program.constants[instruction.operand]);
        break;
      case Step::reference: {
        const RelativeArea& reference = program.references[instruction.operand];
        const auto area = placed(reference, here_);
        stack_.push_back(!area             ? Operand(Code::reference)
                         : reference.range ? Operand::range_of(*area)
                                           : Operand(*area));
        break;
      }
      case Step::missing:
        stack_.push_back(Operand::absent());
        break;
      case Step::prefix:
      case Step::postfix:
        unary(instruction);
        break;
      case Step::infix:
        infix(instruction);
        break;
      case Step::call:
        call(program, instruction);
        break;
      case Step::planning:
        planning(program, instruction);
        break;
      case Step::condition:
        at = condition(program, instruction);
        break;
      case Step::error_branch:
        at = error_branch(program, instruction);
        break;
      case Step::choose:
        at = choose(program, instruction);
        break;
      case Step::jump:
        at = program.branches[instruction.operand].end;
        break;
      case Step::fail:
        return program.constants[instruction.operand];
    }
  }
  if (stop_ || stack_.size() <= floor) return {};
  Operand result = pop();
  stack_.resize(floor);
  return result;
}

void Machine::unary(const Instruction& instruction) {
  Operand a = pop();
  if (!spreads(a, instruction.array)) {
    stack_.emplace_back(standard::apply(instruction.op, as_value(a), cells_.settings()));
    return;
  }
  Matrix m = as_matrix(a);
  for (Value& each : m.cells()) each = standard::apply(instruction.op, each, cells_.settings());
  stack_.emplace_back(std::move(m));
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
  if (!spreads(a, instruction.array) && !spreads(b, instruction.array)) {
    stack_.emplace_back(
        standard::apply(instruction.op, as_value(a), as_value(b), cells_.settings()));
    return;
  }
  const Matrix x = as_matrix(a);
  const Matrix y = as_matrix(b);
  // A single value goes with every element; two arrays meet in the part that both have.
  const auto extent = [](std::size_t m, std::size_t n) {
    return m == 1 ? n : n == 1 ? m : std::min(m, n);
  };
  Matrix out(extent(x.rows(), y.rows()), extent(x.columns(), y.columns()));
  for (std::size_t r = 0; r < out.rows(); ++r) {
    for (std::size_t c = 0; c < out.columns(); ++c) {
      out.at(r, c) =
          standard::apply(instruction.op, repeated(x, r, c), repeated(y, r, c), cells_.settings());
    }
  }
  stack_.emplace_back(std::move(out));
}

void Machine::call(const Program& program, const Instruction& instruction) {
  const standard::StandardFunction& f = *program.functions[instruction.operand];
  const std::size_t first = stack_.size() - instruction.count;
  std::size_t rows = 0;
  std::size_t columns = 0;
  std::vector<std::pair<std::size_t, Matrix>> spread;
  // The first error that the formula itself came to: it ends the formula. Errors in cells are for
  // the function to meet, in its own order.
  std::optional<Operand> ending;
  for (std::size_t i = 0; i < instruction.count; ++i) {
    Operand& argument = stack_[first + i];
    const Take take = take_of(f, i);
    if (take == Take::reference || take == Take::array) continue;
    if (take != Take::outcome && argument.is_error() && !ending) ending = argument;
    if (as_it_stands(take)) continue;
    if (spreads(argument, instruction.array)) {
      spread.emplace_back(i, as_matrix(argument));
      rows = std::max(rows, spread.back().second.rows());
      columns = std::max(columns, spread.back().second.columns());
    } else if (argument.kind == Operand::Kind::area &&
               (take == Take::outcome || standard::intersection(argument.area, here_))) {
      argument = as_value(argument);
      argument.from_cell = true;
    }
  }
  Operand result;
  if (ending) {
    result = *ending;
  } else if (spread.empty()) {
    standard::Call call(f, {stack_.data() + first, instruction.count}, cells_, here_,
                        instruction.array);
    result = call.run();
  } else {
    Matrix out(rows, columns);
    std::vector<Operand> arguments(stack_.begin() + static_cast<std::ptrdiff_t>(first),
                                   stack_.end());
    for (std::size_t r = 0; r < rows && !stop_; ++r) {
      for (std::size_t c = 0; c < columns && !stop_; ++c) {
        for (const auto& [index, matrix] : spread) arguments[index] = repeated(matrix, r, c);
        standard::Call call(f, arguments, cells_, here_, instruction.array);
        out.at(r, c) = as_value(call.run());
      }
    }
    result = std::move(out);
  }
  stack_.resize(first);
  stack_.push_back(std::move(result));
}

void Machine::planning(const Program& program, const Instruction& instruction) {
  const catalogue::Function& f = *program.planning[instruction.operand];
  const std::size_t first = stack_.size() - instruction.count;
  std::vector<catalogue::Argument> arguments(instruction.count);
  std::vector<Matrix> matrices(instruction.count);
  std::vector<catalogue::CellState> states(instruction.count);
  for (std::size_t i = 0; i < instruction.count; ++i) {
    const Operand& operand = stack_[first + i];
    const bool inspects = i < f.types.size() && f.types[i].shape == catalogue::Shape::cell;
    if (inspects && operand.kind == Operand::Kind::area && operand.area.single()) {
      const Value value = cells_.at(operand.area.first());
      if (value.is_error()) {
        states[i] = {true, sentence_at(value.error(), operand.area.first(), cells_)};
      }
      arguments[i] = catalogue::Argument::of(states[i]);
    } else if (operand.kind == Operand::Kind::missing) {
      continue;
    } else if (operand.kind == Operand::Kind::matrix ||
               (operand.kind == Operand::Kind::area && !operand.area.single())) {
      matrices[i] = as_matrix(operand);
      arguments[i] = catalogue::Argument::of(matrices[i], operand.kind == Operand::Kind::area);
    } else {
      Value value = as_value(operand);
      // The office hands an empty cell over as 0.
      if (value.is_empty()) value = 0.0;
      arguments[i] = catalogue::Argument::of(std::move(value));
    }
  }
  Operand result;
  if (!stop_) {
    catalogue::Answer answer = catalogue::call(f, arguments);
    if (Value* value = std::get_if<Value>(&answer)) {
      result = std::move(*value);
    } else {
      result = std::move(std::get<Matrix>(answer));
    }
  }
  stack_.resize(first);
  stack_.push_back(std::move(result));
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
      const Value truth = standard::to_truth(each, cells_.settings());
      each = truth.is_error() ? truth : Value(truth.number() != 0 ? 0.0 : 1.0);
    }
    std::vector<Operand> parts;
    for (std::uint32_t begin : branches.begins) {
      parts.push_back(run_part(program, begin, branches.end));
    }
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
    const Operand otherwise = run_part(program, branches.begins[0], branches.end);
    if (!stop_) stack_.push_back(combine(choice, {test, otherwise}));
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
    for (Value& each : choice.cells()) each = index_of(each);
    std::vector<Operand> parts;
    for (std::uint32_t begin : branches.begins) {
      parts.push_back(run_part(program, begin, branches.end));
    }
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
