#include "engine/standard/values/text_number.hpp"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <limits>

#include "engine/format/scanner.hpp"
#include "engine/standard/values/typed_dates.hpp"

namespace loftledger::standard {

namespace {

// Whether digits that are out of range stand for next to nothing, and not for too much.
bool next_to_nothing(std::string_view digits) {
  const std::size_t mark = std::min(digits.find('e'), digits.size());
  const std::string_view mantissa = digits.substr(0, mark);
  const std::size_t point = std::min(mantissa.find('.'), mark);
  const std::size_t first = mantissa.find_first_of("123456789");
  if (first == mantissa.npos) return true;
  if (mark == digits.size()) return first > point;
  const bool negative = digits[mark + 1] == '-';
  double exponent = std::numeric_limits<double>::max();
  const char* const begin = digits.data() + mark + (negative ? 2 : 1);
  std::from_chars(begin, digits.data() + digits.size(), exponent);
  return static_cast<double>(point) - static_cast<double>(first) +
             (negative ? -exponent : exponent) <
         0;
}

// The number of plain digits with or without a point and an exponent; nothing for one that is too
// large to be held.
std::optional<double> decimal(std::string_view digits) {
  double number = 0;
  const auto read = std::from_chars(digits.data(), digits.data() + digits.size(), number);
  if (read.ec == std::errc{} || (!digits.empty() && next_to_nothing(digits))) return number;
  return std::nullopt;
}

// What stands about the digits of a number.
struct Dress {
  bool minus = false;
  bool sign = false;     // any sign
  bool bracket = false;  // open
  bool currency = false;
};

// Signs, an opening bracket and the currency sign before the digits.
Dress read_prefix(Scanner& in) {
  Dress dress;
  for (;;) {
    in.spaces();
    if (!dress.currency && in.take('$')) {
      dress.currency = true;
    } else if (!dress.sign && (in.peek() == '-' || in.peek() == '(')) {
      dress.sign = dress.minus = true;
      dress.bracket = in.take('(');
      if (!dress.bracket) in.take('-');
    } else if (!dress.sign && in.take('+')) {
      dress.sign = true;
    } else {
      return dress;
    }
  }
}

// Digits with or without thousands separators, as plain digits: any number of them first, then
// groups of three. Nothing where there are none, or a separator stands wrong.
std::optional<std::string> read_whole(Scanner& in) {
  std::string out(in.digits());
  while (!out.empty() && in.take(',')) {
    const std::string_view group = in.digits();
    if (group.size() != 3) return std::nullopt;
    out += group;
  }
  return out;
}

// "E+05" with spaces before and between; nothing where none follows.
std::optional<std::string> read_exponent(Scanner& in) {
  const std::size_t place = in.place();
  in.spaces();
  if (in.take('E') || in.take('e')) {
    in.spaces();
    std::string out = in.take('-') ? "e-" : "e";
    if (out.size() == 1) in.take('+');
    in.spaces();
    const std::string_view digits = in.digits();
    if (!digits.empty()) return out += digits;
  }
  in.go_back(place);
  return std::nullopt;
}

// "1/2" behind a whole number and a space.
std::optional<double> read_fraction(Scanner& in) {
  const std::size_t place = in.place();
  if (in.spaces() > 0) {
    const std::string_view above = in.digits();
    in.spaces();
    if (!above.empty() && in.take('/')) {
      in.spaces();
      const auto dividend = decimal(above);
      const auto divisor = decimal(in.digits());
      if (dividend && divisor && *divisor != 0) return *dividend / *divisor;
    }
  }
  in.go_back(place);
  return std::nullopt;
}

std::optional<NumberRead> read_plain(std::string_view text) {
  Scanner in(text);
  Dress dress = read_prefix(in);
  const auto whole = read_whole(in);
  if (!whole) return std::nullopt;
  NumberRead out;
  std::string digits = *whole;
  if (const auto part = whole->empty() ? std::nullopt : read_fraction(in)) {
    if (dress.currency || text.find(',') != text.npos) return std::nullopt;
    const auto number = decimal(digits);
    if (!number) return std::nullopt;
    out = {*number + *part, Reading::fraction};
    if (!std::isfinite(out.value)) return std::nullopt;
  } else {
    if (in.take('.')) {
      const std::string_view decimals = in.digits();
      if (whole->empty() && decimals.empty()) return std::nullopt;
      digits = (digits.empty() ? "0." : digits + ".") + std::string(decimals);
    } else if (whole->empty()) {
      return std::nullopt;
    }
    if (const auto exponent = read_exponent(in)) {
      if (dress.currency) return std::nullopt;
      digits += *exponent;
      out.reading = Reading::scientific;
    }
    const auto number = decimal(digits);
    // Digits that are too many are no number to the office; an exponent that is too large makes
    // the largest there is.
    const bool written_large = out.reading == Reading::scientific;
    if (!number && !written_large) return std::nullopt;
    out.value = number.value_or(std::numeric_limits<double>::max());
  }
  // What may stand behind: the bracket, a sign, the currency sign, and last of all a percent sign.
  for (;;) {
    in.spaces();
    if (dress.bracket && in.take(')')) {
      dress.bracket = false;
    } else if (!dress.sign && (in.peek() == '-' || in.peek() == '+')) {
      dress.sign = true;
      dress.minus = in.take('-');
      if (!dress.minus) in.take('+');
    } else if (!dress.currency && out.reading == Reading::number && in.take('$')) {
      dress.currency = true;
    } else {
      break;
    }
  }
  if (dress.bracket) return std::nullopt;
  if (dress.currency) out.reading = Reading::currency;
  if (out.reading == Reading::number && in.take('%')) {
    out = {out.value / 100, Reading::percent};
  }
  in.spaces();
  if (!in.at_end()) return std::nullopt;
  if (dress.minus) out.value = -out.value;
  return out;
}

std::optional<NumberRead> read_truth(std::string_view text) {
  for (const bool truth : {true, false}) {
    Scanner in(text);
    in.spaces();
    if (!in.take_word(truth ? "TRUE" : "FALSE")) continue;
    in.spaces();
    if (in.at_end()) return NumberRead{truth ? 1.0 : 0.0, Reading::boolean};
  }
  return std::nullopt;
}

}  // namespace

std::optional<NumberRead> read_typed(std::string_view text, const sheet::Settings& settings) {
  if (const auto number = read_plain(text)) return number;
  // Most texts are no numbers: tell them at a glance.
  const bool digit = text.find_first_of("0123456789") != text.npos;
  if (!digit) return read_truth(text);
  if (const auto time = read_time(text)) return NumberRead{*time, Reading::time};
  return read_date(text, settings);
}

}  // namespace loftledger::standard
