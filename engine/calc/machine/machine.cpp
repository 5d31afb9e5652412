#include "engine/calc/machine/machine.hpp"

#include <algorithm>
#include <cmath>

#include "engine/calc/machine/which_error.hpp"

namespace loftledger::calc {

using standard::Operand;

namespace {
// An array larger than this would not fit a sheet's worth of memory on a small machine.
constexpr std::int64_t kMaxArrayCells = 1 << 24;
}  // namespace

bool reaches(const Matrix& m, std::size_t row, std::size_t column) {
  return (m.rows() == 1 || row < m.rows()) && (m.columns() == 1 || column < m.columns());
}

const Value& repeated(const Matrix& m, std::size_t row, std::size_t column) {
  static const Value kOutside(Code::not_available);
  if (!reaches(m, row, column)) return kOutside;
  return m.at(m.rows() == 1 ? 0 : row, m.columns() == 1 ? 0 : column);
}

Value shown_result(Value value) {
  if (value.kind() == Value::Kind::number && !std::isfinite(value.number())) return Code::number;
  return value;
}

bool Machine::spreads(const Operand& operand, bool array) {
  return operand.kind == Operand::Kind::matrix ||
         (array && operand.kind == Operand::Kind::area && !operand.is_cell());
}

Value Machine::as_value(const Operand& operand) { return standard::single(operand, cells_, here_); }

Value Machine::as_argument(const Operand& operand) {
  if (operand.kind == Operand::Kind::area) {
    const auto cell = standard::intersection(operand.area, here_);
    return cell ? standard::counted_at(cells_, *cell) : Value(Code::value);
  }
  return as_value(operand);
}

Matrix Machine::as_matrix(const Operand& operand) {
  if (operand.kind == Operand::Kind::matrix) return *operand.matrix;
  if (operand.kind != Operand::Kind::area) return Matrix(1, 1, as_value(operand));
  if (operand.area.sheets() > 1) {
    return Matrix(1, 1, Value(Error(Code::parameters, "a range over several sheets is no array")));
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
        if (!standard::handed_on(cells_, at, value)) put(at, value);
        return true;
      });
  return out;
}

Operand Machine::run(const Program& program, CellAddress here) {
  extent_ = {};
  Operand result = run_whole(program, here);
  if (result.kind == Operand::Kind::areas) return Error(Code::value, "several ranges are no value");
  return result;
}

Operand Machine::run_whole(const Program& program, CellAddress here) {
  here_ = here;
  stack_.clear();
  parts_ = 0;
  met_ = 0;
  ended_ = false;
  Operand result = run_part(program, 0, static_cast<std::uint32_t>(program.code.size()));
  if (result.kind != Operand::Kind::missing || !passed_on_) return result;
  return Error(Code::no_operand, "the value that the formula comes to is left out");
}

Value Machine::value(const Program& program, CellAddress here) {
  const Operand operand = run(program, here);
  return stop_ ? Value() : shown_result(as_value(operand));
}

// Several cells, one below the other; ranges among them are no value.
Operand Machine::stacked(const Operand& union_of) {
  if (union_of.range) return Code::value;
  const std::vector<Area>& areas = *union_of.areas;
  Matrix out(areas.size(), 1);
  for (std::size_t i = 0; i < areas.size(); ++i) {
    out.at(i, 0) = cells_.at(areas[i].first());
  }
  return out;
}

Matrix Machine::matrix(const Program& program, CellAddress here, standard::Extent extent) {
  extent_ = extent;
  Operand operand = run_whole(program, here);
  if (stop_) return Matrix(1, 1);
  if (operand.kind == Operand::Kind::areas) operand = stacked(operand);
  // Of whole rows and columns no more is read than shows.
  if (operand.kind == Operand::Kind::area) {
    Area& area = operand.area;
    area.last_row = std::min(area.last_row, area.first_row + extent.rows - 1);
    area.last_column = std::min(area.last_column, area.first_column + extent.columns - 1);
  }
  Matrix out = as_matrix(operand);
  if (out.empty()) out = Matrix(1, 1);
  for (Value& value : out.cells()) value = shown_result(std::move(value));
  return out;
}

Operand Machine::run_part(const Program& program, std::uint32_t begin, std::uint32_t end) {
  const std::size_t floor = stack_.size();
  for (std::uint32_t at = begin; at < end && !stop_ && !ended_;) {
    const Instruction& instruction = program.code[at++];
    switch (instruction.step) {
      case Step::constant:
        stack_.push_back(program.constants[instruction.operand]);
        continue;
      case Step::reference: {
        const RelativeArea& reference = program.references[instruction.operand];
        const auto area = placed(reference, here_);
        stack_.push_back(!area             ? Operand(Code::reference)
                         : reference.range ? Operand::range_of(*area)
                                           : Operand(*area));
        continue;
      }
      case Step::missing:
        stack_.push_back(Operand::absent());
        passed_on_ = false;
        continue;
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
        continue;
      case Step::refuse:
        stack_.resize(stack_.size() - instruction.count);
        stack_.push_back(program.constants[instruction.operand]);
        break;
      case Step::fail:
        return program.constants[instruction.operand];
    }
    look_for_end(program, instruction);
  }
  if (stop_ || stack_.size() <= floor) return {};
  Operand result = pop();
  stack_.resize(floor);
  return result;
}

void Machine::look_for_end(const Program& program, const Instruction& instruction) {
  passed_on_ = true;
  if (instruction.meets_errors) ++met_;
  if (instruction.step == Step::error_branch) return;
  // Each element of an array of branches ends by itself.
  if (parts_ == 0 && met_ >= program.meeting_errors && !stack_.empty()) {
    ended_ = ends_formula(stack_.back());
  }
}

}  // namespace loftledger::calc
