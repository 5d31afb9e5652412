// Calls of the machine: spreadsheet functions and planning functions.
#include <algorithm>
#include <optional>

#include "engine/calc/machine/machine.hpp"
#include "engine/calc/machine/sentence.hpp"
#include "engine/standard/call/numbers.hpp"

namespace loftledger::calc {

using standard::Operand;
using standard::Take;

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

}  // namespace loftledger::calc
