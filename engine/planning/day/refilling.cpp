// The day: refills, and opening fibre in time.
#include <algorithm>
#include <cmath>

#include "engine/base/number_text.hpp"
#include "engine/catalogue/describe.hpp"
#include "engine/planning/areas.hpp"
#include "engine/planning/common/clock.hpp"
#include "engine/planning/common/mix.hpp"

namespace loftledger::planning {

using namespace catalogue;

namespace {

constexpr double kHour = 60;  // minutes

constexpr std::string_view kOpenerCaution =
    "An opener has moving pins and rollers: never reach in unless it is switched off and isolated "
    "from its supply. Keep to its maker's manual and to local codes; leave repairs to licensed "
    "trades.";

// --- REFILLMINUTES

Result<Time> refill_minutes(Count hopper, Rate bodies) {
  return Time{hopper.value / bodies.value * kHour};
}

constexpr Parameter kRefillMinutesParameters[] = {
    {.name = "hopper bodies",
     .text = "Bodies that a full hopper fills (HOPPERBODIES).",
     .rule = Rule::positive},
    {.name = "bodies per hour",
     .text = "Bodies filled at the station in an hour.",
     .rule = Rule::positive},
};
constexpr Example kRefillMinutesExamples[] = {
    {"=REFILLMINUTES(9;12)", 45.0},
    {"=REFILLMINUTES(9;0)", Code::argument},
};
constexpr Function kRefillMinutes = describe<refill_minutes>(
    {.id = "refillMinutes",
     .name = "REFILLMINUTES",
     .group = Group::day,
     .summary = "Time from one refill of a hopper to the next.",
     .returns = "minutes",
     .source = "definition",
     .caution = "Switch the machine off and isolate it before reaching into its hopper; follow its "
                "maker's manual."},
    kRefillMinutesParameters, kRefillMinutesExamples);

// --- OPENINGHOURS

constexpr Parameter kPerCaseParameter{
    .name = "bodies per case",
    .text = "Bodies of each size that an opened case fills, in the same order.",
    .rule = Rule::positive};
constexpr Parameter kCaseMinutesParameter{.name = "minutes per case",
                                          .text =
                                              "Time to open one case, in minutes (0.05 or more); "
                                              "setting up and clearing included.",
                                          .rule = Rule::positive,
                                          .bare = kMinutes};

Result<Time> opening_hours(const Series<Count>& bodies, const Series<Count>& per_case,
                           Time minutes) {
  const Result<double> cases = cases_of_mix(bodies, per_case, 0);
  if (!cases) return cases.error();
  return Time{*cases * minutes.value / kHour};
}

constexpr Parameter kOpeningHoursParameters[] = {
    {.name = "bodies",
     .text = "Bodies to fill with opened fibre: one number, or one for each size.",
     .rule = Rule::not_negative},
    kPerCaseParameter,
    kCaseMinutesParameter};
constexpr Example kOpeningHoursExamples[] = {
    {"=OPENINGHOURS(240;60;9)", 0.6},
    {"=OPENINGHOURS({300;180;60};{500;150;60};12)", 0.56, "2.8 cases"},
    {"=OPENINGHOURS(240;60;0)", Code::argument},
};
constexpr Function kOpeningHours = describe<opening_hours>(
    {.id = "openingHours",
     .name = "OPENINGHOURS",
     .group = Group::day,
     .summary = "Hours of work to open the fibre that a number of bodies needs.",
     .returns = "hours, not rounded to whole cases",
     .source = "definition",
     .caution = kOpenerCaution,
     .unit = "h"},
    kOpeningHoursParameters, kOpeningHoursExamples);

// --- OPENAHEADHOURS

Result<Time> open_ahead_hours(const Series<Count>& bodies, Count per_case, Time minutes,
                              Count opened, Ratio while_open) {
  double filled = 0;
  double start = 0;
  for (std::size_t h = 0; h < bodies.values.size(); ++h) {
    filled += bodies.values[h].value_or(0.0);
    const double work = (filled / per_case.value - opened.value) * minutes.value / kHour;
    // Bodies are filled evenly within an hour, so the stock is lowest at an hour's end.
    start = std::max(start, work - while_open.value * static_cast<double>(h + 1));
  }
  return Time{start};
}

constexpr Parameter kOpenAheadHoursParameters[] = {
    {.name = "bodies by hour",
     .text = "Bodies filled in each hour of the day, in order; an empty cell is none.",
     .rule = Rule::not_negative},
    {.name = "bodies per case",
     .text = "Bodies that an opened case fills.",
     .rule = Rule::positive},
    kCaseMinutesParameter,
    {.name = "opened on hand",
     .text = "Cases of fibre that stand opened already.",
     .rule = Rule::not_negative,
     .fallback = 0.0},
    {.name = "share while open",
     .text = "Share of the shop's hours in which somebody can open fibre; 0: all must be done "
             "before.",
     .rule = Rule::share,
     .fallback = 1.0},
};
constexpr Example kOpenAheadHoursExamples[] = {
    {"=OPENAHEADHOURS({40;90;150;120};50;20;0;0.5)", 0.6666666666666666,
     "8 cases take 2.67 hours, and 2 of the 4 open hours can be used"},
    {"=OPENAHEADHOURS({40;90;150;120};50;20;10)", 0.0, "what stands opened suffices"},
    {"=OPENAHEADHOURS({40;90;150;120};0;20)", Code::argument},
};
constexpr Function kOpenAheadHours = describe<open_ahead_hours>(
    {.id = "openAheadHours",
     .name = "OPENAHEADHOURS",
     .group = Group::day,
     .summary = "How long before the shop opens the work of opening fibre must begin, so that no "
                "hour runs short.",
     .returns = "hours of work before the doors open; 0 where it can be done while they are",
     .source = "the largest shortfall of a cumulative flow, at the hours' ends",
     .detail = "Opened fibre takes many times its packed room: STORAGEVOLUME tells whether so much "
               "can stand ready.",
     .caution = kOpenerCaution,
     .unit = "h"},
    kOpenAheadHoursParameters, kOpenAheadHoursExamples);

constexpr Function kFunctions[] = {kRefillMinutes, kOpeningHours, kOpenAheadHours};

}  // namespace

Functions day_functions() { return kFunctions; }

}  // namespace loftledger::planning
