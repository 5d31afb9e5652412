#include "engine/ods/styles.hpp"

#include <algorithm>
#include <cstdlib>
#include <optional>
#include <utility>

#include "engine/base/number_text.hpp"

namespace loftledger::ods {

namespace {

using Token = Scanner::Token;

constexpr int kMostParents = 20;  // styles that name each other in a ring must not hang
constexpr int kMostDigits = 300;  // no double has more

std::optional<NumberFormat::Kind> kind_of(Name element) {
  switch (element) {
    case "number:number-style"_name:
      return NumberFormat::Kind::number;
    case "number:percentage-style"_name:
      return NumberFormat::Kind::percentage;
    case "number:currency-style"_name:
      return NumberFormat::Kind::currency;
    case "number:date-style"_name:
      return NumberFormat::Kind::date;
    case "number:time-style"_name:
      return NumberFormat::Kind::time;
    case "number:boolean-style"_name:
      return NumberFormat::Kind::boolean;
    case "number:text-style"_name:
      return NumberFormat::Kind::text;
    default:
      return std::nullopt;
  }
}

FormatPart::Kind part_kind(Name element) {
  using Kind = FormatPart::Kind;
  switch (element) {
    case "number:text"_name:
    case "number:currency-symbol"_name:
      return Kind::text;
    case "number:number"_name:
      return Kind::number;
    case "number:scientific-number"_name:
      return Kind::scientific;
    case "number:boolean"_name:
      return Kind::boolean;
    case "number:year"_name:
      return Kind::year;
    case "number:quarter"_name:
      return Kind::quarter;
    case "number:month"_name:
      return Kind::month;
    case "number:week-of-year"_name:
      return Kind::week;
    case "number:day"_name:
      return Kind::day;
    case "number:day-of-week"_name:
      return Kind::weekday;
    case "number:hours"_name:
      return Kind::hours;
    case "number:minutes"_name:
      return Kind::minutes;
    case "number:seconds"_name:
      return Kind::seconds;
    case "number:am-pm"_name:
      return Kind::half_of_day;
    default:
      return Kind::other;
  }
}

int whole(std::string_view text, int otherwise) {
  const std::optional<double> number = read_number(text);
  if (!number) return otherwise;
  return static_cast<int>(std::clamp(*number, 0.0, double{kMostDigits}));
}

void read_attributes(const Scanner& scanner, FormatPart& part) {
  std::string scratch;
  bool replaced = false;
  for (const Attribute& a : scanner.attributes()) {
    const std::string_view value = scanner.value(a, scratch);
    switch (a.name) {
      case "number:decimal-places"_name:
        part.decimals = whole(value, part.decimals);
        break;
      case "number:min-decimal-places"_name:
        part.least_decimals = whole(value, part.least_decimals);
        break;
      case "number:min-integer-digits"_name:
        part.least_digits = whole(value, part.least_digits);
        break;
      case "number:min-exponent-digits"_name:
        part.exponent_digits = whole(value, part.exponent_digits);
        break;
      case "number:exponent-interval"_name:
        part.exponent_interval = std::max(1, whole(value, 1));
        break;
      case "number:forced-exponent-sign"_name:
        part.exponent_sign = value != "false";
        break;
      case "number:grouping"_name:
        part.grouping = value == "true";
        break;
      case "number:display-factor"_name:
        part.divisor = read_number(value).value_or(1);
        break;
      case "number:decimal-replacement"_name:
        part.replacement = value;
        replaced = true;
        break;
      case "number:style"_name:
        part.long_form = value == "long";
        break;
      case "number:textual"_name:
        part.words = value == "true";
        break;
      default:
        break;
    }
  }
  if (part.least_decimals < 0) part.least_decimals = replaced ? 0 : part.decimals;
  if (part.divisor == 0) part.divisor = 1;
}

// A part's text, and the texts embedded in its digits, up to its end.
Token read_content(Scanner& scanner, FormatPart& part) {
  const std::size_t outside = scanner.depth() - 1;
  std::string* text = &part.text;
  for (;;) {
    const Token token = scanner.next();
    if (token == Token::text) scanner.append_text(*text);
    if (token == Token::start && scanner.name() == "number:embedded-text"_name) {
      text = &part.embedded[whole(scanner.text_of("number:position"_name), 0)];
    }
    if (token == Token::end) text = &part.text;
    if (token == Token::failed || (token == Token::end && scanner.depth() == outside)) return token;
  }
}

// "value()>=0"
void read_condition(const Scanner& scanner, NumberFormat& format) {
  std::string condition = scanner.text_of("style:condition"_name);
  if (!condition.starts_with("value()")) return;
  const std::size_t number = condition.find_first_of("-0123456789.", 7);
  if (number == condition.npos) return;
  const std::optional<double> limit = read_number(std::string_view(condition).substr(number));
  if (!limit) return;
  format.conditions.push_back(
      {condition.substr(7, number - 7), *limit, scanner.text_of("style:apply-style-name"_name)});
}

}  // namespace

Token Styles::read(Scanner& scanner) {
  const std::size_t inside = scanner.depth();
  for (;;) {
    Token token = scanner.next();
    if (token == Token::start) {
      if (const auto kind = kind_of(scanner.name())) {
        token = read_format(scanner, *kind);
      } else {
        const bool cell = scanner.name() == "style:style"_name &&
                          scanner.text_of("style:family"_name) == "table-cell";
        if (cell) {
          cells_[scanner.text_of("style:name"_name)] = {
              scanner.text_of("style:data-style-name"_name),
              scanner.text_of("style:parent-style-name"_name)};
        }
        token = scanner.skip();
      }
    }
    if (token == Token::failed || (token == Token::end && scanner.depth() < inside)) return token;
  }
}

Token Styles::read_format(Scanner& scanner, NumberFormat::Kind kind) {
  const std::size_t outside = scanner.depth() - 1;
  NumberFormat format;
  format.kind = kind;
  format.whole_hours = scanner.text_of("number:truncate-on-overflow"_name) == "false";
  std::string name = scanner.text_of("style:name"_name);
  for (;;) {
    Token token = scanner.next();
    if (token == Token::start) {
      if (scanner.name() == "style:map"_name) {
        read_condition(scanner, format);
        token = scanner.skip();
      } else if (scanner.name() == "style:text-properties"_name) {
        token = scanner.skip();
      } else {
        FormatPart part;
        part.kind = part_kind(scanner.name());
        read_attributes(scanner, part);
        token = read_content(scanner, part);
        format.parts.push_back(std::move(part));
      }
    }
    if (token == Token::failed) return token;
    if (token == Token::end && scanner.depth() == outside) {
      formats_[std::move(name)] = std::move(format);
      return token;
    }
  }
}

const NumberFormat* Styles::format(std::string_view name) const {
  const auto found = formats_.find(name);
  return found == formats_.end() ? nullptr : &found->second;
}

const NumberFormat* Styles::of_cell(std::string_view style) const {
  for (int i = 0; i < kMostParents; ++i) {
    const auto found = cells_.find(style);
    if (found == cells_.end()) return nullptr;
    if (!found->second.format.empty()) return format(found->second.format);
    style = found->second.parent;
  }
  return nullptr;
}

}  // namespace loftledger::ods
