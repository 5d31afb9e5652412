#include "engine/calc/machine.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>

#include "engine/calc/reason.hpp"
#include "engine/standard/call/numbers.hpp"
#include "engine/standard/values/arithmetic.hpp"

namespace loftledger::calc {

namespace {

using formula::Operator;
using standard::Operand;
using standard::Take;

// An array larger than this would not fit a sheet's worth of memory on a small machine.
constexpr std::int64_t kMaxArrayCells = 1 << 24;

// Whether the array, of which one row or column is repeated, has such an element.
bool reaches(const Matrix& m, std::size_t row, std::size_t column) {
  return (m.rows() == 1 || row < m.rows()) && (m.columns() == 1 || column < m.columns());
}

}  // namespace

const Value& repeated(const Matrix& m, std::size_t row, std::size_t column) {
  static const Value kOutside(Code::not_available);
  if (!reaches(m, row, column)) return kOutside;
  return m.at(m.rows() == 1 ? 0 : row, m.columns() == 1 ? 0 : column);
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

Value shown_result(Value value) {
  if (value.kind() == Value::Kind::number && !std::isfinite(value.number())) return Code::number;
  return value;
}

bool Machine::spreads(const Operand& operand, bool array) {
  return operand.kind == Operand::Kind::matrix ||
         (array && operand.kind == Operand::Kind::area && !operand.is_cell());
}

Value Machine::as_value(const Operand& operand) { return standard::single(operand, cells_, here_); }

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
    ended_ = stack_.back().is_error() && !stack_.back().from_cell;
  }
}

std::vector<Operand> Machine::each_branch(const Program& program, const Branches& branches) {
  std::vector<Operand> out;
  ++parts_;
  for (const std::uint32_t begin : branches.begins) {
    out.push_back(run_part(program, begin, branches.end));
  }
  --parts_;
  return out;
}

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

Value Machine::as_argument(const Operand& operand) {
  if (operand.kind == Operand::Kind::area) {
    const auto cell = standard::intersection(operand.area, here_);
    return cell ? standard::counted_at(cells_, *cell) : Value(Code::value);
  }
  return as_value(operand);
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
    if (result.is_error()) result = error_that_shows(instruction.op, a, x, b, y, std::move(result));
    stack_.emplace_back(std::move(result));
    return;
  }
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
    stack_.emplace_back(Error(Code::parameters, "a range over several sheets is no array"));
    return;
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
        element = element_error(instruction.op, left, a_spreads, right, b_spreads, element);
      }
      out.at(r, c) = std::move(element);
    }
  }
  stack_.emplace_back(std::move(out));
}

Value Machine::failing(Operator op, const Value& value) const {
  const bool as_it_is = standard::compares(op) || op == Operator::concatenate;
  return as_it_is ? value : standard::to_number(value, cells_.settings());
}

Value Machine::element_error(Operator op, const Value& a, bool a_spreads, const Value& b,
                             bool b_spreads, const Value& otherwise) const {
  const Value left = failing(op, a);
  const Value right = failing(op, b);
  if (!left.is_error() || !right.is_error()) return otherwise;
  const bool joins = op == Operator::concatenate;
  if (a_spreads && b_spreads) return joins ? right : otherwise;
  switch (op) {
    case Operator::minus:
    case Operator::divide:
      return left;
    case Operator::plus:
    case Operator::multiply:
      return a_spreads ? left : right;
    default:
      return a_spreads ? right : left;
  }
}

Value Machine::error_that_shows(Operator op, const Operand& a, const Value& x, const Operand& b,
                                const Value& y, Value otherwise) const {
  const Value left = failing(op, x);
  const Value right = failing(op, y);
  if (!left.is_error() || !right.is_error()) return otherwise;
  if (op == Operator::concatenate) return a.is_error() ? left : right;
  // A range without a cell for the formula and a text that the formula holds are weaker than what
  // comes from a cell.
  const auto weak = [&](const Operand& operand, const Value& value) {
    if (operand.kind != Operand::Kind::area) return value.is_text();
    return !standard::intersection(operand.area, here_);
  };
  if (weak(a, x) && !weak(b, y)) return right;
  // Where there is no cell for the right one, the office does not look for one in a range at left.
  const bool a_range = a.kind == Operand::Kind::area && !a.is_cell();
  return a_range && b.kind == Operand::Kind::area && weak(b, y) ? right : left;
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
  std::optional<Operand> no_array;
  // The shape in which the answer comes, if it comes as an array.
  standard::Shape places;
  const bool addin = f.counting == standard::Counting::addin;
  bool array = instruction.array;
  // Beside an inline array where one value is due, ranges are arrays too.
  for (std::size_t i = 0; i < instruction.count; ++i) {
    const Take take = take_of(f, i);
    array = array || (stack_[first + i].kind == Operand::Kind::matrix && take != Take::reference &&
                      take != Take::array && !as_it_stands(take));
  }
  for (std::size_t i = 0; i < instruction.count; ++i) {
    Operand& argument = stack_[first + i];
    const Take take = take_of(f, i);
    // What is no array where one is due shows before a wrong count.
    if (instruction.wrong_count && !no_array &&
        (take == Take::array || (array && !as_it_stands(take)))) {
      if (argument.kind == Operand::Kind::areas && take != Take::array) no_array = Code::value;
      if (argument.kind == Operand::Kind::area && argument.area.sheets() > 1) {
        no_array = Code::parameters;
      }
    }
    const bool area = argument.kind == Operand::Kind::area;
    if (take == Take::places &&
        (argument.kind == Operand::Kind::matrix || (instruction.array && area))) {
      const standard::Shape own = standard::shape_of(argument);
      places = {std::max(places.rows, own.rows), std::max(places.columns, own.columns)};
    }
    if (take == Take::reference || take == Take::array || take == Take::places) continue;
    if (take != Take::outcome && argument.is_error() && !ending) {
      ending = take == Take::sought ? Operand(Code::parameters) : argument;
    }
    if (as_it_stands(take)) continue;
    if (array && argument.kind == Operand::Kind::areas) argument = Code::value;
    if (spreads(argument, array) && !(addin && area && instruction.wrong_count)) {
      const bool no_value = argument.area.sheets() > 1 && take != Take::outcome && !addin;
      if (no_value && !ending) ending = Operand(Code::parameters);
      spread.emplace_back(i, as_matrix(argument));
      rows = std::max(rows, spread.back().second.rows());
      columns = std::max(columns, spread.back().second.columns());
    } else if (area) {
      const bool found = standard::intersection(argument.area, here_).has_value();
      if (!found && take != Take::outcome) continue;
      argument = take == Take::outcome ? as_value(argument) : as_argument(argument);
      argument.from_cell = found;
    }
  }
  const auto called = [&](standard::Call& call) {
    if (!instruction.wrong_count) return call.run();
    return no_array ? *no_array : Operand(*standard::wrong_count(f, instruction.count));
  };
  Operand result;
  if (ending && !instruction.wrong_count) {
    result = *ending;
  } else if (spread.empty()) {
    standard::Call call(f, {stack_.data() + first, instruction.count}, cells_, here_,
                        instruction.array, extent_);
    result = called(call);
    constexpr std::int64_t kMostPlaces = 1000000;
    if (places != standard::Shape{} && places.rows * places.columns <= kMostPlaces) {
      result = Matrix(static_cast<std::size_t>(places.rows),
                      static_cast<std::size_t>(places.columns), as_value(result));
    }
  } else {
    Matrix out(rows, columns);
    std::vector<Operand> arguments(stack_.begin() + static_cast<std::ptrdiff_t>(first),
                                   stack_.end());
    for (std::size_t r = 0; r < rows && !stop_; ++r) {
      for (std::size_t c = 0; c < columns && !stop_; ++c) {
        for (const auto& [index, matrix] : spread) arguments[index] = repeated(matrix, r, c);
        standard::Call call(f, arguments, cells_, here_, instruction.array, extent_);
        out.at(r, c) = as_value(called(call));
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
