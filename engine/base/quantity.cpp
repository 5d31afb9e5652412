// From what the grammar read to numbers and units.
#include "engine/base/quantity.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <optional>
#include <string>
#include <utility>

#include "engine/base/ascii.hpp"
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

// The exponent is set aside: marks stand before it only.
std::size_t head_size(std::string_view written) {
  return std::min(written.find_first_of("eE"), written.size());
}

// True where a single mark has three digits behind it and one to three before it, and nothing in
// the number says whether it cuts off decimals or sets thousands apart. An exponent says so: it
// follows decimals.
bool ambiguous(std::string_view written) {
  const std::size_t mark = written.find_first_of(".,");
  return mark != written.npos && written.find_first_of(".,", mark + 1) == written.npos &&
         written.find_first_of(" 'eE") == written.npos && groups_well(written, written[mark]);
}

// Which of the marks in the digits is the decimal one: '.', ',' or 0 for neither.
Result<char> decimal_mark(std::string_view written, Marks marks) {
  const std::string_view head = written.substr(0, head_size(written));
  const auto points = std::count(head.begin(), head.end(), '.');
  const auto commas = std::count(head.begin(), head.end(), ',');
  if (points == 0 && commas == 0) return '\0';
  if (marks == Marks::decimal_point) return points > 0 ? '.' : '\0';
  if (marks == Marks::decimal_comma) return commas > 0 ? ',' : '\0';
  if (points > 0 && commas > 0) return head.rfind('.') > head.rfind(',') ? '.' : ',';
  if (points + commas > 1) return '\0';
  if (!ambiguous(written)) return points > 0 ? '.' : ',';
  std::string whole(written);
  std::erase_if(whole, [](char c) { return !ascii::is_digit(c); });
  // "1.234" would be refused again; a fourth decimal says what it is.
  std::string decimal = whole;
  decimal.insert(decimal.size() - 3, 1, '.');
  std::string advice = fmt::format("{}0", decimal);
  if (decimal.back() == '0') {
    decimal.erase(decimal.find_last_not_of('0') + 1);
    if (decimal.back() == '.') decimal.pop_back();
    advice = decimal;
  }
  return refused(fmt::format("{} is ambiguous: it may be {} or {}; write {} or {}", written, whole,
                             decimal, whole, advice));
}

// What one number says of the marks: "2.5" and "1,234,567" have the point as the decimal mark.
Marks named_marks(std::string_view written) {
  if (ambiguous(written)) return Marks::either;
  const Result<char> mark = decimal_mark(written, Marks::either);
  if (!mark) return Marks::either;
  if (*mark == '\0') {
    if (written.find(',') != written.npos) return Marks::decimal_point;
    return written.find('.') != written.npos ? Marks::decimal_comma : Marks::either;
  }
  return *mark == '.' ? Marks::decimal_point : Marks::decimal_comma;
}

// The convention that the numbers of a text name between them, for those that are ambiguous.
Marks settled_marks(const RangeText& range, Marks marks) {
  if (marks != Marks::either) return marks;
  bool doubt = false;
  Marks named = Marks::either;
  for (const QuantityText& quantity : range) {
    for (const PartText& part : quantity.parts) {
      doubt = doubt || ambiguous(part.amount.digits);
      const Marks here = named_marks(part.amount.digits);
      if (here == Marks::either) continue;
      if (named != Marks::either && named != here) return Marks::either;
      named = here;
    }
  }
  return doubt ? named : Marks::either;
}

Result<double> numeral_value(std::string_view written, Marks marks) {
  const std::size_t e = head_size(written);
  const std::string_view head = written.substr(0, e);
  Result<char> mark = decimal_mark(written, marks);
  if (!mark) return std::move(mark).error();
  const std::size_t cut = *mark == '\0' ? head.size() : head.rfind(*mark);
  std::string_view front = head.substr(0, cut);
  const std::string_view back = cut < head.size() ? head.substr(cut + 1) : std::string_view();
  const bool back_is_whole =
      cut == head.size() || (!back.empty() && back.find_first_not_of("0123456789") == back.npos);
  char grouped = '\0';
  for (char c : front) {
    if (!ascii::is_digit(c)) grouped = c;
  }
  if (!back_is_whole || (grouped != '\0' && (grouped == *mark || !groups_well(front, grouped)))) {
    if (grouped != '\0' && *mark == '\0' && marks != Marks::either &&
        (grouped == ',' || grouped == '.')) {
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
  if (const std::string_view meanings = unit_meanings(written); !meanings.empty()) {
    return refused(fmt::format("\"{}\" is ambiguous: write {}", written, meanings));
  }
  return refused(fmt::format("\"{}\" is no unit that is known", written));
}

// The unit of a part. Beside hours, and where a time is due, an m is a minute and not a metre.
const Unit* unit_of(const PartText& part, const Unit* before, DueDimension due) {
  const bool in_time =
      before != nullptr ? before->dimension == Dimension::time : due == Dimension::time;
  if (in_time && unit_key(part.unit) == "m") return find_unit("min");
  const Unit* unit = find_unit(part.unit);
  if (unit == nullptr || std::any_of(unit->symbol.begin(), unit->symbol.end(), ascii::is_letter)) {
    return unit;
  }
  // A mark in the unit that it stands for, which sentences can name.
  if (unit->dimension == Dimension::mass) return find_unit("lb");
  if (unit->dimension != Dimension::length) return unit;
  return find_unit(unit->size == find_unit("in")->size ? "in" : "ft");
}

bool compounds(Dimension d) {
  using enum Dimension;
  return d == mass || d == length || d == volume || d == time;
}

// True where the unit can follow, in one sum, a number in the unit before.
bool can_follow(const Unit& unit, const Unit& before) {
  return unit.dimension == before.dimension && unit.size < before.size && compounds(unit.dimension);
}

// "1:30", which the grammar hands over as a part with the unit ":" and one without.
Result<Measured> clock_value(const QuantityText& text, DueDimension due) {
  if (due != Dimension::time) {
    return refused("a text with \":\" is read as hours and minutes, and no time is due here");
  }
  const auto all_digits = [](const AmountText& amount) {
    return !amount.digits.empty() && amount.denominator.empty() &&
           std::all_of(amount.digits.begin(), amount.digits.end(), ascii::is_digit);
  };
  const bool two =
      text.parts.size() == 2 && text.parts[0].unit == ":" && text.parts[1].unit.empty();
  const std::string& minutes = text.parts.back().amount.digits;
  if (!two || !all_digits(text.parts[0].amount) || !all_digits(text.parts[1].amount) ||
      minutes.size() != 2 || minutes[0] > '5') {
    return refused("hours and minutes are written as in 1:30, with two digits from 00 to 59");
  }
  Result<double> hours = digits_value(text.parts[0].amount.digits, text.parts[0].amount.digits);
  if (!hours) return std::move(hours).error();
  Result<double> rest = digits_value(minutes, minutes);
  if (!rest) return std::move(rest).error();
  const double value = *hours * 60 + *rest;
  if (!std::isfinite(value)) return refused("the number is too large");
  return Measured{text.sign == "-" ? -value : value, find_unit("min")};
}

// "1'250 g" is 1250 g; before inches, feet or nothing it may be feet and inches too.
std::optional<Error> apostrophe_doubt(const PartText& part, const Unit* unit) {
  const std::string& digits = part.amount.digits;
  const std::size_t mark = digits.find('\'');
  if (mark == digits.npos) return std::nullopt;
  const Unit* foot = find_unit("ft");
  const bool inches = unit != nullptr && unit->size == find_unit("in")->size;
  const bool feet = unit != nullptr && unit->size == foot->size;
  const bool length = unit != nullptr && unit->dimension == foot->dimension;
  if (unit != nullptr && !(length && (inches || feet))) return std::nullopt;
  std::string without = digits;
  std::erase(without, '\'');
  const std::string shown = unit == nullptr ? "" : fmt::format(" {}", unit->symbol);
  return refused(
      fmt::format("{}{} is ambiguous: it may be {}{} or {} ft {}{}; write the one that "
                  "is meant",
                  digits, shown, without, shown, digits.substr(0, mark), digits.substr(mark + 1),
                  unit == nullptr ? " in" : shown));
}

Result<Measured> quantity_value(const QuantityText& text, Marks marks, DueDimension due) {
  const auto clock = [](const PartText& part) { return part.unit == ":"; };
  if (std::any_of(text.parts.begin(), text.parts.end(), clock)) return clock_value(text, due);
  long double sum = 0;
  const Unit* first = nullptr;
  const Unit* before = nullptr;
  for (const PartText& part : text.parts) {
    const Unit* unit = part.unit.empty() ? nullptr : unit_of(part, before, due);
    if (std::optional<Error> doubt = apostrophe_doubt(part, unit)) return *std::move(doubt);
    Result<long double> amount = amount_value(part.amount, marks);
    if (!amount) return std::move(amount).error();
    if (unit == nullptr && !part.unit.empty()) return unknown_unit(part.unit);
    if (unit == nullptr && text.parts.size() > 1) {
      return refused(fmt::format("{} stands beside another number and has no unit",
                                 shown_amount(part.amount)));
    }
    if (before != nullptr && !can_follow(*unit, *before)) {
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

// True where the parts go from larger units to smaller ones, as those of one quantity do.
bool descends(const QuantityText& text, DueDimension due) {
  const Unit* before = nullptr;
  for (const PartText& part : text.parts) {
    const Unit* unit = part.unit.empty() ? nullptr : unit_of(part, before, due);
    if (unit == nullptr || (before != nullptr && !can_follow(*unit, *before))) return false;
    before = unit;
  }
  return true;
}

// "2 lb and 3 oz" is one quantity, "4 kg and 5 kg" are the ends of a range.
Result<RangeText> divide(std::string_view text, DueDimension due) {
  if (std::optional<QuantityText> sum = divide_sum(text); sum && descends(*sum, due)) {
    return RangeText{*std::move(sum)};
  }
  return divide_quantity(text);
}

}  // namespace

std::string_view unit_meanings(std::string_view symbol) {
  const std::string key = ascii::lower(unit_key(symbol));
  if (key == "ton" || key == "tons") return "t (1000 kg) or short ton (2000 lb)";
  if (key == "cwt" || key == "cwts" || key == "hundredweight") {
    return "short cwt (100 lb) or long cwt (112 lb)";
  }
  if (key == "hp" || key == "horsepower") {
    return "metric hp (735.49875 W) or mechanical hp (745.7 W)";
  }
  return {};
}

Result<Measured> parse_quantity(std::string_view text, Marks marks, DueDimension due) {
  Result<RangeText> range = divide(text, due);
  if (!range) return std::move(range).error();
  if (range->size() > 1) return refused("it reads as a range; one quantity is due");
  return quantity_value(range->front(), settled_marks(*range, marks), due);
}

Result<MeasuredRange> parse_range(std::string_view text, Marks marks, DueDimension due) {
  Result<RangeText> range = divide(text, due);
  if (!range) return std::move(range).error();
  marks = settled_marks(*range, marks);
  Result<Measured> low = quantity_value(range->front(), marks, due);
  if (!low) return std::move(low).error();
  if (range->size() == 1) return MeasuredRange{*low, *low};
  Result<Measured> high = quantity_value(range->back(), marks, due);
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
