// How heavy a case may be: the revised NIOSH lifting equation of 1991.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "engine/base/number_text.hpp"
#include "engine/base/units_in_si.hpp"
#include "engine/catalogue/describe.hpp"
#include "engine/planning/areas.hpp"
#include "engine/planning/common/whole.hpp"
#include "engine/planning/common/words.hpp"

namespace loftledger::planning {

using namespace catalogue;

namespace {

constexpr auto kInch = static_cast<double>(si::kInch * 100);  // cm
constexpr auto kPound = static_cast<double>(si::kPound);      // kg

// The equation is published twice, in rounded metric and in rounded customary constants; the metric
// limit is up to 4 % lower. Lengths in cm or in, masses in kg or lb.
struct System {
  double length;         // cm in its unit of length
  double mass;           // kg in its unit of mass
  double load;           // the load constant
  double nearest;        // least horizontal distance that counts, and of the travel
  double farthest;       // largest horizontal distance
  double knuckle;        // height at which a lift is easiest
  double highest;        // largest height and travel
  double height_slope;   // per unit away from knuckle height
  double travel_factor;  // over the travel
};
constexpr System kMetric{1, 1, 23, 25, 63, 75, 175, 0.003, 4.5};
constexpr System kCustomary{kInch, kPound, 51, 10, 25, 30, 70, 0.0075, 1.8};

constexpr double kMostAngle = 135;

// The frequency multiplier (table 5 of the manual): lifts a minute, then for up to 1, 2 and 8 hours
// the multiplier below and from knuckle height.
struct FrequencyRow {
  double lifts;
  std::array<std::array<double, 2>, 3> multiplier;
};
constexpr FrequencyRow kFrequency[] = {
    {0.2, {{{1.00, 1.00}, {0.95, 0.95}, {0.85, 0.85}}}},
    {0.5, {{{0.97, 0.97}, {0.92, 0.92}, {0.81, 0.81}}}},
    {1, {{{0.94, 0.94}, {0.88, 0.88}, {0.75, 0.75}}}},
    {2, {{{0.91, 0.91}, {0.84, 0.84}, {0.65, 0.65}}}},
    {3, {{{0.88, 0.88}, {0.79, 0.79}, {0.55, 0.55}}}},
    {4, {{{0.84, 0.84}, {0.72, 0.72}, {0.45, 0.45}}}},
    {5, {{{0.80, 0.80}, {0.60, 0.60}, {0.35, 0.35}}}},
    {6, {{{0.75, 0.75}, {0.50, 0.50}, {0.27, 0.27}}}},
    {7, {{{0.70, 0.70}, {0.42, 0.42}, {0.22, 0.22}}}},
    {8, {{{0.60, 0.60}, {0.35, 0.35}, {0.18, 0.18}}}},
    {9, {{{0.52, 0.52}, {0.30, 0.30}, {0.00, 0.15}}}},
    {10, {{{0.45, 0.45}, {0.26, 0.26}, {0.00, 0.13}}}},
    {11, {{{0.41, 0.41}, {0.00, 0.23}, {0.00, 0.00}}}},
    {12, {{{0.37, 0.37}, {0.00, 0.21}, {0.00, 0.00}}}},
    {13, {{{0.00, 0.34}, {0.00, 0.00}, {0.00, 0.00}}}},
    {14, {{{0.00, 0.31}, {0.00, 0.00}, {0.00, 0.00}}}},
    {15, {{{0.00, 0.28}, {0.00, 0.00}, {0.00, 0.00}}}},
};

constexpr std::array<std::string_view, 2> kSystems = {"metric", "customary"};
constexpr std::array<std::string_view, 3> kCouplings = {"good", "fair", "poor"};

// For each coupling, below and from knuckle height.
constexpr double kCouplingMultipliers[3][2] = {{1.00, 1.00}, {0.95, 1.00}, {0.90, 0.90}};

struct Lift {
  Given<Length> horizontal;
  Given<Length> vertical;
  Given<Length> travel;
  Number angle;
  Number lifts;
  Time hours;
  std::string_view coupling;
  std::string_view system;
};

Error beyond(int index, std::string_view name, double value, double most, std::string_view unit) {
  return refuse(index, fmt::format("{} is {} {}; beyond {} the lifting equation allows no load",
                                   name, plain_number(value), unit, plain_number(most)));
}

// Beside "customary" nobody can tell whether a bare number is in cm or in inches, and the limit
// would be nearly twice the safe one.
Error without_unit(int index, std::string_view name, double value, std::string_view unit) {
  const std::string number = plain_number(value);
  return refuse(index,
                fmt::format("{} is {}, without a unit, beside \"customary\"; write \"{} {}\"", name,
                            number, number, unit));
}

Result<double> frequency_multiplier(const Lift& lift, bool low, int first) {
  const double hours = tidy(lift.hours.value);
  const std::size_t span = hours <= 1 ? 0 : hours <= 2 ? 1 : 2;
  if (hours > 8) {
    return refuse(first + 5, fmt::format("hours is {}; the lifting equation covers 8 at most",
                                         plain_number(lift.hours.value)));
  }
  for (const FrequencyRow& row : kFrequency) {
    if (lift.lifts.value > row.lifts) continue;
    const double multiplier = row.multiplier[span][low ? 0 : 1];
    if (multiplier > 0) return multiplier;
    break;
  }
  return refuse(first + 4,
                fmt::format("lifts per minute is {} for {} hours; the lifting equation "
                            "allows no load at that pace",
                            plain_number(lift.lifts.value), plain_number(lift.hours.value)));
}

// The recommended weight limit in kg; `first` is the index of the horizontal distance.
Result<double> weight_limit(const Lift& lift, int first) {
  const Result<std::size_t> system = word_index(first + 7, "system", lift.system, kSystems);
  if (!system) return system.error();
  const Result<std::size_t> coupling = word_index(first + 6, "coupling", lift.coupling, kCouplings);
  if (!coupling) return coupling.error();
  const bool metric = *system == 0;
  if (!metric) {
    const std::pair<std::string_view, Given<Length>> lengths[] = {
        {"horizontal", lift.horizontal}, {"vertical", lift.vertical}, {"travel", lift.travel}};
    int index = first;
    for (const auto& [name, length] : lengths) {
      if (length.bare && length.value != 0) return without_unit(index, name, length.value, "in");
      ++index;
    }
  }
  const System& s = metric ? kMetric : kCustomary;
  const std::string_view unit = metric ? "cm" : "in";
  // Converting "30 in" to cm and back must not put it below 30.
  const double horizontal = std::max(s.nearest, tidy(lift.horizontal.value / s.length));
  const double vertical = tidy(lift.vertical.value / s.length);
  const double travel = std::max(s.nearest, tidy(lift.travel.value / s.length));
  if (horizontal > s.farthest) {
    return beyond(first, "horizontal", horizontal, s.farthest, unit);
  }
  if (vertical > s.highest) return beyond(first + 1, "vertical", vertical, s.highest, unit);
  if (travel > s.highest) return beyond(first + 2, "travel", travel, s.highest, unit);
  if (lift.angle.value > kMostAngle) {
    return beyond(first + 3, "angle", lift.angle.value, kMostAngle, "degrees");
  }
  const bool low = vertical < s.knuckle;
  const Result<double> frequency = frequency_multiplier(lift, low, first);
  if (!frequency) return frequency.error();
  const double limit = s.load * (s.nearest / horizontal) *
                       (1 - s.height_slope * std::abs(vertical - s.knuckle)) *
                       (0.82 + s.travel_factor / travel) * (1 - 0.0032 * lift.angle.value) *
                       *frequency * kCouplingMultipliers[*coupling][low ? 0 : 1];
  return limit * s.mass;
}

constexpr Parameter kHorizontalParameter{
    .name = "horizontal",
    .text =
        "Distance of the hands from the point between the ankles, in cm where it is a bare "
        "number; less than 25 cm counts as 25.",
    .rule = Rule::not_negative,
    .unit = "cm"};
constexpr Parameter kVerticalParameter{
    .name = "vertical",
    .text =
        "Height of the hands above the floor, in cm where it is a bare number. Reckon both the "
        "start and the end of the lift, and take the smaller limit.",
    .rule = Rule::not_negative,
    .unit = "cm"};
constexpr Parameter kTravelParameter{
    .name = "travel",
    .text =
        "How far the load is moved up or down, in cm where it is a bare number; less than 25 cm "
        "counts as 25.",
    .rule = Rule::not_negative,
    .unit = "cm"};
constexpr Parameter kAngleParameter{
    .name = "angle",
    .text = "Degrees that the load lies to the side, from straight ahead; 135 at most.",
    .rule = Rule::not_negative};
constexpr Parameter kLiftsParameter{
    .name = "lifts per minute",
    .text =
        "Lifts a minute, averaged over 15 minutes; less than 0.2 counts as 0.2, and between "
        "two figures of the published table the stricter one holds.",
    .rule = Rule::not_negative};
constexpr Parameter kHoursParameter{
    .name = "hours",
    .text =
        "How long the lifting goes on, in hours where it is a bare number: up to 1, 2 or 8 (0.1 "
        "at least), "
        "with the rests that the manual asks for.",
    .rule = Rule::positive,
    .unit = "h",
    .bare = {.least = 0.1,
             .advice = "a cell that shows a clock time holds days: times 24 it is hours; or write "
                       "a text such as \"5 min\""}};
constexpr Parameter kCouplingParameter{
    .name = "coupling",
    .text =
        "How the hands hold the load: \"good\" (handles or hand-holds), \"fair\", or \"poor\" "
        "(bags, loose wrapping, cases hard to grip)."};
constexpr Parameter kSystemParameter{
    .name = "system",
    .text =
        "Which of the two published sets of constants: \"metric\" (23 kg, cm) or \"customary\" "
        "(51 lb, in); they differ a little. Beside \"customary\" masses and "
        "lengths must have their units: \"20 in\".",
    .fallback = std::string_view("metric")};

constexpr std::string_view kSource =
    "Applications Manual for the Revised NIOSH Lifting Equation, DHHS (NIOSH) publication 94-110, "
    "revised 2021";
constexpr std::string_view kDetail =
    "For smooth lifts with two hands, standing, on a good floor, by healthy adults. Not for "
    "lifting with one hand, seated or kneeling, in a tight place, of unstable loads, with "
    "wheelbarrows or shovels, or longer than 8 hours. The manual states the equation twice, in "
    "rounded metric and in rounded customary constants; the metric one gives up to 4% less. Where "
    "a distance or the pace lies beyond the "
    "equation's bounds no load is recommended, and the function says so.";
constexpr std::string_view kCaution =
    "A recommendation for healthy adults, not a promise that nobody is hurt. Open a heavy case and "
    "carry it in parts, use a trolley, or lift it in twos. Local rules for manual handling and "
    "advice from those qualified come first.";

// --- LIFTLIMIT

Result<Mass> lift_limit(Given<Length> horizontal, Given<Length> vertical, Given<Length> travel,
                        Number angle, Number lifts, Time hours, std::string_view coupling,
                        std::string_view system) {
  const Result<double> limit =
      weight_limit({horizontal, vertical, travel, angle, lifts, hours, coupling, system}, 0);
  if (!limit) return limit.error();
  return Mass{*limit};
}

constexpr Parameter kLiftLimitParameters[] = {
    kHorizontalParameter, kVerticalParameter, kTravelParameter,   kAngleParameter,
    kLiftsParameter,      kHoursParameter,    kCouplingParameter, kSystemParameter};
constexpr Example kLiftLimitExamples[] = {
    {"=LIFTLIMIT(25;75;25;0;0.2;1;\"good\")", 23.0, "the best of conditions"},
    {"=LIFTLIMIT(40;30;60;30;0.5;2;\"poor\")", 8.3300146155},
    {"=LIFTLIMIT(\"10 in\";\"30 in\";\"10 in\";0;0.2;1;\"good\";\"customary\")", 23.13321087,
     "51 lb"},
    {"=LIFTLIMIT(70;75;25;0;0.2;1;\"good\")", Code::argument, "too far from the body"},
};
constexpr Function kLiftLimit = describe<lift_limit>(
    {.id = "liftLimit",
     .name = "LIFTLIMIT",
     .group = Group::day,
     .summary = "The recommended weight limit for lifting a case with two hands.",
     .returns = "kg, whatever the units of the arguments",
     .source = kSource,
     .detail = kDetail,
     .caution = kCaution,
     .unit = "kg"},
    kLiftLimitParameters, kLiftLimitExamples);

// --- LIFTINDEX

Result<Number> lift_index(Given<Mass> load, Given<Length> horizontal, Given<Length> vertical,
                          Given<Length> travel, Number angle, Number lifts, Time hours,
                          std::string_view coupling, std::string_view system) {
  const Result<double> limit =
      weight_limit({horizontal, vertical, travel, angle, lifts, hours, coupling, system}, 1);
  if (!limit) return limit.error();
  if (load.bare && *word_index(8, "system", system, kSystems) == 1) {
    return without_unit(0, "load", load.value, "lb");
  }
  return Number{load.value / *limit};
}

constexpr Parameter kLiftIndexParameters[] = {{.name = "load",
                                               .text = "Mass of the case with its fibre, in kg "
                                                       "where it is a bare number.",
                                               .rule = Rule::positive,
                                               .unit = "kg"},
                                              kHorizontalParameter,
                                              kVerticalParameter,
                                              kTravelParameter,
                                              kAngleParameter,
                                              kLiftsParameter,
                                              kHoursParameter,
                                              kCouplingParameter,
                                              kSystemParameter};
constexpr Example kLiftIndexExamples[] = {
    {"=LIFTINDEX(11.5;25;75;25;0;0.2;1;\"good\")", 0.5},
    {"=LIFTINDEX(11.5;25;75;25;0;20;1;\"good\")", Code::argument, "20 lifts a minute"},
};
constexpr Function kLiftIndex = describe<lift_index>(
    {.id = "liftIndex",
     .name = "LIFTINDEX",
     .group = Group::day,
     .summary = "A load over its recommended weight limit: above 1 the lift is more than is "
                "recommended for everybody.",
     .returns = "a plain number; above 1 some workers are at risk, above 3 many are",
     .source = kSource,
     .detail = kDetail,
     .caution = kCaution},
    kLiftIndexParameters, kLiftIndexExamples);

constexpr Function kFunctions[] = {kLiftLimit, kLiftIndex};

}  // namespace

Functions lifting_functions() { return kFunctions; }

}  // namespace loftledger::planning
