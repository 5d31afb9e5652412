// From what the grammar read to numbers and units.
#include "engine/base/quantity.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <string>
#include <utility>

#include "engine/base/plain_text.hpp"
#include "engine/base/quantity_grammar.hpp"

namespace loftledger {

namespace {

Error refused(std::string sentence) { return Error(Code::argument, std::move(sentence)); }

// Reads digits only, correctly rounded.
Result<double> digits_value(const std::string& digits, std::string_view written) {
  double value = 0;
  const char* end = digits.data() + digits.size();
  const auto [stop, problem] = std::from_chars(digits.data(), end, value);
  if (problem == std::errc::result_out_of_range) {
    return refused(fmt::format("{} is too large or too small a number", written));
  }
  if (problem != std::errc{} || stop != end) {
    return refused(fmt::format("{} is not a number", written));
  }
  return value;
}

// True where the marks cut the digits as thousands are cut: 1 to 3, then 3 and 3.
bool groups_well(std::string_view digits, char mark) {
  std::size_t run = 0;
  bool first = true;
  for (std::size_t i = 0; i <= digits.size(); ++i) {
    if (i < digits.size() && digits[i] != mark) {
      ++run;
      continue;
    }
    if (first ? run < 1 || run > 3 : run != 3) return false;
    first = false;
    run = 0;
  }
  return digits[0] != '0';
}

// Which of the marks in the digits is the decimal one: '.', ',' or 0 for neither.
Result<char> decimal_mark(std::string_view written, Marks marks) {
  const auto points = std::count(written.begin(), written.end(), '.');
  const auto commas = std::count(written.begin(), written.end(), ',');
  const bool spaced = written.find(' ') != written.npos;
  if (points == 0 && commas == 0) return '\0';
  if (marks == Marks::decimal_point) return points > 0 ? '.' : '\0';
  if (marks == Marks::decimal_comma) return commas > 0 ? ',' : '\0';
  if (points > 0 && commas > 0) return written.rfind('.') > written.rfind(',') ? '.' : ',';
  const char mark = points > 0 ? '.' : ',';
  if (points + commas > 1) return '\0';
  if (mark == '.' || spaced || !groups_well(written, ',')) return mark;
  std::string without(written);
  std::erase(without, ',');
  std::string with_point(written);
  with_point[with_point.find(',')] = '.';
  return refused(fmt::format("{} is ambiguous: it may be {} or {}; write the one that is meant",
                             written, without, with_point));
}

Result<double> numeral_value(std::string_view written, Marks marks) {
  // The exponent is set aside: marks stand before it only.
  const std::size_t e = std::min(written.find_first_of("eE"), written.size());
  const std::string_view head = written.substr(0, e);
  Result<char> mark = decimal_mark(head, marks);
  if (!mark) return std::move(mark).error();
  const std::size_t cut = *mark == '\0' ? head.size() : head.rfind(*mark);
  std::string_view front = head.substr(0, cut);
  const std::string_view back = cut < head.size() ? head.substr(cut + 1) : std::string_view();
  const bool back_is_whole =
      cut == head.size() || (!back.empty() && back.find_first_not_of("0123456789") == back.npos);
  char grouped = '\0';
  for (char c : front) {
    if (!is_digit(c)) grouped = c;
  }
  if (!back_is_whole || (grouped != '\0' && (grouped == *mark || !groups_well(front, grouped)))) {
    if (grouped != '\0' && *mark == '\0' && marks != Marks::either && grouped != ' ') {
      return refused(fmt::format("in {} the {} should set thousands apart, but does not", written,
                                 grouped == ',' ? "comma" : "point"));
    }
    return refused(
        fmt::format("{} is not a number: its marks or spaces do not set thousands apart", written));
  }
  std::string digits(front);
  if (grouped != '\0') std::erase(digits, grouped);
  if (cut < head.size()) digits = fmt::format("{}.{}", digits.empty() ? "0" : digits, back);
  std::string_view tail = written.substr(e);
  if (!tail.empty()) {
    tail.remove_prefix(1);
    if (tail[0] == '+') tail.remove_prefix(1);
    digits = fmt::format("{}e{}", digits, tail);
  }
  return digits_value(digits, written);
}

Result<long double> amount_value(const AmountText& text, Marks marks) {
  if (text.denominator.empty()) {
    Result<double> value = numeral_value(text.digits, marks);
    if (!value) return std::move(value).error();
    return static_cast<long double>(*value);
  }
  const std::string fraction = fmt::format("{}/{}", text.numerator, text.denominator);
  Result<double> above = digits_value(text.numerator, fraction);
  if (!above) return std::move(above).error();
  Result<double> below = digits_value(text.denominator, fraction);
  if (!below) return std::move(below).error();
  if (*below == 0) return refused(fmt::format("{} divides by zero", fraction));
  const long double part = static_cast<long double>(*above) / *below;
  if (text.digits.empty()) return part;
  if (part >= 1) {
    return refused(
        fmt::format("the fraction {} behind {} is not less than 1", fraction, text.digits));
  }
  Result<double> before = digits_value(text.digits, text.digits);
  if (!before) return std::move(before).error();
  return *before + part;
}

std::string shown_amount(const AmountText& text) {
  if (text.denominator.empty()) return text.digits;
  return fmt::format("{}{}{}/{}", text.digits, text.digits.empty() ? "" : " ", text.numerator,
                     text.denominator);
}

Error unknown_unit(const std::string& written) {
  const std::string key = lowered(unit_key(written));
  if (key == "ton" || key == "tons") {
    return refused(
        fmt::format("\"{}\" is ambiguous: write t (1000 kg) or short ton (2000 lb)", written));
  }
  return refused(fmt::format("\"{}\" is no unit that is known", written));
}

bool compounds(Dimension d) {
  using enum Dimension;
  return d == mass || d == length || d == volume || d == time;
}

Result<Measured> quantity_value(const QuantityText& text, Marks marks) {
  long double sum = 0;
  const Unit* first = nullptr;
  const Unit* before = nullptr;
  for (const PartText& part : text.parts) {
    Result<long double> amount = amount_value(part.amount, marks);
    if (!amount) return std::move(amount).error();
    const Unit* unit = part.unit.empty() ? nullptr : find_unit(part.unit);
    if (unit == nullptr && !part.unit.empty()) return unknown_unit(part.unit);
    if (unit == nullptr && text.parts.size() > 1) {
      return refused(fmt::format("{} stands beside another number and has no unit",
                                 shown_amount(part.amount)));
    }
    if (before != nullptr && (unit->dimension != before->dimension || unit->size >= before->size ||
                              !compounds(unit->dimension))) {
      return refused(fmt::format("{} {} cannot follow a number in {}", shown_amount(part.amount),
                                 part.unit, before->symbol));
    }
    if (first == nullptr) first = unit;
    sum += unit == nullptr || unit == first ? *amount : *amount * unit->size / first->size;
    before = unit;
  }
  const double value = static_cast<double>(text.sign == "-" ? -sum : sum);
  if (!std::isfinite(value)) return refused("the number is too large");
  return Measured{value, first};
}

}  // namespace

Result<Measured> parse_quantity(std::string_view text, Marks marks) {
  Result<RangeText> range = divide_quantity(text);
  if (!range) return std::move(range).error();
  if (range->size() > 1) return refused("it reads as a range; one quantity is due");
  return quantity_value(range->front(), marks);
}

Result<MeasuredRange> parse_range(std::string_view text, Marks marks) {
  Result<RangeText> range = divide_quantity(text);
  if (!range) return std::move(range).error();
  Result<Measured> low = quantity_value(range->front(), marks);
  if (!low) return std::move(low).error();
  if (range->size() == 1) return MeasuredRange{*low, *low};
  Result<Measured> high = quantity_value(range->back(), marks);
  if (!high) return std::move(high).error();
  // "4 to 5 kg": one unit serves both ends.
  if (low->unit == nullptr) low->unit = high->unit;
  if (high->unit == nullptr) high->unit = low->unit;
  if (low->unit != nullptr && low->unit->dimension != high->unit->dimension) {
    return refused(fmt::format("its ends are {} and {}", info(low->unit->dimension).name,
                               info(high->unit->dimension).name));
  }
  return MeasuredRange{*low, *high};
}

}  // namespace loftledger
