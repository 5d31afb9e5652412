#include "engine/standard/call/addin.hpp"

#include <fmt/format.h>

#include <limits>
#include <optional>
#include <utility>

#include "engine/standard/values/arithmetic.hpp"

namespace loftledger::standard {

namespace {

Operand whole_number(Call& call, std::size_t index) {
  const double number = truncated_as_seen(call.number(index));
  using Limits = std::numeric_limits<std::int32_t>;
  if (number < Limits::min() || number > Limits::max()) {
    call.fail(Error(Code::argument, fmt::format("{}: the number is too large", call.name()),
                    static_cast<int>(index)));
  }
  return number;
}

// A range or an array as it stands, of several sheets the first; nothing for a single value.
std::optional<Operand> rectangle(Call& call, std::size_t index) {
  Operand out = call[index];
  if (out.kind == Operand::Kind::areas) call.fail(Code::parameters);
  if (out.kind != Operand::Kind::matrix && !out.range) return std::nullopt;
  out.area.last_sheet = out.area.first_sheet;
  each_value(out, call.cells(), [&](const Value& value) {
    // One in an array shows, one in a range does not.
    const bool shows = value.is_error() && out.kind == Operand::Kind::matrix;
    if (shows) call.fail(value);
    if (value.is_error()) call.fail(Error(Code::parameters, "a range holds an error"));
    return !call.failed();
  });
  return out;
}

Operand option(Call& call, std::size_t index) {
  Value value = call.scalar(index);
  if (value.is_text() && value.text().empty()) return Operand::absent();
  return value.is_empty() ? Operand(0.0) : Operand(std::move(value));
}

Operand converted(Call& call, std::size_t index) {
  if (!call.given(index)) return Operand::absent();
  const Take take = take_of(call.function(), index);
  if (as_it_stands(take)) {
    if (auto out = rectangle(call, index)) return *std::move(out);
  }
  switch (take) {
    case Take::option:
      return option(call, index);
    case Take::whole:
    case Take::wholes:
      return whole_number(call, index);
    case Take::text:
    case Take::texts:
      return Operand::text(call.text(index));
    default:
      return call.number(index);
  }
}

}  // namespace

std::vector<Operand> addin_arguments(Call& call) {
  std::vector<Operand> out(call.count());
  for (std::size_t i = call.count(); i-- > 0 && !call.failed();) out[i] = converted(call, i);
  for (std::size_t i = 0; i < static_cast<std::size_t>(call.function().least); ++i) {
    if (!call.given(i) && take_of(call.function(), i) != Take::option) {
      call.fail(Error(Code::argument,
                      fmt::format("{}: argument {} is left out", call.name(), i + 1),
                      static_cast<int>(i)));
    }
  }
  return out;
}

double addin_option(Call& call, std::size_t index, double otherwise) {
  if (!call.given(index)) return otherwise;
  const bool single = call[index].kind == Operand::Kind::value;
  const Value number = single ? to_number(call[index].value, call.settings()) : Value();
  if (!single || number.is_error()) {
    call.fail(Error(Code::argument,
                    fmt::format("{}: argument {} is no number", call.name(), index + 1),
                    static_cast<int>(index)));
    return otherwise;
  }
  return number.number();
}

}  // namespace loftledger::standard
