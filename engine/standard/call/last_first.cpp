#include "engine/standard/call/last_first.hpp"

#include <fmt/format.h>

#include <utility>

namespace loftledger::standard {

// Several areas where a value is due, and several sheets where an array is, are refused before
// anything is read.
LastFirst::LastFirst(Call& call) : call_(call) {
  for (std::size_t i = 0; i < call.count(); ++i) {
    const bool value_due = take_of(call.function(), i) == Take::value;
    const bool areas = value_due && call[i].kind == Operand::Kind::areas;
    const bool sheets = take_of(call.function(), i) == Take::array &&
                        call[i].kind == Operand::Kind::area && call[i].area.sheets() > 1;
    if (sheets) wait(Value(Code::parameters));
    if (areas) wait(Value(Code::value));
    several_areas_ = several_areas_ || areas || sheets;
  }
}

double LastFirst::option(std::size_t index, double otherwise) {
  if (!call_.given(index)) return otherwise;
  const Operand& given = call_[index];
  if (given.kind == Operand::Kind::areas) return 0;
  Value number = to_number(single(given, call_.cells(), call_.here()), call_.settings());
  if (!number.is_error()) return number.number();
  if (given.from_cell || given.is_cell()) waiting_ = Value();
  wait(std::move(number));
  return 0;
}

void LastFirst::wait(Value error) {
  if (!waiting_.is_error()) waiting_ = std::move(error);
}

std::optional<Matrix> LastFirst::array(std::size_t index) {
  const Operand& given = call_[index];
  const bool range = given.kind == Operand::Kind::area && !given.is_cell();
  if (given.kind == Operand::Kind::areas) {
    several_areas_ = true;
    wait(Value(Code::argument));
  }
  // Where the office reads the range only now, it does not while an error waits.
  const bool late = take_of(call_.function(), index) != Take::array && waiting_.is_error();
  if (given.kind == Operand::Kind::areas || (range && (several_areas_ || late))) {
    return std::nullopt;
  }
  if (range && given.area.sheets() > 1) {
    wait(Value(Code::parameters));
    return std::nullopt;
  }
  Matrix out = call_.given(index) ? call_.matrix(index) : Matrix(1, 1, Value(0.0));
  if (given.is_cell()) {
    if (out.at(0, 0).is_error()) waiting_ = out.at(0, 0);
  } else if (given.kind == Operand::Kind::value && waiting_.is_error()) {
    out.at(0, 0) = std::exchange(waiting_, Value());
  }
  return out;
}

std::optional<LastFirst::Arrays> LastFirst::arrays(std::size_t first) {
  auto later = array(first + 1);
  auto earlier = array(first);
  if (earlier && later) return Arrays{*std::move(earlier), *std::move(later)};
  refuse(no_array(later ? first : first + 1));
  return std::nullopt;
}

Error LastFirst::no_array(std::size_t index) const {
  return refused(Error(Code::parameters,
                       fmt::format("{}: argument {} must be one range of one sheet, or an array",
                                   call_.name(), index + 1),
                       static_cast<int>(index)));
}

Error LastFirst::refused(Error otherwise) const {
  return waiting_.is_error() ? waiting_.error() : std::move(otherwise);
}

}  // namespace loftledger::standard
