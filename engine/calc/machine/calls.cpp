// Calls of the machine: spreadsheet functions and planning functions.
#include <algorithm>
#include <optional>
#include <span>
#include <utility>

#include "engine/calc/machine/machine.hpp"
#include "engine/calc/machine/sentence.hpp"
#include "engine/calc/machine/which_error.hpp"
#include "engine/standard/call/numbers.hpp"

namespace loftledger::calc {

using standard::Operand;
using standard::Take;

// One call while its arguments are made ready.
struct Machine::Called {
  const standard::StandardFunction& function;
  const Instruction& instruction;
  std::span<Operand> arguments;
  bool array = false;  // ranges are arrays where one value is due
  // Arguments that are arrays where one value is due: the call is repeated for their elements.
  std::vector<std::pair<std::size_t, Matrix>> spread = {};
  std::size_t rows = 0;
  std::size_t columns = 0;
  std::optional<Operand> ending = {};  // what comes instead of the call
  std::optional<Code> no_array = {};   // what comes instead of a wrong count
  // The shape in which the answer comes, if it comes as an array.
  standard::Shape places = {};
};

namespace {

// Beside an inline array where one value is due, ranges are arrays too.
bool beside_inline_array(const standard::StandardFunction& f, std::span<const Operand> arguments) {
  for (std::size_t i = 0; i < arguments.size(); ++i) {
    const Take take = take_of(f, i);
    if (arguments[i].kind == Operand::Kind::matrix && take != Take::reference &&
        take != Take::array && !as_it_stands(take)) {
      return true;
    }
  }
  return false;
}

}  // namespace

void Machine::call(const Program& program, const Instruction& instruction) {
  const standard::StandardFunction& f = *program.functions[instruction.operand];
  const std::size_t first = stack_.size() - instruction.count;
  Called called{f, instruction, std::span(stack_).subspan(first)};
  called.array = instruction.array || beside_inline_array(f, called.arguments);
  for (std::size_t i = 0; i < instruction.count; ++i) take_argument(called, i);
  Operand result;
  if (called.ending && !instruction.wrong_count) {
    result = *std::move(called.ending);
  } else if (called.spread.empty()) {
    result = answer(called, called.arguments);
    constexpr std::int64_t kMostPlaces = 1000000;
    const standard::Shape places = called.places;
    if (places != standard::Shape{} && places.rows * places.columns <= kMostPlaces) {
      result = Matrix(static_cast<std::size_t>(places.rows),
                      static_cast<std::size_t>(places.columns), as_value(result));
    }
  } else {
    result = answers(called);
  }
  stack_.resize(first);
  stack_.push_back(std::move(result));
}

void Machine::take_argument(Called& called, std::size_t index) {
  Operand& argument = called.arguments[index];
  const Take take = take_of(called.function, index);
  const bool array = called.array;
  const bool wrong_count = called.instruction.wrong_count;
  const bool area = argument.kind == Operand::Kind::area;
  if (wrong_count && !called.no_array) called.no_array = error_before_count(take, argument, array);
  if (take == Take::places &&
      (argument.kind == Operand::Kind::matrix || (called.instruction.array && area))) {
    const standard::Shape own = standard::shape_of(argument);
    standard::Shape& places = called.places;
    places = {std::max(places.rows, own.rows), std::max(places.columns, own.columns)};
  }
  if (!called.ending) called.ending = error_before_call(take, argument);
  if (as_it_stands(take)) return;
  if (array && argument.kind == Operand::Kind::areas) argument = Code::value;
  const bool addin = called.function.counting == standard::Counting::addin;
  if (spreads(argument, array) && !(addin && area && wrong_count)) {
    const bool no_value = argument.area.sheets() > 1 && take != Take::outcome && !addin;
    if (no_value && !called.ending) called.ending = Operand(Code::parameters);
    called.spread.emplace_back(index, as_matrix(argument));
    const Matrix& taken = called.spread.back().second;
    called.rows = std::max(called.rows, taken.rows());
    called.columns = std::max(called.columns, taken.columns());
  } else if (area) {
    const bool found = standard::intersection(argument.area, here_).has_value();
    if (!found && take != Take::outcome) return;
    argument = take == Take::outcome ? as_value(argument) : as_argument(argument);
    argument.from_cell = found;
  }
}

Operand Machine::answer(const Called& called, std::span<const Operand> arguments) {
  const Instruction& instruction = called.instruction;
  if (!instruction.wrong_count) {
    standard::Call call(called.function, arguments, cells_, here_, instruction.array, extent_);
    return call.run();
  }
  if (called.no_array) return *called.no_array;
  return *standard::wrong_count(called.function, instruction.count);
}

Matrix Machine::answers(const Called& called) {
  Matrix out(called.rows, called.columns);
  std::vector<Operand> arguments(called.arguments.begin(), called.arguments.end());
  for (std::size_t r = 0; r < out.rows() && !stop_; ++r) {
    for (std::size_t c = 0; c < out.columns() && !stop_; ++c) {
      for (const auto& [index, matrix] : called.spread) arguments[index] = repeated(matrix, r, c);
      out.at(r, c) = as_value(answer(called, arguments));
    }
  }
  return out;
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

}  // namespace loftledger::calc
