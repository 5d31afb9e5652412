// CONVERT and EUROCONVERT (OpenFormula 6.16.18 and 6.16.29).
//
// Sizes of units: engine/base/units_in_si.hpp, and further
// - BIPM, The International System of Units (SI Brochure), 9th edition, 2019: table 7 (prefixes),
//   table 8 (astronomical unit, dalton, electronvolt, hectare), section 2.2 (speed of light);
// - NIST Special Publication 811, 2008: appendix B.6 (survey foot), appendix B.8 (are, angstrom,
//   atmosphere, British thermal unit, calories, dyne, erg, gauss, grain, horsepower, hundredweight,
//   imperial gallon, knot, mercury, nautical mile, pennyweight, pica, point, pond, register ton,
//   slug, torr);
// - NIST Handbook 44, appendix C (barrel, bushel, acre, measures of the kitchen);
// - IAU resolution B2 of 2015 (parsec), and the Julian year of the IAU's style manual of 1989;
// - IEC 80000-13 (binary prefixes).
// A size that these give in rounded figures is worked out from the unit's definition instead. Units
// that none of them has stand with their definition below. Tables and sections are named from
// memory.
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <numbers>
#include <optional>
#include <string>
#include <string_view>

#include "engine/base/ascii.hpp"
#include "engine/base/units_in_si.hpp"
#include "engine/standard/call/numbers.hpp"
#include "engine/standard/maths/functions.hpp"

namespace loftledger::standard {

namespace {

enum class Quantity : std::uint8_t {
  area,
  energy,
  flux_density,
  force,
  information,
  length,
  mass,
  power,
  pressure,
  speed,
  temperature,
  time,
  volume,
};

// Which prefixes a unit takes: those of the SI, which count twice in "cm2" and three times in
// "cm3", or those of the powers of 1024 as well.
enum class Prefixes : std::uint8_t { none, simple, squared, cubed, binary };

struct Unit {
  std::string_view symbol;
  Quantity quantity;
  long double size;  // in the SI unit, or in bits; of a temperature one degree in kelvins
  Prefixes prefixes = Prefixes::none;
  double zero = 0;  // kelvins at 0 degrees
};

using namespace si;

constexpr long double kAcre = 4840 * squared(kYard);
constexpr long double kAngstrom = 1e-10L;
constexpr long double kAtmosphere = 101325;
constexpr long double kGrain = kPound / 7000;
constexpr long double kGram = 0.001L;
constexpr long double kHectare = 10000;
constexpr long double kHorsepower = 550 * kPoundForce * kFoot;  // each second
constexpr long double kImperialGallon = 4.54609L * kLitre;
constexpr long double kLongHundredweight = 112 * kPound;
constexpr long double kNauticalMile = 1852;
constexpr long double kPoint = kInch / 72;
constexpr long double kSurveyFoot = 1200 / 3937.0L;

// The calorie of the International Table, and the heat that makes a pound of water one degree
// Fahrenheit warmer where the same heats a gram by one degree Celsius.
constexpr long double kCalorie = 4.1868L;
constexpr long double kBritishHeat = kCalorie / kGram * kPound * 5 / 9;

constexpr long double kYear = 365.25L * kDay;  // the Julian one
constexpr long double kLightYear = 299792458 * kYear;
constexpr long double kParsec = 149597870700 * (648000 / std::numbers::pi_v<long double>);

// By quantity, then by symbol. Definitions of what the publications lack: the ell of England is 45
// inches; the Morgen is the one of 1869, a quarter of a hectare; the admiralty's knot is 6080 feet
// an hour; a measurement ton (MTON) is 40 cubic feet and a stone 14 pounds; teaspoon, tablespoon
// and cup are 1/768, 1/256 and 1/16 of a gallon, and the metric teaspoon (tspm) 5 mL. Glass, Middy,
// Schooner, Humpen and Sixpack are the office's own, as it counts them. "flb" is the work of a
// pound-force over a foot, which is what the standard calls a foot-pound.
using enum Quantity;
constexpr Unit kUnits[] = {
    {"Morgen", area, kHectare / 4},
    {"Nmi2", area, squared(kNauticalMile)},
    {"Pica2", area, squared(kPoint)},
    {"acre", area, kAcre},
    {"ang2", area, squared(kAngstrom), Prefixes::squared},
    {"ar", area, kHectare / 100, Prefixes::simple},
    {"ft2", area, squared(kFoot)},
    {"ha", area, kHectare},
    {"in2", area, squared(kInch)},
    {"ly2", area, squared(kLightYear)},
    {"m2", area, 1, Prefixes::squared},
    {"mi2", area, squared(kMile)},
    {"picapt2", area, squared(kPoint)},
    {"uk_acre", area, kAcre},
    {"us_acre", area, 43560 * squared(kSurveyFoot)},
    {"yd2", area, squared(kYard)},

    {"BTU", energy, kBritishHeat},
    {"HPh", energy, kHorsepower* kHour},
    {"J", energy, 1, Prefixes::simple},
    {"Wh", energy, kHour, Prefixes::simple},
    {"btu", energy, kBritishHeat},
    {"c", energy, 4.184L, Prefixes::simple},
    {"cal", energy, kCalorie, Prefixes::simple},
    {"e", energy, 1e-7L, Prefixes::simple},
    {"eV", energy, 1.602176634e-19L, Prefixes::simple},
    {"ev", energy, 1.602176634e-19L, Prefixes::simple},
    {"flb", energy, kPoundForce* kFoot},
    {"hh", energy, kHorsepower* kHour},
    {"wh", energy, kHour, Prefixes::simple},

    {"T", flux_density, 1, Prefixes::simple},
    {"ga", flux_density, 1e-4L, Prefixes::simple},

    {"N", force, 1, Prefixes::simple},
    {"dy", force, 1e-5L, Prefixes::simple},
    {"dyn", force, 1e-5L, Prefixes::simple},
    {"lbf", force, kPoundForce},
    {"pond", force, kGram* kStandardGravity, Prefixes::simple},

    {"bit", information, 1, Prefixes::binary},
    {"byte", information, 8, Prefixes::binary},

    {"Nmi", length, kNauticalMile},
    {"Pica", length, kPoint},
    {"ang", length, kAngstrom, Prefixes::simple},
    {"ell", length, 45 * kInch},
    {"ft", length, kFoot},
    {"in", length, kInch},
    {"lightyear", length, kLightYear, Prefixes::simple},
    {"ly", length, kLightYear, Prefixes::simple},
    {"m", length, 1, Prefixes::simple},
    {"mi", length, kMile},
    {"parsec", length, kParsec, Prefixes::simple},
    {"pc", length, kParsec, Prefixes::simple},
    {"pica", length, kInch / 6},
    {"picapt", length, kPoint},
    {"survey_mi", length, 5280 * kSurveyFoot},
    {"yd", length, kYard},

    {"LTON", mass, 20 * kLongHundredweight},
    {"brton", mass, 20 * kLongHundredweight},
    {"cwt", mass, kShortTon / 20},
    {"g", mass, kGram, Prefixes::simple},
    {"grain", mass, kGrain},
    {"hweight", mass, kLongHundredweight},
    {"lbm", mass, kPound},
    {"lcwt", mass, kLongHundredweight},
    {"ozm", mass, kOunce},
    {"pweight", mass, 24 * kGrain},
    {"sg", mass, kPoundForce / kFoot},
    {"shweight", mass, kShortTon / 20},
    {"stone", mass, 14 * kPound},
    {"ton", mass, kShortTon},
    {"u", mass, 1.66053906660e-27L, Prefixes::simple},
    {"uk_cwt", mass, kLongHundredweight},
    {"uk_ton", mass, 20 * kLongHundredweight},

    {"HP", power, kHorsepower},
    {"PS", power, 75 * kStandardGravity},
    {"W", power, 1, Prefixes::simple},
    {"h", power, kHorsepower},
    {"w", power, 1, Prefixes::simple},

    {"Pa", pressure, 1, Prefixes::simple},
    {"Torr", pressure, kAtmosphere / 760},
    {"at", pressure, kAtmosphere, Prefixes::simple},
    {"atm", pressure, kAtmosphere, Prefixes::simple},
    {"mmHg", pressure, 13.5951L * kStandardGravity, Prefixes::simple},
    {"psi", pressure, kPsi},

    {"admkn", speed, 6080 * kFoot / kHour},
    {"kn", speed, kNauticalMile / kHour},
    {"m/h", speed, 1 / kHour, Prefixes::simple},
    {"m/hr", speed, 1 / kHour, Prefixes::simple},
    {"m/s", speed, 1, Prefixes::simple},
    {"m/sec", speed, 1, Prefixes::simple},
    {"mph", speed, kMile / kHour},

    {"C", temperature, 1, Prefixes::none, 273.15},
    {"F", temperature, 5 / 9.0L, Prefixes::none, 459.67 * 5 / 9},
    {"K", temperature, 1, Prefixes::simple},
    {"Rank", temperature, 5 / 9.0L},
    {"Reau", temperature, 1.25L, Prefixes::none, 273.15},
    {"cel", temperature, 1, Prefixes::none, 273.15},
    {"fah", temperature, 5 / 9.0L, Prefixes::none, 459.67 * 5 / 9},
    {"kel", temperature, 1, Prefixes::simple},

    {"d", time, kDay},
    {"day", time, kDay},
    {"hr", time, kHour},
    {"min", time, kMinute},
    {"mn", time, kMinute},
    {"s", time, 1, Prefixes::simple},
    {"sec", time, 1, Prefixes::simple},
    {"yr", time, kYear},

    {"GRT", volume, 100 * cubed(kFoot)},
    {"Glass", volume, kLitre / 5},
    {"Humpen", volume, kLitre / 2},
    {"L", volume, kLitre, Prefixes::simple},
    {"MTON", volume, 40 * cubed(kFoot)},
    {"Middy", volume, 0.285L * kLitre},
    {"Nmi3", volume, cubed(kNauticalMile)},
    {"Pica3", volume, cubed(kPoint)},
    {"Schooner", volume, 0.425L * kLitre},
    {"Sixpack", volume, 2 * kLitre},
    {"ang3", volume, cubed(kAngstrom), Prefixes::cubed},
    {"barrel", volume, 42 * kGallon},
    {"bushel", volume, 2150.42L * cubed(kInch)},
    {"cup", volume, kGallon / 16},
    {"ft3", volume, cubed(kFoot)},
    {"gal", volume, kGallon},
    {"in3", volume, cubed(kInch)},
    {"l", volume, kLitre, Prefixes::simple},
    {"lt", volume, kLitre, Prefixes::simple},
    {"ly3", volume, cubed(kLightYear)},
    {"m3", volume, 1, Prefixes::cubed},
    {"mi3", volume, cubed(kMile)},
    {"oz", volume, kGallon / 128},
    {"picapt3", volume, cubed(kPoint)},
    {"pt", volume, kGallon / 8},
    {"qt", volume, kGallon / 4},
    {"regton", volume, 100 * cubed(kFoot)},
    {"tbs", volume, kGallon / 256},
    {"tsp", volume, kGallon / 768},
    {"tspm", volume, kLitre / 200},
    {"uk_gal", volume, kImperialGallon},
    {"uk_pt", volume, kImperialGallon / 8},
    {"uk_qt", volume, kImperialGallon / 4},
    {"us_pt", volume, kGallon / 8},
    {"yd3", volume, cubed(kYard)},
};

constexpr bool in_order() {
  for (std::size_t i = 1; i < std::size(kUnits); ++i) {
    const Unit& before = kUnits[i - 1];
    const Unit& unit = kUnits[i];
    if (before.quantity > unit.quantity) return false;
    if (before.quantity == unit.quantity && before.symbol >= unit.symbol) return false;
  }
  return true;
}
static_assert(in_order());

struct Prefix {
  std::string_view symbol;
  int power;
};
constexpr Prefix kDecimal[] = {
    {"y", -24}, {"z", -21}, {"a", -18}, {"f", -15}, {"p", -12}, {"n", -9}, {"u", -6}, {"m", -3},
    {"c", -2},  {"d", -1},  {"da", 1},  {"h", 2},   {"k", 3},   {"M", 6},  {"G", 9},  {"T", 12},
    {"P", 15},  {"E", 18},  {"Z", 21},  {"Y", 24},  {"e", 1},  // what others write for "da"
};
constexpr Prefix kBinary[] = {{"ki", 1}, {"Mi", 2}, {"Gi", 3}, {"Ti", 4},
                              {"Pi", 5}, {"Ei", 6}, {"Zi", 7}, {"Yi", 8}};

long double power_of(long double base, int exponent) {
  long double out = 1;
  for (int i = std::abs(exponent); i > 0; --i) out *= base;
  return exponent < 0 ? 1 / out : out;
}

// What the prefix makes of the unit; nothing where the unit does not take it.
std::optional<long double> scale_of(std::string_view prefix, Prefixes taken) {
  if (prefix.empty()) return 1;
  if (taken == Prefixes::none) return std::nullopt;
  const int times = taken == Prefixes::squared ? 2 : taken == Prefixes::cubed ? 3 : 1;
  for (const Prefix& each : kDecimal) {
    if (each.symbol == prefix) return power_of(10, each.power * times);
  }
  if (taken != Prefixes::binary) return std::nullopt;
  for (const Prefix& each : kBinary) {
    if (each.symbol == prefix) return power_of(1024, each.power);
  }
  return std::nullopt;
}

// The unit of that name, with its prefix in its size. A symbol goes before a prefix and another
// symbol: "min" is a minute. Areas and volumes may be spelt with a circumflex, "m^2" for "m2".
std::optional<Unit> find_unit(std::string name) {
  if (name.size() > 1 && name.find('^') == name.size() - 2) name.erase(name.size() - 2, 1);
  std::optional<Unit> found;
  for (const Unit& unit : kUnits) {
    if (!name.ends_with(unit.symbol)) continue;
    const auto before = std::string_view(name).substr(0, name.size() - unit.symbol.size());
    const std::optional<long double> scale = scale_of(before, unit.prefixes);
    if (!scale) continue;
    if (before.empty()) return unit;
    found = unit;
    found->size *= *scale;
  }
  return found;
}

double converted(double number, const Unit& from, const Unit& to) {
  if (from.symbol == to.symbol && from.size == to.size) return number;
  if (from.quantity != temperature) {
    return static_cast<double>(number * from.size / to.size);
  }
  // Doubles bring 32 degrees Fahrenheit to 0 degrees Celsius, and not to nearly 0.
  const auto degree = static_cast<double>(from.size);
  return (number * degree + from.zero - to.zero) / static_cast<double>(to.size);
}

Operand convert(Call& call) {
  const double number = call.number(0);
  const std::string from_name = call.text(1);
  const std::string to_name = call.text(2);
  if (call.failed()) return call.failure();
  const std::optional<Unit> from = find_unit(from_name);
  const std::optional<Unit> to = find_unit(to_name);
  if (!from) return Error(Code::argument, "\"" + from_name + "\" is no unit that is known", 1);
  if (!to) return Error(Code::argument, "\"" + to_name + "\" is no unit that is known", 2);
  if (from->quantity != to->quantity) {
    return Error(Code::argument,
                 "\"" + from_name + "\" and \"" + to_name + "\" do not measure the same thing", 2);
  }
  return call.finish(converted(number, *from, *to));
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

// EUROCONVERT: number; from; to; whether the result keeps all its digits; how many decimals
// the amount in euros is rounded to on the way.
Operand convert_currency(Call& call) {
  constexpr double kFewestDecimals = 3;
  const bool rounded = call.count() > 4;
  const double decimals = std::floor(call.number(4, 0.0));
  if (!call.failed() && rounded && decimals < kFewestDecimals) return Code::argument;
  const double number = call.number(0);
  const auto from = find_currency(ascii::upper(call.text(1)));
  const auto to = find_currency(ascii::upper(call.text(2)));
  const bool full = call.truth(3, false);
  if (call.failed()) return call.failure();
  if (!from || !to) return Error(Code::argument, "a currency is none that the euro replaced");
  if (from->name == to->name) return number;
  double euros = number / from->per_euro;
  const bool between = from->name != "EUR" && to->name != "EUR";
  if (between && rounded) euros = to_decimals(euros, decimals);
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
