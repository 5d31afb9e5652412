#include "engine/ods/shown_text.hpp"

#include <fmt/format.h>

#include <array>
#include <cmath>
#include <cstdlib>
#include <string_view>

#include "engine/ods/office_value.hpp"

namespace loftledger::ods {

namespace {

using Kind = FormatPart::Kind;

constexpr std::array<std::string_view, 12> kMonths = {
    "January", "February", "March",     "April",   "May",      "June",
    "July",    "August",   "September", "October", "November", "December"};
constexpr std::array<std::string_view, 7> kDays = {"Sunday",   "Monday", "Tuesday", "Wednesday",
                                                   "Thursday", "Friday", "Saturday"};
constexpr int kMostDigits = 15;  // that a double is sure to hold

// The number as 15 digits and the place of its decimal point behind the first of them.
struct Decimal {
  std::string digits;
  int exponent = 0;
};
Decimal decimal_of(double number) {
  const std::string text = fmt::format("{:.{}e}", std::fabs(number), kMostDigits - 1);
  const std::size_t e = text.find('e');
  Decimal out{text.substr(0, 1) + text.substr(2, e - 2), std::atoi(text.c_str() + e + 1)};
  return out;
}

// Rounds half up, on the digits that a person sees, to that many decimals.
std::string fixed(double number, int decimals) {
  Decimal d = decimal_of(number);
  // Digits from the one before the point on, so that there always is one.
  if (d.exponent < 0) {
    d.digits.insert(0, static_cast<std::size_t>(-d.exponent), '0');
    d.exponent = 0;
  }
  const auto point = static_cast<std::size_t>(d.exponent) + 1;
  const std::size_t size = point + static_cast<std::size_t>(decimals);
  const bool up = size < d.digits.size() && d.digits[size] >= '5';
  d.digits.resize(size, '0');
  std::size_t at = size;
  bool carry = up;
  while (carry && at > 0) {
    --at;
    carry = d.digits[at] == '9';
    d.digits[at] = carry ? '0' : static_cast<char>(d.digits[at] + 1);
  }
  std::string out = (carry ? "1" : "") + d.digits;
  if (decimals > 0) out.insert(out.size() - static_cast<std::size_t>(decimals), ".");
  return out;
}

bool all_zeros(std::string_view digits) { return digits.find_first_not_of("0.") == digits.npos; }

// The digits before the point, filled up, grouped and with the format's own texts between them.
std::string whole_part(std::string_view digits, const FormatPart& part) {
  std::string filled(digits == "0" && part.least_digits == 0 ? "" : digits);
  const auto least = static_cast<std::size_t>(part.least_digits);
  if (filled.size() < least) filled.insert(0, least - filled.size(), '0');
  std::string out;
  for (std::size_t i = 0; i < filled.size(); ++i) {
    out += filled[i];
    const std::size_t right = filled.size() - i - 1;
    if (part.grouping && right > 0 && right % 3 == 0) out += ',';
    const auto text = part.embedded.find(static_cast<int>(right));
    if (text != part.embedded.end() && right > 0) out += text->second;
  }
  return out;
}

std::string number_part(double number, const FormatPart& part) {
  number /= part.divisor;
  if (part.decimals < 0) return general_text(std::fabs(number));
  const std::string text = fixed(number, part.decimals);
  const std::size_t point = text.find('.');
  std::string out = whole_part(std::string_view(text).substr(0, point), part);
  if (point == text.npos) return out;
  std::string decimals = text.substr(point + 1);
  if (!part.replacement.empty() && all_zeros(decimals)) return out + "." + part.replacement;
  while (static_cast<int>(decimals.size()) > part.least_decimals && decimals.back() == '0') {
    decimals.pop_back();
  }
  return decimals.empty() ? out : out + "." + decimals;
}

std::string scientific_part(double number, const FormatPart& part) {
  const int decimals = std::max(part.decimals, 0);
  // Rounding can bring the next power of ten.
  int exponent = number == 0 ? 0 : decimal_of(number).exponent;
  std::string digits;
  for (int round = 0; round < 2; ++round) {
    const int step = part.exponent_interval;
    exponent = static_cast<int>(std::floor(static_cast<double>(exponent) / step)) * step;
    digits = fixed(number / std::pow(10.0, exponent), decimals);
    const std::size_t point = std::min(digits.find('.'), digits.size());
    if (static_cast<int>(point) <= std::max(step, 1)) break;
    exponent += step;
  }
  const std::size_t point = std::min(digits.find('.'), digits.size());
  const std::string_view sign = exponent < 0 ? "-" : part.exponent_sign ? "+" : "";
  return fmt::format("{}{}E{}{:0{}}", whole_part(std::string_view(digits).substr(0, point), part),
                     std::string_view(digits).substr(point), sign, std::abs(exponent),
                     part.exponent_digits);
}

std::string two_digits(double number, bool long_form) {
  return fmt::format("{:0{}.0f}", number, long_form ? 2 : 1);
}

std::string seconds_part(double seconds, const FormatPart& part) {
  const int decimals = std::max(part.decimals, 0);
  // What is shown without decimals has begun, and is not rounded up.
  if (decimals == 0) return two_digits(std::floor(seconds + 1e-6), part.long_form);
  return fmt::format("{:0{}.{}f}", seconds, (part.long_form ? 3 : 2) + decimals, decimals);
}

// The week of the year by ISO 8601: the one that holds the year's first Thursday is the first.
int week_of(const Moment& at, double serial, std::int64_t null_date) {
  const double day = std::floor(serial);
  const int from_monday = static_cast<int>((at.weekday + 6) % 7);
  const std::optional<Moment> thursday = moment_of(day + 3 - from_monday, null_date, 0);
  if (!thursday) return 0;
  int days = static_cast<int>(thursday->day) - 1;
  for (double back = day + 3 - from_monday;;) {
    const std::optional<Moment> then = moment_of(back - days - 1, null_date, 0);
    if (!then || then->year != thursday->year) break;
    days += static_cast<int>(then->day);
  }
  return days / 7 + 1;
}

struct Shown {
  const NumberFormat& format;
  double number;
  Moment at;
  double hours = 0;  // of the whole time
  std::int64_t null_date;

  std::string part(const FormatPart& p) const;
  bool twelve_hours() const {
    for (const FormatPart& p : format.parts) {
      if (p.kind == Kind::half_of_day) return true;
    }
    return false;
  }
};

std::string Shown::part(const FormatPart& p) const {
  switch (p.kind) {
    case Kind::text:
      return p.text;
    case Kind::number:
      return number_part(format.kind == NumberFormat::Kind::percentage ? number * 100 : number, p);
    case Kind::scientific:
      return scientific_part(number, p);
    case Kind::boolean:
      return number != 0 ? "TRUE" : "FALSE";
    case Kind::year:
      return p.long_form ? fmt::format("{}", at.year > 0 ? at.year : at.year - 1)
                         : fmt::format("{:02}", std::abs(at.year) % 100);
    case Kind::quarter:
      return fmt::format("{}{}", p.long_form ? "Quarter " : "Q", (at.month + 2) / 3);
    case Kind::month:
      if (p.words) return std::string(kMonths[at.month - 1].substr(0, p.long_form ? 99 : 3));
      return two_digits(at.month, p.long_form);
    case Kind::week:
      return fmt::format("{}", week_of(at, number, null_date));
    case Kind::day:
      return two_digits(at.day, p.long_form);
    case Kind::weekday:
      return std::string(kDays[at.weekday].substr(0, p.long_form ? 99 : 3));
    case Kind::hours:
      if (format.whole_hours) return two_digits(hours, p.long_form);
      return two_digits(twelve_hours() ? (at.hour + 11) % 12 + 1 : at.hour, p.long_form);
    case Kind::minutes:
      return two_digits(at.minute, p.long_form);
    case Kind::seconds:
      return seconds_part(at.second, p);
    case Kind::half_of_day:
      return at.hour < 12 ? "AM" : "PM";
    case Kind::other:
      break;
  }
  return {};
}

bool holds(const NumberFormat::Condition& c, double number) {
  if (c.operation == "<") return number < c.limit;
  if (c.operation == "<=") return number <= c.limit;
  if (c.operation == ">") return number > c.limit;
  if (c.operation == ">=") return number >= c.limit;
  if (c.operation == "!=") return number != c.limit;
  return c.operation == "=" && number == c.limit;
}

// The format that the conditions choose, and whether it stands for negative numbers alone and so
// says itself how they are shown.
struct Chosen {
  const NumberFormat* format;
  bool sign_inside;
};
Chosen choose(const NumberFormat& format, double number, const Styles& styles) {
  bool negative_left = false;
  for (const NumberFormat::Condition& c : format.conditions) {
    const NumberFormat* other = styles.format(c.format);
    if (holds(c, number) && other != nullptr) return {other, c.operation == "<" && c.limit == 0};
    negative_left = negative_left || (c.limit == 0 && c.operation.starts_with('>'));
  }
  return {&format, negative_left && number < 0};
}

std::string formatted(double number, const NumberFormat& given, const Styles& styles,
                      std::int64_t null_date) {
  const auto [format, sign_inside] = choose(given, number, styles);
  const bool calendar =
      format->kind == NumberFormat::Kind::date || format->kind == NumberFormat::Kind::time;
  Shown shown{*format, number, {}, 0, null_date};
  if (calendar) {
    // A time that may run on is counted from 0 in either direction.
    const double moment = format->whole_hours ? std::fabs(number) : number;
    const std::optional<Moment> at = moment_of(moment, null_date, 7);
    if (!at) return general_text(number);
    shown.at = *at;
    shown.hours = std::floor(moment) * 24 + at->hour;
  }
  std::string out;
  bool digits = false;
  for (const FormatPart& part : format->parts) {
    if (part.kind == Kind::other) return general_text(number);
    const std::string piece = shown.part(part);
    const bool numeric = part.kind == Kind::number || part.kind == Kind::scientific;
    digits = digits || (numeric && piece.find_first_of("123456789") != piece.npos);
    out += piece;
  }
  const bool sign = number < 0 && !sign_inside && (calendar ? format->whole_hours : digits);
  return sign ? "-" + out : out;
}

}  // namespace

std::string general_text(double number) {
  if (number == 0) return "0";
  Decimal d = decimal_of(number);
  while (d.digits.size() > 1 && d.digits.back() == '0') d.digits.pop_back();
  const std::string sign = number < 0 ? "-" : "";
  if (d.exponent > kMostDigits || d.exponent < -9) {
    if (d.digits.size() > 1) d.digits.insert(1, ".");
    return fmt::format("{}{}E{}{:02}", sign, d.digits, d.exponent < 0 ? "-" : "+",
                       std::abs(d.exponent));
  }
  if (d.exponent < 0) {
    return sign + "0." + std::string(static_cast<std::size_t>(-d.exponent - 1), '0') + d.digits;
  }
  const auto point = static_cast<std::size_t>(d.exponent) + 1;
  if (d.digits.size() <= point) return sign + d.digits.append(point - d.digits.size(), '0');
  return sign + d.digits.insert(point, ".");
}

std::string shown_text(const Value& value, const NumberFormat* format, const Styles& styles,
                       std::int64_t null_date) {
  switch (value.kind()) {
    case Value::Kind::empty:
      return {};
    case Value::Kind::text:
      return std::string(value.text());
    case Value::Kind::error:
      return shown(value.code());
    case Value::Kind::boolean:
      if (format == nullptr) return value.number() != 0 ? "TRUE" : "FALSE";
      break;
    case Value::Kind::number:
      break;
  }
  if (format == nullptr || format->kind == NumberFormat::Kind::text) {
    return general_text(value.number());
  }
  return formatted(value.number(), *format, styles, null_date);
}

}  // namespace loftledger::ods
