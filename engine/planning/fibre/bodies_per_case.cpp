// Yield: the bodies that a case fills, on average and by itself.
#include <fmt/format.h>

#include "engine/base/number_text.hpp"
#include "engine/catalogue/describe.hpp"
#include "engine/planning/areas.hpp"
#include "engine/planning/common/ends.hpp"
#include "engine/planning/common/trials.hpp"

namespace loftledger::planning {

using namespace catalogue;

namespace {

constexpr Parameter kCaseMass = {
    .name = "case mass", .text = "Net mass of fibre in one case.", .rule = Rule::positive};
constexpr Parameter kFillMass = {
    .name = "fill mass", .text = "Mean mass of fibre in one body.", .rule = Rule::positive};
constexpr Parameter kLoss = {
    .name = "loss",
    .text = "Share of the fibre that ends up in no body: spilt, swept up, left in the machine.",
    .rule = Rule::share_below_one,
    .fallback = 0.0};
constexpr Parameter kDeviation = {.name = "standard deviation",
                                  .text = "Standard deviation of the fill mass from body to body.",
                                  .rule = Rule::not_negative};

constexpr std::string_view kRenewal =
    "D. R. Cox, Renewal Theory (1962); fill masses taken as gamma-distributed";

// --- BODIESPERCASE

Result<Count> bodies_per_case(Mass case_mass, Mass fill_mass, Ratio loss) {
  return Count{case_mass.value * (1 - loss.value) / fill_mass.value};
}

constexpr Parameter kBodiesPerCaseParameters[] = {kCaseMass, kFillMass, kLoss};
constexpr Example kBodiesPerCaseExamples[] = {
    {"=BODIESPERCASE(\"10 kg\";\"160 g\";4%)", 60.0},
    {"=BODIESPERCASE(9;0.15)", 60.0},
    {"=BODIESPERCASE(10;\"160 g\")", Code::argument, "a bare number beside a mass with a unit"},
};
constexpr Function kBodiesPerCase = describe<bodies_per_case>(
    {.id = "bodiesPerCase",
     .name = "BODIESPERCASE",
     .group = Group::fibre,
     .summary = "Bodies that a case fills on average, over many cases.",
     .returns = "a count, not rounded: a part-used case carries over into the next",
     .source = "mass balance",
     .detail =
         "This is the mean over many cases, for costs and orders. One case taken by itself "
         "fills about half a whole body fewer, since what is left at its end is too little "
         "for one more: WHOLEBODIES tells that mean, and BODIESPROMISED the count that a "
         "single case reaches with a stated confidence. A result below 1 mostly means that the "
         "masses are in two units, such as kg beside g: write them with their units."},
    kBodiesPerCaseParameters, kBodiesPerCaseExamples);

// --- WHOLEBODIES

// Bodies that differ by more than their mean are no fill masses.
Result<Fill> fill_of(Mass fill_mass, Mass deviation) {
  if (deviation.value > fill_mass.value) {
    return refuse(2, fmt::format("standard deviation is {}, more than the fill mass of {}; bodies "
                                 "that spread so much cannot be planned with",
                                 plain_number(deviation.value), plain_number(fill_mass.value)));
  }
  return Fill{fill_mass.value, deviation.value};
}

constexpr double kMostBodies = 1e9;
Result<double> usable_mass(Mass case_mass, Ratio loss, double fill_mass) {
  const double mass = case_mass.value * (1 - loss.value);
  if (mass / fill_mass > kMostBodies) {
    return refuse(0, "case mass is more than a thousand million times the mass of a body");
  }
  return mass;
}

Result<Count> mean_whole_bodies(Mass case_mass, Mass fill_mass, Mass deviation, Ratio loss) {
  Result<Fill> fill = fill_of(fill_mass, deviation);
  if (!fill) return std::move(fill).error();
  Result<double> mass = usable_mass(case_mass, loss, fill_mass.value);
  if (!mass) return std::move(mass).error();
  return Count{whole_bodies(*mass, *fill)};
}

constexpr Parameter kWholeBodiesParameters[] = {kCaseMass, kFillMass, kDeviation, kLoss};
constexpr Example kWholeBodiesExamples[] = {
    {"=WHOLEBODIES(10000;250;75)", 39.545},
    {"=WHOLEBODIES(\"10 kg\";\"160 g\";0;4%)", 60.0, "without spread, the whole bodies"},
    {"=WHOLEBODIES(10000;250;300)", Code::argument},
};
constexpr Function kWholeBodies = describe<mean_whole_bodies>(
    {.id = "wholeBodies",
     .name = "WHOLEBODIES",
     .group = Group::fibre,
     .summary = "Mean count of whole bodies that one case by itself fills.",
     .returns = "a count, not rounded: the mean over cases, each with its remainder left over",
     .source = kRenewal,
     .detail = "Near BODIESPERCASE less one half, and plus half the square of standard deviation "
               "over fill mass. Use BODIESPERCASE where a part-used case carries over."},
    kWholeBodiesParameters, kWholeBodiesExamples);

// --- CASECHANCE

Result<Ratio> case_chance(Mass case_mass, Mass fill_mass, Mass deviation, Count bodies,
                          Ratio loss) {
  Result<Fill> fill = fill_of(fill_mass, deviation);
  if (!fill) return std::move(fill).error();
  Result<double> mass = usable_mass(case_mass, loss, fill_mass.value);
  if (!mass) return std::move(mass).error();
  return Ratio{chance_of_bodies(bodies.value, *mass, *fill)};
}

constexpr Parameter kCaseChanceParameters[] = {
    kCaseMass,
    kFillMass,
    kDeviation,
    {.name = "bodies", .text = "The count that the case is to reach.", .rule = Rule::whole},
    kLoss};
constexpr Example kCaseChanceExamples[] = {
    {"=CASECHANCE(10000;250;20;39)", 0.9766497668},
    {"=CASECHANCE(10000;250;0;41)", 0.0},
    {"=CASECHANCE(10000;250;20;39.5)", Code::argument, "a body is whole"},
};
constexpr Function kCaseChance = describe<case_chance>(
    {.id = "caseChance",
     .name = "CASECHANCE",
     .group = Group::fibre,
     .summary = "The chance that one case fills at least so many bodies.",
     .returns = "a share from 0 to 1",
     .source = kRenewal,
     .detail = "It takes the fill mass and its spread as known. Where they come from a handful of "
               "weighings, BODIESPROMISED counts that uncertainty too."},
    kCaseChanceParameters, kCaseChanceExamples);

// --- BODIESPROMISED

Error less_than_one_body(Mass case_mass, double fill_mass) {
  return refuse(0, fmt::format("case mass is {} beside a body of {}; the case fills less than one "
                               "body: are both in one unit? write them with their units, such as "
                               "\"12.5 kg\" and \"70 g\"",
                               plain_number(case_mass.value), plain_number(fill_mass)));
}

Result<Count> bodies_promised(Mass case_mass, const List<Mass>& weighings, Ratio loss,
                              Ratio confidence) {
  if (weighings.values.size() < 2) {
    return refuse(1, "weighings has 1 number; it needs 2 at least, and more is better");
  }
  if (confidence.value < 0.5) {
    return refuse(3, fmt::format("confidence is {}; it must be 0.5 (50%) or more",
                                 plain_number(confidence.value)));
  }
  const Sample sample = sample_of(weighings.values);
  Result<double> mass = usable_mass(case_mass, loss, sample.mean);
  if (!mass) return std::move(mass).error();
  if (*mass < sample.mean * (1 - 1e-9)) return less_than_one_body(case_mass, sample.mean);
  const double bodies = promised_bodies(*mass, sample, confidence.value);
  if (bodies < 1) {
    return refuse(1, fmt::format("weighings: from {} that spread so much (mean {}, standard "
                                 "deviation {}), no count can be promised at a confidence of {}; "
                                 "weigh more bodies",
                                 weighings.values.size(), plain_number(sample.mean),
                                 plain_number(sample.deviation), plain_number(confidence.value)));
  }
  return Count{bodies};
}

constexpr Parameter kBodiesPromisedParameters[] = {
    kCaseMass,
    {.name = "weighings",
     .text = "Fill masses of bodies that were filled as usual, each weighed: a range.",
     .rule = Rule::positive},
    kLoss,
    {.name = "confidence",
     .text = "How sure the count must be: the share of cases that reach it, from 50%.",
     .rule = Rule::open_share,
     .fallback = 0.95},
};
constexpr Example kBodiesPromisedExamples[] = {
    {"=BODIESPROMISED(\"9 kg\";{\"55 g\";\"58 g\";\"52 g\";\"61 g\";\"54 g\";\"56 g\"};3%)", 148.0},
    {"=BODIESPROMISED(9000;{56;56;56};3%)", 155.0, "no spread: the whole bodies"},
    {"=BODIESPROMISED(9000;{55;58;52;61;54;56};3%;99%)", 144.0, "surer is fewer"},
    {"=BODIESPROMISED(9000;{55})", Code::argument, "one weighing tells nothing of the spread"},
};
constexpr Function kBodiesPromised = describe<bodies_promised>(
    {.id = "bodiesPromised",
     .name = "BODIESPROMISED",
     .group = Group::fibre,
     .summary = "The count of whole bodies to rely on from one case, judged by a few weighings.",
     .returns = "a whole count",
     .source = "upper prediction bound for the mean of n future values: G. J. Hahn and "
               "W. Q. Meeker, Statistical Intervals (1991, from memory)",
     .detail =
         "The largest n for which n times the mean, plus t times the standard deviation times the "
         "root of n + n²/m, stays within the usable mass; m is the number of weighings, and t is "
         "Student's quantile with m - 1 degrees of freedom. The n under the root is the spread "
         "between the bodies still to be filled, and n²/m the uncertainty of a mean from few "
         "weighings; the second soon rules, so more weighings promise more bodies. The confidence "
         "is a statement over trials and cases together: of all trials of m weighings, each "
         "followed by a case, at least that share of cases fills the count that its trial "
         "promised. It holds for fill masses that are near normal and for weighings that are "
         "typical: other days, other hands, no choosing."},
    kBodiesPromisedParameters, kBodiesPromisedExamples);

// --- OPENINGGAIN

Result<Ratio> opening_gain(Interval<Count> delivered, Interval<Count> opened,
                           std::string_view end) {
  Result<End> which = end_of(2, end);
  if (!which) return std::move(which).error();
  switch (*which) {
    case End::low:
      return Ratio{opened.low / delivered.high - 1};
    case End::high:
      return Ratio{opened.high / delivered.low - 1};
    case End::middle:
      break;
  }
  return Ratio{(opened.low + opened.high) / (delivered.low + delivered.high) - 1};
}

constexpr Parameter kOpeningGainParameters[] = {
    {.name = "bodies as delivered",
     .text = "Bodies that a case fills as delivered: a number, or a range such as \"40 to 48\".",
     .rule = Rule::positive},
    {.name = "bodies opened",
     .text = "Bodies that the same case fills once its fibre is opened: a number or a range.",
     .rule = Rule::positive},
    end_parameter("Which end of the gain: low, middle or high; it matters for ranges only."),
};
constexpr Example kOpeningGainExamples[] = {
    {"=OPENINGGAIN(44;66)", 0.5},
    {"=OPENINGGAIN(\"40 to 48\";\"60 to 72\")", 0.5},
    {"=OPENINGGAIN(\"40 to 48\";\"60 to 72\";\"low\")", 0.25},
    {"=OPENINGGAIN(0;66)", Code::argument},
};
constexpr Function kOpeningGain = describe<opening_gain>(
    {.id = "openingGain",
     .name = "OPENINGGAIN",
     .group = Group::fibre,
     .summary = "The share by which opening raises the bodies that a case fills.",
     .returns = "a share: 0.5 is half as many bodies again; below 0 where opening loses",
     .source = "definition",
     .detail = "From ranges, the middle compares the middles of both; the low end is the lowest "
               "count opened over the highest as delivered, less one, and the high end the "
               "reverse. It is far below the loft factor: OPENEDFILLDENSITY says why."},
    kOpeningGainParameters, kOpeningGainExamples);

constexpr Function kFunctions[] = {kBodiesPerCase, kWholeBodies, kCaseChance, kBodiesPromised,
                                   kOpeningGain};

}  // namespace

Functions yield_functions() { return kFunctions; }

}  // namespace loftledger::planning
