// How many bodies to have ready when nobody knows how many will be asked for.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "engine/base/number_text.hpp"
#include "engine/catalogue/describe.hpp"
#include "engine/planning/areas.hpp"
#include "engine/planning/common/chance.hpp"
#include "engine/planning/common/demands.hpp"

namespace loftledger::planning {

using namespace catalogue;

namespace {

// --- EVENTBODIES

constexpr double kMostGuests = 1e9;
constexpr double kMostSteps = 2e7;

// The least n that suffices where each party comes whole or not at all: the distribution of their
// sum, one party at a time.
std::int64_t quantile_of_parties(const std::vector<double>& parties, double show,
                                 double confidence) {
  std::vector<double> chance{1.0};
  for (double size : parties) {
    const std::size_t step = static_cast<std::size_t>(size);
    std::vector<double> next(chance.size() + step, 0.0);
    for (std::size_t n = 0; n < chance.size(); ++n) {
      next[n] += (1 - show) * chance[n];
      next[n + step] += show * chance[n];
    }
    chance = std::move(next);
  }
  // From the top, where the terms are small: the sum that must not exceed 1 - confidence.
  double above = 0;
  std::size_t n = chance.size() - 1;
  while (n > 0 && above + chance[n] <= 1 - confidence) above += chance[n--];
  return static_cast<std::int64_t>(n);
}

Result<Count> event_bodies(const List<Count>& bookings, Ratio show, Ratio confidence,
                           bool together) {
  double guests = 0;
  double steps = 0;
  for (double party : bookings.values) {
    guests += party;
    steps += guests;
  }
  if (guests > kMostGuests || (together && steps > kMostSteps)) {
    return refuse(0, fmt::format("bookings come to {} guests in {} parties; that is too many to "
                                 "reckon with",
                                 plain_number(guests), bookings.values.size()));
  }
  return Count{static_cast<double>(
      together
          ? quantile_of_parties(bookings.values, show.value, confidence.value)
          : binomial_quantile(static_cast<std::int64_t>(guests), show.value, confidence.value))};
}

constexpr Parameter kEventBodiesParameters[] = {
    {.name = "bookings",
     .text = "Guests booked: one number, or the size of each party.",
     .rule = Rule::whole},
    {.name = "show rate", .text = "Share of those booked that come.", .rule = Rule::share},
    {.name = "confidence",
     .text = "Chance that the bodies suffice.",
     .rule = Rule::open_share,
     .fallback = 0.95},
    {.name = "together",
     .text = "TRUE where a party comes whole or not at all; FALSE where each guest decides alone.",
     .fallback = 0.0},
};
constexpr Example kEventBodiesExamples[] = {
    {"=EVENTBODIES(20;5%;90%)", 2.0},
    {"=EVENTBODIES({12;8;15};90%;90%;TRUE)", 35.0},
    {"=EVENTBODIES(20;105%)", Code::argument},
};
constexpr Function kEventBodies = describe<event_bodies>(
    {.id = "eventBodies",
     .name = "EVENTBODIES",
     .group = Group::orders,
     .summary = "Bodies to have ready for an event, when not all who booked will come.",
     .returns = "the least whole number that suffices with the confidence",
     .source = "quantile of the binomial distribution; of the sum of whole parties where they come "
               "together",
     .detail = "Parties that cancel whole spread more widely than single guests, so they need more "
               "bodies for the same confidence."},
    kEventBodiesParameters, kEventBodiesExamples);

// --- BODIESTOPREPARE

Result<Count> bodies_to_prepare(Count mean, Money cost_short, Money cost_over,
                                const std::optional<Count>& deviation) {
  const Result<Demand> demand = demand_of(mean, deviation, 0);
  if (!demand) return demand.error();
  const double ratio = cost_short.value / (cost_short.value + cost_over.value);
  if (!(ratio < 1) || !(ratio > 0)) {
    return refuse(1, "cost of one short and cost of one left over are too far apart to compare");
  }
  return Count{std::max(0.0, demand->quantile(ratio))};
}

constexpr std::string_view kDeviationText =
    "Standard deviation of the demand. Left out: guests come one by one and at random (Poisson), "
    "for "
    "means up to 1e9.";

constexpr Parameter kBodiesToPrepareParameters[] = {
    {.name = "mean", .text = "Mean demand of the day.", .rule = Rule::not_negative},
    {.name = "cost of one short",
     .text = "What is lost when one is asked for that is not ready: the margin, and goodwill.",
     .rule = Rule::positive},
    {.name = "cost of one left over",
     .text = "What is lost on one that is ready and not asked for.",
     .rule = Rule::positive},
    {.name = "deviation", .text = kDeviationText, .rule = Rule::positive},
};
constexpr Example kBodiesToPrepareExamples[] = {
    {"=BODIESTOPREPARE(50;0.7;0.18;8)", 56.60395592743318},
    {"=BODIESTOPREPARE(6;4;1)", 8.0},
    {"=BODIESTOPREPARE(50;0.7;0;8)", Code::argument},
};
constexpr Function kBodiesToPrepare = describe<bodies_to_prepare>(
    {.id = "bodiesToPrepare",
     .name = "BODIESTOPREPARE",
     .group = Group::day,
     .summary = "How many bodies, or how much opened fibre, to have ready for a day at the least "
                "expected cost.",
     .returns = "a number in the units of the mean: whole for Poisson demand, not rounded for "
                "normal demand; never below 0",
     .source = "the newsvendor: the quantile at cost of one short / (cost of one short + cost of "
               "one left over); Snyder and Shen, Fundamentals of Supply Chain Theory, chapter 4"},
    kBodiesToPrepareParameters, kBodiesToPrepareExamples);

// --- PREPARINGCOST

Result<Money> preparing_cost(Count prepared, Count mean, Money cost_short, Money cost_over,
                             const std::optional<Count>& deviation) {
  const Result<Demand> demand = demand_of(mean, deviation, 1);
  if (!demand) return demand.error();
  const double missing = demand->mean_above(prepared.value);
  const double over = std::max(0.0, prepared.value - mean.value + missing);
  return Money{cost_short.value * missing + cost_over.value * over};
}

constexpr Parameter kPreparingCostParameters[] = {
    {.name = "prepared", .text = "Bodies that are ready.", .rule = Rule::not_negative},
    {.name = "mean", .text = "Mean demand of the day.", .rule = Rule::not_negative},
    {.name = "cost of one short",
     .text = "What is lost when one is asked for that is not ready.",
     .rule = Rule::not_negative},
    {.name = "cost of one left over",
     .text = "What is lost on one that is ready and not asked for.",
     .rule = Rule::not_negative},
    {.name = "deviation", .text = kDeviationText, .rule = Rule::positive},
};
constexpr Example kPreparingCostExamples[] = {
    {"=PREPARINGCOST(60;50;0.7;0.18;8)", 2.156131552870388},
    {"=PREPARINGCOST(8;6;4;1)", 3.5701069457709416},
    {"=PREPARINGCOST(60;50;0.7;-0.18;8)", Code::argument},
};
constexpr Function kPreparingCost = describe<preparing_cost>(
    {.id = "preparingCost",
     .name = "PREPARINGCOST",
     .group = Group::day,
     .summary = "The expected cost of having prepared too much or too little.",
     .returns = "an amount a day, on average",
     .source = "expected cost of the newsvendor; Snyder and Shen, Fundamentals of Supply Chain "
               "Theory, chapter 4"},
    kPreparingCostParameters, kPreparingCostExamples);

constexpr Function kEvent[] = {kEventBodies};
constexpr Function kPreparing[] = {kBodiesToPrepare, kPreparingCost};

}  // namespace

Functions event_functions() { return kEvent; }
Functions preparing_functions() { return kPreparing; }

}  // namespace loftledger::planning
