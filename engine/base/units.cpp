// The table of units. Beyond engine/base/units_in_si.hpp: tex is 1 g/km (ISO 1144), denier 1 g in
// 9 km (NIST Special Publication 811, 2008, appendix B.8, which also has the bar, the US quart, the
// short and the long hundredweight; the metric horsepower is 75 kgf·m/s there and the mechanical
// one 550 ft·lbf/s).
#include "engine/base/units.hpp"

#include <array>
#include <cmath>
#include <cstddef>
#include <unordered_map>

#include "engine/base/ascii.hpp"
#include "engine/base/plain_text.hpp"
#include "engine/base/units_in_si.hpp"

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

using namespace si;
constexpr long double kCubicInch = cubed(kInch);
constexpr long double kCubicFoot = cubed(kFoot);
constexpr long double kMillilitre = 0.000001L;
constexpr long double kCentilitre = 0.00001L;
constexpr long double kQuart = kGallon / 4;
constexpr long double kShortHundredweight = 100 * kPound;
constexpr long double kLongHundredweight = 112 * kPound;
constexpr long double kTex = 0.000001L;  // kg/m
constexpr long double kDecitex = 0.0000001L;

using enum Dimension;
constexpr Unit kUnits[] = {
    {"g", mass, 0.001L},
    {"gram", mass, 0.001L},
    {"grams", mass, 0.001L},
    {"gramme", mass, 0.001L},
    {"grammes", mass, 0.001L},
    {"gm", mass, 0.001L},
    {"gms", mass, 0.001L},
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
    {"#", mass, kPound},
    {"oz", mass, kOunce},
    {"ozs", mass, kOunce},
    {"ounce", mass, kOunce},
    {"ounces", mass, kOunce},
    {"t", mass, 1000},
    {"tonne", mass, 1000},
    {"tonnes", mass, 1000},
    {"metric ton", mass, 1000},
    {"metric tons", mass, 1000},
    {"short ton", mass, kShortTon},
    {"short tons", mass, kShortTon},
    {"short cwt", mass, kShortHundredweight},
    {"US cwt", mass, kShortHundredweight},
    {"long cwt", mass, kLongHundredweight},

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
    {"dm", length, 0.1L},
    {"decimetre", length, 0.1L},
    {"decimeter", length, 0.1L},
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
    {"''", length, kInch},
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
    {"in²", area, squared(kInch)},
    {"in2", area, squared(kInch)},
    {"sq in", area, squared(kInch)},
    {"ft²", area, squared(kFoot)},
    {"ft2", area, squared(kFoot)},
    {"sq ft", area, squared(kFoot)},

    {"L", volume, kLitre},
    {"l", volume, kLitre},
    {"litre", volume, kLitre},
    {"litres", volume, kLitre},
    {"liter", volume, kLitre},
    {"liters", volume, kLitre},
    {"ltr", volume, kLitre},
    {"ltrs", volume, kLitre},
    {"dm³", volume, kLitre},
    {"dm3", volume, kLitre},
    {"cL", volume, kCentilitre},
    {"cl", volume, kCentilitre},
    {"centilitre", volume, kCentilitre},
    {"centilitres", volume, kCentilitre},
    {"centiliter", volume, kCentilitre},
    {"centiliters", volume, kCentilitre},
    {"mL", volume, kMillilitre},
    {"ml", volume, kMillilitre},
    {"millilitre", volume, kMillilitre},
    {"millilitres", volume, kMillilitre},
    {"milliliter", volume, kMillilitre},
    {"milliliters", volume, kMillilitre},
    {"cm³", volume, kMillilitre},
    {"cm3", volume, kMillilitre},
    {"cu cm", volume, kMillilitre},
    {"cubic cm", volume, kMillilitre},
    {"cubic centimetre", volume, kMillilitre},
    {"cubic centimetres", volume, kMillilitre},
    {"cubic centimeter", volume, kMillilitre},
    {"cubic centimeters", volume, kMillilitre},
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
    {"cuin", volume, kCubicInch},
    {"cubic in", volume, kCubicInch},
    {"cubic inch", volume, kCubicInch},
    {"cubic inches", volume, kCubicInch},
    {"ft³", volume, kCubicFoot},
    {"ft3", volume, kCubicFoot},
    {"cu ft", volume, kCubicFoot},
    {"cuft", volume, kCubicFoot},
    {"cubic ft", volume, kCubicFoot},
    {"cubic foot", volume, kCubicFoot},
    {"cubic feet", volume, kCubicFoot},
    {"gal", volume, kGallon},
    {"gals", volume, kGallon},
    {"gal (US)", volume, kGallon},
    {"US gal", volume, kGallon},
    {"gallon", volume, kGallon},
    {"gallons", volume, kGallon},
    {"US gallon", volume, kGallon},
    {"US gallons", volume, kGallon},
    {"qt", volume, kQuart},
    {"qts", volume, kQuart},
    {"quart", volume, kQuart},
    {"quarts", volume, kQuart},
    {"US quart", volume, kQuart},
    {"US quarts", volume, kQuart},

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
    {"pcf", density, kPound / kCubicFoot},
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
    {"bar", pressure, 100000},
    {"psi", pressure, kPsi},
    {"lb/in²", pressure, kPsi},
    {"lb/in2", pressure, kPsi},

    {"s", time, 1},
    {"sec", time, 1},
    {"secs", time, 1},
    {"second", time, 1},
    {"seconds", time, 1},
    {"min", time, kMinute},
    {"mins", time, kMinute},
    {"minute", time, kMinute},
    {"minutes", time, kMinute},
    {"h", time, kHour},
    {"hr", time, kHour},
    {"hrs", time, kHour},
    {"hour", time, kHour},
    {"hours", time, kHour},
    {"day", time, kDay},
    {"d", time, kDay},
    {"days", time, kDay},
    {"week", time, 7 * kDay},
    {"weeks", time, 7 * kDay},

    {"dtex", linear_density, kDecitex},
    {"decitex", linear_density, kDecitex},
    {"tex", linear_density, kTex},
    {"den", linear_density, 0.001L / 9000},
    {"denier", linear_density, 0.001L / 9000},

    {"kW", power, 1000},
    {"W", power, 1},
    {"watt", power, 1},
    {"watts", power, 1},
    {"metric hp", power, 75 * kStandardGravity},
    {"mechanical hp", power, 550 * kFoot* kPoundForce},

    {"%", ratio, 0.01L},
    {"percent", ratio, 0.01L},
    {"per cent", ratio, 0.01L},
};

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
      built->any_case.emplace(ascii::lower(key), &unit);
    }
    return built;
  }();
  return *index;
}

// "Mg" is a million grams and "mPa" a thousandth of a pascal: where a first letter m or M is a
// prefix, its case counts, unless all is in capitals ("MM").
bool prefix_differs(std::string_view key, std::string_view symbol) {
  if (key[0] == symbol[0] || ascii::lower(key[0]) != 'm') return false;
  const bool capitals = key.find_first_of("abcdefghijklmnopqrstuvwxyz") == key.npos;
  if (capitals && key.size() > 1 && symbol[0] == 'm') return false;
  const std::string rest = ascii::lower(key.substr(1));
  return rest.empty() || rest == "g" || rest == "m" || rest == "l" || rest == "pa";
}

// A density or a volume per mass by its two units, where the table has it in another spelling: "lb
// per cubic foot" and "kg/cbm" are the rows "lb/ft³" and "kg/m³".
const Unit* find_quotient(std::string_view key) {
  const std::size_t slash = key.find('/');
  if (slash == key.npos) return nullptr;
  const Unit* above = find_unit(key.substr(0, slash));
  const Unit* below = above == nullptr ? nullptr : find_unit(key.substr(slash + 1));
  if (below == nullptr) return nullptr;
  const bool dense = above->dimension == mass && below->dimension == volume;
  if (!dense && !(above->dimension == volume && below->dimension == mass)) return nullptr;
  const Dimension dimension = dense ? density : specific_volume;
  const long double size = above->size / below->size;
  for (const Unit& unit : kUnits) {
    // Sizes that are equal as fractions may differ in the last digit that a long double has.
    constexpr long double kSame = 1e-15L;
    if (unit.dimension == dimension && std::abs(unit.size / size - 1) < kSame) return &unit;
  }
  return nullptr;
}

}  // namespace

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
  const auto found = index.any_case.find(ascii::lower(key));
  if (found == index.any_case.end()) return find_quotient(key);
  return prefix_differs(key, found->second->symbol) ? nullptr : found->second;
}

double convert(double value, const Unit& from, const Unit& to) {
  if (from.size == to.size) return value;
  return static_cast<double>(value * from.size / to.size);
}

}  // namespace loftledger
