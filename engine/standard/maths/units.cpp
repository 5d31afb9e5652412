// CONVERT and EUROCONVERT (OpenFormula 6.16.18 and 6.16.29).
#include <cmath>
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>

#include "engine/base/ascii.hpp"
#include "engine/standard/call/numbers.hpp"
#include "engine/standard/maths/functions.hpp"

namespace loftledger::standard {

namespace {

enum class Kind : std::uint8_t {
  mass,
  length,
  time,
  pressure,
  force,
  energy,
  power,
  magnetism,
  temperature,
  volume,
  area,
  speed,
  information,
};

// What a unit may stand after: k, m and the other powers of ten, to the power that area or volume
// asks for; or ki, Mi and the other powers of 1024 as well.
enum class Prefixes : std::uint8_t { none, metric, squared, cubed, binary };

struct Unit {
  std::string_view name;
  Kind kind;
  double size;  // in the first unit of the kind; of a temperature one degree in kelvins
  Prefixes prefixes = Prefixes::none;
  double zero = 0;  // kelvins at 0 degrees
};

constexpr double kInch = 0.0254;
constexpr double kFoot = 0.3048;
constexpr double kYard = 0.9144;
constexpr double kMile = 1609.344;
constexpr double kNauticalMile = 1852;
constexpr double kPoint = kInch / 72;
constexpr double kLightYear = 9460528e9;
constexpr double kTeaspoon =
    231 * kInch * kInch * kInch * 1000 / 768;  // a gallon is 231 cubic inches

constexpr double square(double x) { return x * x; }
constexpr double cube(double x) { return x * x * x; }
constexpr double litres(double metre_edge) { return cube(metre_edge) * 1000; }

// The sizes that are no round numbers are those the office reckons with, though some differ from
// the definitions in the seventh digit: a workbook shows the same in both.
constexpr Unit kUnits[] = {
    {"g", Kind::mass, 1, Prefixes::metric},
    {"sg", Kind::mass, 14593.8424189287},
    {"lbm", Kind::mass, 1000 / 2.20462291469134},
    {"u", Kind::mass, 1 / 6.02213700000000e23, Prefixes::metric},
    {"ozm", Kind::mass, 28.3495152079732},
    {"stone", Kind::mass, 6350.29497120141},
    {"ton", Kind::mass, 907184.995885916},
    {"grain", Kind::mass, 0.0647989030841686},
    {"pweight", Kind::mass, 1.41747623459345},
    {"hweight", Kind::mass, 50802.3468652158},
    {"shweight", Kind::mass, 45359.2292196897},
    {"brton", Kind::mass, 1016046.93730432},
    {"cwt", Kind::mass, 45359.237},
    {"lcwt", Kind::mass, 50802.34544},
    {"uk_cwt", Kind::mass, 50802.34544},
    {"uk_ton", Kind::mass, 1016046.9088},
    {"LTON", Kind::mass, 1016046.9088},
    {"m", Kind::length, 1, Prefixes::metric},
    {"in", Kind::length, kInch},
    {"ft", Kind::length, kFoot},
    {"mi", Kind::length, kMile},
    {"Nmi", Kind::length, kNauticalMile},
    {"yd", Kind::length, kYard},
    {"ang", Kind::length, 1e-10, Prefixes::metric},
    {"Pica", Kind::length, kPoint},
    {"pica", Kind::length, 0.00423333333333235},
    {"picapt", Kind::length, kPoint},
    {"ell", Kind::length, 1.1430000505206},
    {"parsec", Kind::length, 3.08567785708313e16, Prefixes::metric},
    {"pc", Kind::length, 3.08567785708313e16, Prefixes::metric},
    {"lightyear", Kind::length, kLightYear, Prefixes::metric},
    {"ly", Kind::length, kLightYear, Prefixes::metric},
    {"survey_mi", Kind::length, 1609.34721869444},
    {"yr", Kind::time, 31557600},
    {"day", Kind::time, 86400},
    {"d", Kind::time, 86400},
    {"hr", Kind::time, 3600},
    {"mn", Kind::time, 60},
    {"min", Kind::time, 60},
    {"sec", Kind::time, 1, Prefixes::metric},
    {"s", Kind::time, 1, Prefixes::metric},
    {"Pa", Kind::pressure, 1, Prefixes::metric},
    {"atm", Kind::pressure, 101324.996583, Prefixes::metric},
    {"at", Kind::pressure, 101324.996583, Prefixes::metric},
    {"mmHg", Kind::pressure, 133.322363925, Prefixes::metric},
    {"Torr", Kind::pressure, 133.321992075874},
    {"psi", Kind::pressure, 6894.75908677537},
    {"N", Kind::force, 1, Prefixes::metric},
    {"dyn", Kind::force, 1e-5, Prefixes::metric},
    {"dy", Kind::force, 1e-5, Prefixes::metric},
    {"lbf", Kind::force, 4.448222},
    {"pond", Kind::force, 0.00980665204821735, Prefixes::metric},
    {"J", Kind::energy, 1, Prefixes::metric},
    {"e", Kind::energy, 1e-7, Prefixes::metric},
    {"c", Kind::energy, 4.18399101363671, Prefixes::metric},
    {"cal", Kind::energy, 4.18679484613929, Prefixes::metric},
    {"eV", Kind::energy, 1.60219000146921e-19, Prefixes::metric},
    {"ev", Kind::energy, 1.60219000146921e-19, Prefixes::metric},
    {"HPh", Kind::energy, 2684519.71705162},
    {"hh", Kind::energy, 2684519.71705162},
    {"Wh", Kind::energy, 3600, Prefixes::metric},
    {"wh", Kind::energy, 3600, Prefixes::metric},
    {"flb", Kind::energy, 0.0421400003236423},
    {"BTU", Kind::energy, 1055.05813786749},
    {"btu", Kind::energy, 1055.05813786749},
    {"W", Kind::power, 1, Prefixes::metric},
    {"w", Kind::power, 1, Prefixes::metric},
    {"HP", Kind::power, 745.699921403228},
    {"h", Kind::power, 745.699921403228},
    {"PS", Kind::power, 735.498542977386},
    {"T", Kind::magnetism, 1, Prefixes::metric},
    {"ga", Kind::magnetism, 1e-4, Prefixes::metric},
    {"C", Kind::temperature, 1, Prefixes::none, 273.15},
    {"cel", Kind::temperature, 1, Prefixes::none, 273.15},
    {"F", Kind::temperature, 5.0 / 9, Prefixes::none, 459.67 * 5 / 9},
    {"fah", Kind::temperature, 5.0 / 9, Prefixes::none, 459.67 * 5 / 9},
    {"K", Kind::temperature, 1, Prefixes::metric},
    {"kel", Kind::temperature, 1, Prefixes::metric},
    {"Reau", Kind::temperature, 1.25, Prefixes::none, 273.15},
    {"Rank", Kind::temperature, 5.0 / 9},
    {"tsp", Kind::volume, kTeaspoon},
    {"tspm", Kind::volume, 0.005},
    {"tbs", Kind::volume, 3 * kTeaspoon},
    {"oz", Kind::volume, 6 * kTeaspoon},
    {"cup", Kind::volume, 48 * kTeaspoon},
    {"pt", Kind::volume, 96 * kTeaspoon},
    {"us_pt", Kind::volume, 96 * kTeaspoon},
    {"uk_pt", Kind::volume, 0.56826125},
    {"qt", Kind::volume, 192 * kTeaspoon},
    {"uk_qt", Kind::volume, 1.1365225},
    {"gal", Kind::volume, 768 * kTeaspoon},
    {"uk_gal", Kind::volume, 4.54609},
    {"l", Kind::volume, 1, Prefixes::metric},
    {"L", Kind::volume, 1, Prefixes::metric},
    {"lt", Kind::volume, 1, Prefixes::metric},
    {"m3", Kind::volume, 1000, Prefixes::cubed},
    {"mi3", Kind::volume, litres(kMile)},
    {"Nmi3", Kind::volume, litres(kNauticalMile)},
    {"in3", Kind::volume, litres(kInch)},
    {"ft3", Kind::volume, litres(kFoot)},
    {"yd3", Kind::volume, litres(kYard)},
    {"ang3", Kind::volume, 1e-27, Prefixes::cubed},
    {"Pica3", Kind::volume, litres(kPoint)},
    {"picapt3", Kind::volume, litres(kPoint)},
    {"ly3", Kind::volume, litres(kLightYear)},
    {"barrel", Kind::volume, 42 * 768 * kTeaspoon},
    {"bushel", Kind::volume, 35.2390742131379},
    {"regton", Kind::volume, 2831.68439631462},
    {"GRT", Kind::volume, 2831.68439631462},
    {"MTON", Kind::volume, 0.7079211648},
    {"Schooner", Kind::volume, 0.425},
    {"Middy", Kind::volume, 0.285},
    {"Glass", Kind::volume, 0.2},
    {"Sixpack", Kind::volume, 2},
    {"Humpen", Kind::volume, 0.5},
    {"m2", Kind::area, 1, Prefixes::squared},
    {"mi2", Kind::area, square(kMile)},
    {"Nmi2", Kind::area, square(kNauticalMile)},
    {"in2", Kind::area, square(kInch)},
    {"ft2", Kind::area, square(kFoot)},
    {"yd2", Kind::area, square(kYard)},
    {"ang2", Kind::area, 1e-20, Prefixes::squared},
    {"Pica2", Kind::area, square(kPoint)},
    {"picapt2", Kind::area, square(kPoint)},
    {"ly2", Kind::area, square(kLightYear)},
    {"Morgen", Kind::area, 2500},
    {"ar", Kind::area, 100, Prefixes::metric},
    {"acre", Kind::area, 4046.85642186227},
    {"us_acre", Kind::area, 4046.87260987425},
    {"uk_acre", Kind::area, 4046.8564224},
    {"ha", Kind::area, 10000},
    {"m/s", Kind::speed, 1, Prefixes::metric},
    {"m/sec", Kind::speed, 1, Prefixes::metric},
    {"m/h", Kind::speed, 1.0 / 3600, Prefixes::metric},
    {"m/hr", Kind::speed, 1.0 / 3600, Prefixes::metric},
    {"mph", Kind::speed, kMile / 3600},
    {"kn", Kind::speed, kNauticalMile / 3600},
    {"admkn", Kind::speed, 0.5144444},
    {"bit", Kind::information, 1, Prefixes::binary},
    {"byte", Kind::information, 8, Prefixes::binary},
};

struct Prefix {
  std::string_view name;
  int power;
};
constexpr Prefix kMetric[] = {
    {"Y", 24}, {"Z", 21}, {"E", 18},  {"P", 15},  {"T", 12},  {"G", 9},   {"M", 6},
    {"k", 3},  {"h", 2},  {"da", 1},  {"e", 1},   {"d", -1},  {"c", -2},  {"m", -3},
    {"u", -6}, {"n", -9}, {"p", -12}, {"f", -15}, {"a", -18}, {"z", -21}, {"y", -24},
};
constexpr Prefix kBinary[] = {{"ki", 1}, {"Mi", 2}, {"Gi", 3}, {"Ti", 4},
                              {"Pi", 5}, {"Ei", 6}, {"Zi", 7}, {"Yi", 8}};

// Areas and volumes may be spelt with a circumflex: "m^2" as "m2".
std::string plain_spelling(std::string name) {
  const std::size_t mark = name.find('^');
  if (mark != std::string::npos && mark + 2 == name.size()) name.erase(mark, 1);
  return name;
}

double scale_of(const Prefix& prefix, Prefixes allowed) {
  const int power = allowed == Prefixes::squared ? 2 : allowed == Prefixes::cubed ? 3 : 1;
  const int exponent = prefix.power * power;
  return exponent < 0 ? 1 / std::pow(10.0, -exponent) : std::pow(10.0, exponent);
}

// The unit with its prefix, if it has one, multiplied in.
std::optional<Unit> find_unit(std::string_view name) {
  for (const Unit& unit : kUnits) {
    if (unit.name == name) return unit;
  }
  for (const Unit& unit : kUnits) {
    if (unit.prefixes == Prefixes::none || !name.ends_with(unit.name)) continue;
    const std::string_view front = name.substr(0, name.size() - unit.name.size());
    Unit out = unit;
    for (const Prefix& prefix : kMetric) {
      if (prefix.name != front) continue;
      out.size *= scale_of(prefix, unit.prefixes);
      return out;
    }
    for (const Prefix& prefix : kBinary) {
      if (unit.prefixes != Prefixes::binary || prefix.name != front) continue;
      out.size *= std::pow(1024.0, prefix.power);
      return out;
    }
  }
  return std::nullopt;
}

Operand convert(Call& call) {
  const double number = call.number(0);
  const std::string from_name = call.text(1);
  const std::string to_name = call.text(2);
  if (call.failed()) return call.failure();
  const auto from = find_unit(plain_spelling(from_name));
  const auto to = find_unit(plain_spelling(to_name));
  if (!from) return Error(Code::argument, "\"" + from_name + "\" is no unit that is known", 1);
  if (!to) return Error(Code::argument, "\"" + to_name + "\" is no unit that is known", 2);
  if (from->kind != to->kind) {
    return Error(Code::argument,
                 "\"" + from_name + "\" and \"" + to_name + "\" do not measure the same thing", 2);
  }
  if (from->name == to->name && from->size == to->size) return call.finish(number);
  return call.finish((number * from->size + from->zero - to->zero) / to->size);
}

struct Currency {
  std::string_view name;
  double per_euro;
  int decimals;
};
// The fixed rates of the currencies that the euro replaced: Council Regulation (EC) 2866/98 and the
// regulation of each country that followed (from memory; all agree with the office).
constexpr Currency kCurrencies[] = {
    {"EUR", 1, 2},       {"ATS", 13.7603, 2}, {"BEF", 40.3399, 0},  {"DEM", 1.95583, 2},
    {"ESP", 166.386, 0}, {"FIM", 5.94573, 2}, {"FRF", 6.55957, 2},  {"IEP", 0.787564, 2},
    {"ITL", 1936.27, 0}, {"LUF", 40.3399, 0}, {"NLG", 2.20371, 2},  {"PTE", 200.482, 2},
    {"GRD", 340.750, 2}, {"SIT", 239.640, 2}, {"MTL", 0.429300, 2}, {"CYP", 0.585274, 2},
    {"SKK", 30.1260, 2}, {"EEK", 15.6466, 2}, {"LVL", 0.702804, 2}, {"LTL", 3.45280, 2},
    {"HRK", 7.53450, 2}, {"BGN", 1.95583, 2},
};

std::optional<Currency> find_currency(std::string_view name) {
  for (const Currency& each : kCurrencies) {
    if (each.name == name) return each;
  }
  return std::nullopt;
}

double to_decimals(double number, double decimals) {
  const double scale = std::pow(10.0, decimals);
  return std::round(number * scale) / scale;
}

// EUROCONVERT: number; from; to; whether the result keeps all its digits; how many significant
// digits the amount in euros is rounded to on the way.
Operand convert_currency(Call& call) {
  constexpr double kFewest = 3;
  const bool rounded = call.count() > 4;
  const double digits = std::floor(call.number(4, 0.0));
  if (!call.failed() && rounded && digits < kFewest) return Code::argument;
  const double number = call.number(0);
  const auto from = find_currency(ascii::upper(call.text(1)));
  const auto to = find_currency(ascii::upper(call.text(2)));
  const bool full = call.truth(3, false);
  if (call.failed()) return call.failure();
  if (!from || !to) return Error(Code::argument, "a currency is none that the euro replaced");
  if (from->name == to->name) return number;
  double euros = number / from->per_euro;
  const bool between = from->name != "EUR" && to->name != "EUR";
  if (between && rounded) euros = to_decimals(euros, digits);
  const double out = euros * to->per_euro;
  return call.finish(full ? out : to_decimals(out, to->decimals));
}

// The older form: to or from the euro, unrounded, in the spelling of the standard (ISO 4217).
Operand convert_euro(Call& call) {
  const double number = call.number(0);
  const auto from = find_currency(call.text(1));
  const auto to = find_currency(call.text(2));
  if (call.failed()) return call.failure();
  if (!from || !to || (from->per_euro == 1) == (to->per_euro == 1)) {
    return Error(Code::not_available, "one currency must be EUR, the other one that it replaced");
  }
  return call.finish(number / from->per_euro * to->per_euro);
}

constexpr StandardFunction kFunctions[] = {
    {"CONVERT", convert, 3, 3, "nss", Group::medium, false, 1, Counting::addin},
    {"EUROCONVERT", convert_currency, 3, 5, "v", Group::large},
    {"ORG.OPENOFFICE.CONVERT", convert_euro, 3, 3, "v"},
};

}  // namespace

StandardFunctions unit_functions() { return kFunctions; }

}  // namespace loftledger::standard
