// Units of measure, and the grammar of quantities. Definitions of the units: the inch is 2.54 cm
// and the pound 0.45359237 kg (1959 agreement; NIST SP 811, appendix B.8), the US gallon 231 in³,
// standard gravity 9.80665 m/s², tex 1 g/km (ISO 1144), denier 1 g in 9 km.
#include "engine/base/quantity.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <boost/fusion/include/adapt_struct.hpp>
#include <boost/spirit/home/x3.hpp>
#include <charconv>
#include <cmath>
#include <optional>
#include <unordered_map>
#include <vector>

namespace loftledger {

namespace {

constexpr std::array kDimensions{
    DimensionInfo{Dimension::number, "number", ""},
    DimensionInfo{Dimension::ratio, "ratio", ""},
    DimensionInfo{Dimension::count, "count", ""},
    DimensionInfo{Dimension::money, "amount of money", ""},
    DimensionInfo{Dimension::mass, "mass", "g"},
    DimensionInfo{Dimension::length, "length", "cm"},
    DimensionInfo{Dimension::area, "area", "cm²"},
    DimensionInfo{Dimension::volume, "volume", "L"},
    DimensionInfo{Dimension::density, "density", "kg/m³"},
    DimensionInfo{Dimension::specific_volume, "volume per mass", "cm³/kg"},
    DimensionInfo{Dimension::pressure, "pressure", "Pa"},
    DimensionInfo{Dimension::time, "time", "min"},
    DimensionInfo{Dimension::linear_density, "linear density", "dtex"},
    DimensionInfo{Dimension::power, "power", "kW"},
    DimensionInfo{Dimension::rate, "number an hour", "1/h"},
};

constexpr bool in_order() {
  for (std::size_t i = 0; i < kDimensions.size(); ++i) {
    if (static_cast<std::size_t>(kDimensions[i].dimension) != i) return false;
  }
  return true;
}
static_assert(in_order(), "info() looks a dimension up by its place");

constexpr long double kPound = 0.45359237L;
constexpr long double kOunce = kPound / 16;
constexpr long double kInch = 0.0254L;
constexpr long double kFoot = 0.3048L;
constexpr long double kYard = 0.9144L;
constexpr long double kCubicInch = kInch * kInch * kInch;
constexpr long double kCubicFoot = kFoot * kFoot * kFoot;
constexpr long double kLitre = 0.001L;
constexpr long double kMillilitre = 0.000001L;
constexpr long double kGallon = 231 * kCubicInch;
constexpr long double kPsi = kPound * 9.80665L / (kInch * kInch);

using enum Dimension;
constexpr Unit kUnits[] = {
    {"g", mass, 0.001L},
    {"gram", mass, 0.001L},
    {"grams", mass, 0.001L},
    {"gramme", mass, 0.001L},
    {"grammes", mass, 0.001L},
    {"kg", mass, 1},
    {"kgs", mass, 1},
    {"kilo", mass, 1},
    {"kilos", mass, 1},
    {"kilogram", mass, 1},
    {"kilograms", mass, 1},
    {"kilogramme", mass, 1},
    {"kilogrammes", mass, 1},
    {"mg", mass, 0.000001L},
    {"milligram", mass, 0.000001L},
    {"milligrams", mass, 0.000001L},
    {"lb", mass, kPound},
    {"lbs", mass, kPound},
    {"pound", mass, kPound},
    {"pounds", mass, kPound},
    {"oz", mass, kOunce},
    {"ozs", mass, kOunce},
    {"ounce", mass, kOunce},
    {"ounces", mass, kOunce},
    {"t", mass, 1000},
    {"tonne", mass, 1000},
    {"tonnes", mass, 1000},
    {"metric ton", mass, 1000},
    {"metric tons", mass, 1000},
    {"short ton", mass, 2000 * kPound},
    {"short tons", mass, 2000 * kPound},

    {"m", length, 1},
    {"metre", length, 1},
    {"metres", length, 1},
    {"meter", length, 1},
    {"meters", length, 1},
    {"cm", length, 0.01L},
    {"centimetre", length, 0.01L},
    {"centimetres", length, 0.01L},
    {"centimeter", length, 0.01L},
    {"centimeters", length, 0.01L},
    {"mm", length, 0.001L},
    {"millimetre", length, 0.001L},
    {"millimetres", length, 0.001L},
    {"millimeter", length, 0.001L},
    {"millimeters", length, 0.001L},
    {"in", length, kInch},
    {"ins", length, kInch},
    {"inch", length, kInch},
    {"inches", length, kInch},
    {"\"", length, kInch},
    {"″", length, kInch},
    {"”", length, kInch},
    {"ft", length, kFoot},
    {"foot", length, kFoot},
    {"feet", length, kFoot},
    {"'", length, kFoot},
    {"′", length, kFoot},
    {"’", length, kFoot},
    {"yd", length, kYard},
    {"yds", length, kYard},
    {"yard", length, kYard},
    {"yards", length, kYard},

    {"cm²", area, 0.0001L},
    {"cm2", area, 0.0001L},
    {"sq cm", area, 0.0001L},
    {"m²", area, 1},
    {"m2", area, 1},
    {"sq m", area, 1},
    {"in²", area, kInch* kInch},
    {"in2", area, kInch* kInch},
    {"sq in", area, kInch* kInch},
    {"ft²", area, kFoot* kFoot},
    {"ft2", area, kFoot* kFoot},
    {"sq ft", area, kFoot* kFoot},

    {"L", volume, kLitre},
    {"l", volume, kLitre},
    {"litre", volume, kLitre},
    {"litres", volume, kLitre},
    {"liter", volume, kLitre},
    {"liters", volume, kLitre},
    {"dm³", volume, kLitre},
    {"dm3", volume, kLitre},
    {"mL", volume, kMillilitre},
    {"ml", volume, kMillilitre},
    {"millilitre", volume, kMillilitre},
    {"millilitres", volume, kMillilitre},
    {"milliliter", volume, kMillilitre},
    {"milliliters", volume, kMillilitre},
    {"cm³", volume, kMillilitre},
    {"cm3", volume, kMillilitre},
    {"cu cm", volume, kMillilitre},
    {"cc", volume, kMillilitre},
    {"m³", volume, 1},
    {"m3", volume, 1},
    {"cu m", volume, 1},
    {"cbm", volume, 1},
    {"cubic metre", volume, 1},
    {"cubic metres", volume, 1},
    {"cubic meter", volume, 1},
    {"cubic meters", volume, 1},
    {"in³", volume, kCubicInch},
    {"in3", volume, kCubicInch},
    {"cu in", volume, kCubicInch},
    {"cubic inch", volume, kCubicInch},
    {"cubic inches", volume, kCubicInch},
    {"ft³", volume, kCubicFoot},
    {"ft3", volume, kCubicFoot},
    {"cu ft", volume, kCubicFoot},
    {"cubic foot", volume, kCubicFoot},
    {"cubic feet", volume, kCubicFoot},
    {"gal", volume, kGallon},
    {"gal (US)", volume, kGallon},
    {"US gal", volume, kGallon},
    {"gallon", volume, kGallon},
    {"gallons", volume, kGallon},
    {"US gallon", volume, kGallon},
    {"US gallons", volume, kGallon},

    {"kg/m³", density, 1},
    {"kg/m3", density, 1},
    {"g/L", density, 1},
    {"g/l", density, 1},
    {"kg/L", density, 1000},
    {"kg/l", density, 1000},
    {"g/mL", density, 1000},
    {"g/ml", density, 1000},
    {"g/cm³", density, 1000},
    {"g/cm3", density, 1000},
    {"g/cc", density, 1000},
    {"lb/ft³", density, kPound / kCubicFoot},
    {"lb/ft3", density, kPound / kCubicFoot},
    {"lb/cu ft", density, kPound / kCubicFoot},
    {"lbs/ft3", density, kPound / kCubicFoot},
    {"lbs/cu ft", density, kPound / kCubicFoot},
    {"oz/in³", density, kOunce / kCubicInch},
    {"oz/in3", density, kOunce / kCubicInch},
    {"oz/cu in", density, kOunce / kCubicInch},
    {"oz/ft³", density, kOunce / kCubicFoot},
    {"oz/ft3", density, kOunce / kCubicFoot},

    {"cm³/kg", specific_volume, kMillilitre},
    {"cm3/kg", specific_volume, kMillilitre},
    {"cm³/g", specific_volume, kLitre},
    {"cm3/g", specific_volume, kLitre},
    {"L/kg", specific_volume, kLitre},
    {"l/kg", specific_volume, kLitre},
    {"m³/kg", specific_volume, 1},
    {"m3/kg", specific_volume, 1},
    {"in³/lb", specific_volume, kCubicInch / kPound},
    {"in3/lb", specific_volume, kCubicInch / kPound},
    {"cu in/lb", specific_volume, kCubicInch / kPound},
    {"in³/kg", specific_volume, kCubicInch},
    {"in3/kg", specific_volume, kCubicInch},
    {"in³/oz", specific_volume, kCubicInch / kOunce},
    {"in3/oz", specific_volume, kCubicInch / kOunce},
    {"cu in/oz", specific_volume, kCubicInch / kOunce},
    {"ft³/lb", specific_volume, kCubicFoot / kPound},
    {"ft3/lb", specific_volume, kCubicFoot / kPound},
    {"cu ft/lb", specific_volume, kCubicFoot / kPound},

    {"Pa", pressure, 1},
    {"kPa", pressure, 1000},
    {"MPa", pressure, 1000000},
    {"GPa", pressure, 1000000000},
    {"psi", pressure, kPsi},
    {"lb/in²", pressure, kPsi},
    {"lb/in2", pressure, kPsi},

    {"s", time, 1},
    {"sec", time, 1},
    {"secs", time, 1},
    {"second", time, 1},
    {"seconds", time, 1},
    {"min", time, 60},
    {"mins", time, 60},
    {"minute", time, 60},
    {"minutes", time, 60},
    {"h", time, 3600},
    {"hr", time, 3600},
    {"hrs", time, 3600},
    {"hour", time, 3600},
    {"hours", time, 3600},
    {"day", time, 86400},
    {"days", time, 86400},
    {"week", time, 604800},
    {"weeks", time, 604800},

    {"dtex", linear_density, 0.0000001L},
    {"decitex", linear_density, 0.0000001L},
    {"tex", linear_density, 0.000001L},
    {"den", linear_density, 0.001L / 9000},
    {"denier", linear_density, 0.001L / 9000},

    {"kW", power, 1000},
    {"W", power, 1},
    {"watt", power, 1},
    {"watts", power, 1},

    {"%", ratio, 0.01L},
    {"percent", ratio, 0.01L},
    {"per cent", ratio, 0.01L},
};

char lower(char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; }
bool is_digit(char c) { return c >= '0' && c <= '9'; }
bool is_letter(char c) { return lower(c) >= 'a' && lower(c) <= 'z'; }

std::string lowered(std::string_view text) {
  std::string out(text);
  for (char& c : out) c = lower(c);
  return out;
}

// The marks of typography that mean the same as a plain one.
struct Alias {
  std::string_view written;
  std::string_view plain;
};
constexpr Alias kAliases[] = {
    {"\u00A0", " "},     {"\u202F", " "},      {"\u2007", " "},     {"\u2009", " "},
    {"\t", " "},         {"\n", " "},          {"\r", " "},         {"\u2212", "-"},
    {"\u2010", "-"},     {"\u2011", "-"},      {"\u2012", "-"},     {"\u2013", "-"},
    {"\u2014", "-"},     {"\u2044", "/"},      {"\u00B2", "2"},     {"\u00B3", "3"},
    {"\u2033", "\""},    {"\u201D", "\""},     {"\u2032", "'"},     {"\u2019", "'"},
    {"\u00BC", " 1/4 "}, {"\u00BD", " 1/2 "},  {"\u00BE", " 3/4 "}, {"\u2150", " 1/7 "},
    {"\u2151", " 1/9 "}, {"\u2152", " 1/10 "}, {"\u2153", " 1/3 "}, {"\u2154", " 2/3 "},
    {"\u2155", " 1/5 "}, {"\u2156", " 2/5 "},  {"\u2157", " 3/5 "}, {"\u2158", " 4/5 "},
    {"\u2159", " 1/6 "}, {"\u215A", " 5/6 "},  {"\u215B", " 1/8 "}, {"\u215C", " 3/8 "},
    {"\u215D", " 5/8 "}, {"\u215E", " 7/8 "},
};

// Typography out, runs of spaces to one, none at the ends.
std::string plain(std::string_view text) {
  std::string out;
  auto add = [&out](char c) {
    if (c != ' ' || (!out.empty() && out.back() != ' ')) out += c;
  };
  while (!text.empty()) {
    const Alias* found = nullptr;
    if (text[0] < ' ' || static_cast<unsigned char>(text[0]) >= 0x80) {
      for (const Alias& each : kAliases) {
        if (text.starts_with(each.written)) found = &each;
      }
    }
    if (found == nullptr) {
      add(text[0]);
      text.remove_prefix(1);
    } else {
      for (char c : found->plain) add(c);
      text.remove_prefix(found->written.size());
    }
  }
  if (!out.empty() && out.back() == ' ') out.pop_back();
  return out;
}

// How a unit is looked up: "lb." as "lb", "m^3" as "m3", "kg / m3" and "kg per m3" as "kg/m3".
std::string unit_key(std::string_view symbol) {
  std::string key = plain(symbol);
  if (const auto per = key.find(" per "); per != std::string::npos) key.replace(per, 5, "/");
  std::string out;
  for (std::size_t i = 0; i < key.size(); ++i) {
    const char c = key[i];
    const bool beside_slash =
        c == ' ' && ((i > 0 && key[i - 1] == '/') || (i + 1 < key.size() && key[i + 1] == '/'));
    if (c != '^' && c != '.' && !beside_slash) out += c;
  }
  return out;
}

struct UnitIndex {
  std::unordered_map<std::string_view, const Unit*> as_listed;
  std::unordered_map<std::string, const Unit*> exact;
  std::unordered_map<std::string, const Unit*> any_case;
};

const UnitIndex& unit_index() {
  static const auto* index = [] {
    auto* built = new UnitIndex;
    for (const Unit& unit : kUnits) {
      built->as_listed.emplace(unit.symbol, &unit);
      const std::string key = unit_key(unit.symbol);
      built->exact.emplace(key, &unit);
      built->any_case.emplace(lowered(key), &unit);
    }
    return built;
  }();
  return *index;
}

// "Mg" is a million grams and "mPa" a thousandth of a pascal: where a first letter m or M is a
// prefix, its case counts, unless all is in capitals ("MM").
bool prefix_differs(std::string_view key, std::string_view symbol) {
  if (key[0] == symbol[0] || lower(key[0]) != 'm') return false;
  const bool capitals = key.find_first_of("abcdefghijklmnopqrstuvwxyz") == key.npos;
  if (capitals && key.size() > 1 && symbol[0] == 'm') return false;
  const std::string rest = lowered(key.substr(1));
  return rest.empty() || rest == "g" || rest == "m" || rest == "l" || rest == "pa";
}

// --- The grammar, over plain text.

struct AmountText {
  std::string digits;  // "1 234,5", with its marks
  std::string numerator;
  std::string denominator;
};
struct PartText {
  AmountText amount;
  std::string unit;  // as written; empty where there is none
};
struct QuantityText {
  std::string sign;
  std::vector<PartText> parts;
};
using RangeText = std::vector<QuantityText>;  // one quantity, or the two ends

}  // namespace
}  // namespace loftledger

BOOST_FUSION_ADAPT_STRUCT(loftledger::AmountText, digits, numerator, denominator)
BOOST_FUSION_ADAPT_STRUCT(loftledger::PartText, amount, unit)
BOOST_FUSION_ADAPT_STRUCT(loftledger::QuantityText, sign, parts)

namespace loftledger {
namespace {

namespace x3 = boost::spirit::x3;

// A unit of the table, of up to three words, the longest that there is; else one unknown word.
struct UnitParser : x3::parser<UnitParser> {
  using attribute_type = std::string;
  static constexpr bool has_attribute = true;

  static std::size_t word_end(std::string_view text, std::size_t at) {
    const std::size_t start = at;
    while (at < text.size()) {
      const char c = text[at];
      const bool mark = c == '%' || c == '"' || c == '\'';
      if (mark && at == start) return at + 1;
      // "ft3" and "m3/kg", but "2lb3oz" is two pounds and three ounces.
      const bool power =
          (c == '2' || c == '3') &&
          (at + 1 == text.size() || !(is_letter(text[at + 1]) || is_digit(text[at + 1])));
      const bool inside = at > start && (c == '/' || c == '^' || c == '.' || c == ')' ||
                                         (power && !is_digit(text[at - 1])));
      const bool high_byte = static_cast<unsigned char>(c) >= 0x80;
      if (!is_letter(c) && !high_byte && !inside && c != '(') break;
      ++at;
    }
    return at;
  }

  template <class It, class Context, class RuleContext, class Attribute>
  bool parse(It& first, const It& last, const Context& context, RuleContext&,
             Attribute& attribute) const {
    x3::skip_over(first, last, context);
    const std::string_view text(first, static_cast<std::size_t>(last - first));
    if (text.empty()) return false;
    const std::size_t one = word_end(text, 0);
    if (one == 0 || text.substr(0, one) == "to" || text.substr(0, one) == "and") return false;
    std::size_t best = 0;
    std::size_t end = one;
    for (int words = 1; words <= 4; ++words) {
      if (find_unit(text.substr(0, end)) != nullptr) best = end;
      if (end >= text.size()) break;
      std::size_t next = end;
      while (next < text.size() && (text[next] == ' ' || text[next] == '/')) ++next;
      const std::size_t further = word_end(text, next);
      if (further == next) break;
      end = further;
    }
    if (best == 0) best = one;
    x3::traits::move_to(std::string(text.substr(0, best)), attribute);
    first += static_cast<std::ptrdiff_t>(best);
    return true;
  }
};

namespace grammar {
using x3::attr;
using x3::char_;
using x3::lit;
using x3::omit;
using x3::raw;
using x3::repeat;

// Not x3::digit, which must not be asked about bytes beyond ASCII.
const auto digit = char_('0', '9');
const auto spaces = omit[*lit(' ')];
const auto whole = raw[+digit];
const auto run = +(digit | char_(".,"));
const auto group = lit(' ') >> &(repeat(3)[digit] >> !digit) >> run;
const auto exponent = char_("eE") >> -char_("+-") >> +digit;
const auto numeral = raw[run >> *group >> -exponent];

const x3::rule<class Amount, AmountText> amount = "amount";
const auto amount_def = (whole >> omit[char_(" -")] >> whole >> '/' >> whole) |
                        (attr(std::string()) >> whole >> '/' >> whole) |
                        (numeral >> attr(std::string()) >> attr(std::string()));
const x3::rule<class Part, PartText> part = "part";
const auto part_def = amount >> spaces >> (UnitParser{} | attr(std::string()));
const x3::rule<class Whole, QuantityText> quantity = "quantity";
const auto quantity_def = (raw[char_("+-")] | attr(std::string())) >> spaces >>
                          (part % (omit[-lit(',')] >> spaces));
const x3::rule<class Range, RangeText> range = "range";
const auto range_def = omit[-((lit("from") | lit("between")) >> spaces)] >>
                       (quantity % omit[spaces >> (lit("to") | lit("and") | '-') >> spaces]);
BOOST_SPIRIT_DEFINE(amount, part, quantity, range)
}  // namespace grammar

// --- From what was read to numbers.

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

bool compounds(Dimension d) { return d == mass || d == length || d == volume || d == time; }

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

// No quantity is longer, and no sentence should be.
constexpr std::size_t kLongestText = 120;

Result<RangeText> read(std::string_view written) {
  if (written.size() > kLongestText) {
    return refused(fmt::format("the text is longer than {} characters", kLongestText));
  }
  const std::string text = plain(written);
  if (text.empty()) return refused("the text is empty");
  RangeText out;
  const char* first = text.data();
  const char* const last = first + text.size();
  if (!x3::parse(first, last, grammar::range, out)) {
    return refused("it does not begin with a number");
  }
  if (first != last) {
    return refused(fmt::format("it is not understood from \"{}\" on", std::string(first, last)));
  }
  if (out.size() > 2) return refused("it names more than two ends of a range");
  return out;
}

}  // namespace

const DimensionInfo& info(Dimension dimension) {
  return kDimensions[static_cast<std::size_t>(dimension)];
}

bool measured(Dimension dimension) {
  return dimension >= Dimension::mass && dimension <= Dimension::power;
}

std::span<const Unit> units() { return kUnits; }

const Unit* find_unit(std::string_view symbol) {
  const UnitIndex& index = unit_index();
  if (const auto found = index.as_listed.find(symbol); found != index.as_listed.end()) {
    return found->second;
  }
  const std::string key = unit_key(symbol);
  if (key.empty()) return nullptr;
  if (const auto found = index.exact.find(key); found != index.exact.end()) return found->second;
  const auto found = index.any_case.find(lowered(key));
  if (found == index.any_case.end()) return nullptr;
  return prefix_differs(key, found->second->symbol) ? nullptr : found->second;
}

Result<Measured> parse_quantity(std::string_view text, Marks marks) {
  Result<RangeText> range = read(text);
  if (!range) return std::move(range).error();
  if (range->size() > 1) return refused("it reads as a range; one quantity is due");
  return quantity_value(range->front(), marks);
}

Result<MeasuredRange> parse_range(std::string_view text, Marks marks) {
  Result<RangeText> range = read(text);
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

double convert(double value, const Unit& from, const Unit& to) {
  if (from.size == to.size) return value;
  return static_cast<double>(value * from.size / to.size);
}

}  // namespace loftledger
