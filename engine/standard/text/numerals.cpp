// Functions between numbers and their texts: TEXT, FIXED, DOLLAR, VALUE, NUMBERVALUE.
#include <algorithm>
#include <cmath>
#include <cstdlib>

#include "engine/base/number_text.hpp"
#include "engine/format/number_format.hpp"
#include "engine/standard/text/functions.hpp"
#include "engine/standard/values/text_number.hpp"
#include "engine/standard/values/unicode.hpp"

namespace loftledger::standard {

namespace {

Operand no_format(const std::string& code) {
  return Error(Code::argument, "TEXT: \"" + code + "\" is no format code", 1);
}

Operand text(Call& call) {
  const std::string code = call.text(1);
  const Value value = call.scalar(0);
  if (call.failed()) return call.failure();
  // A text that reads as a number is shown as one.
  const Value number = to_number(value, call.settings());
  const bool is_text = number.is_error();
  if (code.empty()) return Operand::text(is_text ? to_text(value) : std::string());
  const auto format = NumberFormat::read(code);
  if (!format) return no_format(code);
  if (is_text) return Operand::text(format->format(value.text()));
  return Operand::text(
      format->format(number.number(), call.settings().null_date).value_or(std::string(kNotShown)));
}

// --- FIXED and DOLLAR

struct Rounded {
  double number = 0;
  int places = 0;
};

// Halves away from zero on the binary number: unlike ROUND, 1.005 goes to 1.00.
Rounded rounded(Call& call, bool has_places) {
  const double places = has_places ? std::floor(call.number(1)) : 2;
  constexpr double kMostPlaces = 15;
  if (!call.failed() && std::fabs(places) > kMostPlaces) {
    call.fail(
        Error(Code::argument, std::string(call.name()) + ": the places lie from -15 to 15", 1));
    return {};
  }
  const double number = call.number(0);
  const double scale = std::pow(10.0, places);
  // Where there are no places left to scale, there is nothing to round either.
  if (!std::isfinite(number * scale)) return {number, static_cast<int>(std::max(places, 0.0))};
  const double whole =
      number < 0 ? std::ceil(number * scale - 0.5) : std::floor(number * scale + 0.5);
  return {whole / scale, static_cast<int>(std::max(places, 0.0))};
}

Operand formatted(const Call& call, const Rounded& value, std::string code) {
  if (call.failed()) return call.failure();
  if (value.places > 0) code += "." + std::string(static_cast<std::size_t>(value.places), '0');
  const auto shown = NumberFormat::read(code)->format(value.number, call.settings().null_date);
  return shown ? Operand::text(*shown) : Operand(Code::argument);
}

Operand fixed(Call& call) {
  const bool plain = call.truth(2, false);
  const Rounded value = rounded(call, call.given(1));
  return formatted(call, value, plain ? "0" : "#,##0");
}

// Places left out between separators are none.
Operand dollar(Call& call) { return formatted(call, rounded(call, call.count() > 1), "$#,##0"); }

// --- Texts to numbers

Operand value(Call& call) {
  const Value given = call.scalar(0);
  if (call.failed()) return call.failure();
  if (!given.is_text()) return given.is_empty() ? Operand(0.0) : Operand(given);
  const auto read = read_typed(given.text(), call.settings());
  if (!read) {
    return Error(Code::argument, "VALUE: \"" + std::string(given.text()) + "\" is no number", 0);
  }
  return read->value;
}

// The text with every character of the list taken out.
std::string without(std::string_view text, std::string_view characters) {
  std::string out;
  for (std::size_t i = 0; i < text.size();) {
    const std::size_t begin = i;
    decode(text, i);
    const std::string_view point = text.substr(begin, i - begin);
    if (characters.find(point) == characters.npos) out += point;
  }
  return out;
}

Operand number_value(Call& call) {
  const std::string groups = call.text(2, "");
  const std::string decimal = call.text(1, "");
  if (!call.failed() && call.count() > 1 && length(decimal) != 1) {
    return Error(Code::argument, "NUMBERVALUE: the decimal separator is one character", 1);
  }
  if (!call.failed() && !decimal.empty() && groups.find(decimal) != groups.npos) {
    return Error(Code::argument, "NUMBERVALUE: the separators must differ", 2);
  }
  const Value given = call.scalar(0);
  if (call.failed()) return call.failure();
  if (given.is_numeric()) return given.number();
  const std::string text = to_text(given);
  const std::size_t point = decimal.empty() ? text.npos : text.find(decimal);
  std::string digits = without(text.substr(0, point), groups);
  if (point != text.npos) {
    const std::string behind = text.substr(point + decimal.size());
    digits += behind.find('.') == behind.npos ? "." + behind : "..";
  } else if (digits.find('.') != digits.npos) {
    digits += '.';
  }
  digits = without(digits, " \t\r\n");
  int percents = 0;
  for (; digits.ends_with('%'); ++percents) digits.pop_back();
  if (text.empty()) return Code::value;
  if (digits.empty()) return 0.0;
  const auto number = read_number(digits);
  if (!number) return Error(Code::value, "NUMBERVALUE: \"" + text + "\" is no number", 0);
  return call.finish(*number * std::pow(10.0, -2 * percents));
}

constexpr StandardFunction kFunctions[] = {
    {"DOLLAR", dollar, 1, 2, "v", Group::office},
    {"FIXED", fixed, 1, 3, "v", Group::medium},
    {"NUMBERVALUE", number_value, 1, 3, "v", Group::large},
    {"TEXT", text, 2, 2, "v", Group::large},
    {"VALUE", value, 1, 1, "v", Group::small},
};

}  // namespace

StandardFunctions numeral_functions() { return kFunctions; }

}  // namespace loftledger::standard
