// Orders: how many cases, and how much stock keeps the shop from running out.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "engine/base/number_text.hpp"
#include "engine/catalogue/describe.hpp"
#include "engine/planning/areas.hpp"
#include "engine/planning/common/chance.hpp"
#include "engine/planning/common/demands.hpp"
#include "engine/planning/common/mix.hpp"
#include "engine/planning/common/periods.hpp"
#include "engine/planning/common/whole.hpp"

namespace loftledger::planning {

using namespace catalogue;

namespace {

constexpr std::string_view kDeviationText =
    "Standard deviation of that demand. Left out: the bodies or cases are asked for one by one and "
    "at random (Poisson), for means up to 1e9.";

// --- CASESNEEDED

Result<Count> cases_needed(const Series<Count>& bodies, const Series<Count>& per_case,
                           Count on_hand, Ratio loss) {
  const Result<double> cases = cases_of_mix(bodies, per_case, 0);
  if (!cases) return cases.error();
  return Count{std::max(0.0, whole_up(*cases / (1 - loss.value) - on_hand.value))};
}

constexpr Parameter kCasesNeededParameters[] = {
    {.name = "bodies",
     .text = "Bodies to fill: one number, or one for each size.",
     .rule = Rule::not_negative},
    {.name = "bodies per case",
     .text = "Bodies of each size that a case fills, in the same order.",
     .rule = Rule::positive},
    {.name = "on hand",
     .text = "Cases in the shop, parts of cases included.",
     .rule = Rule::not_negative,
     .fallback = 0.0},
    {.name = "loss",
     .text = "Share of the fibre that ends up in no body, where the bodies per case leave it out.",
     .rule = Rule::share_below_one,
     .fallback = 0.0},
};
constexpr Example kCasesNeededExamples[] = {
    {"=CASESNEEDED({300;180;60};{529;157;66})", 3.0, "0.57 + 1.15 + 0.91 cases"},
    {"=CASESNEEDED(500;50;2.5)", 8.0},
    {"=CASESNEEDED(500;50;12)", 0.0, "the stock suffices"},
    {"=CASESNEEDED(500;0)", Code::argument},
};
constexpr Function kCasesNeeded = describe<cases_needed>(
    {.id = "casesNeeded",
     .name = "CASESNEEDED",
     .group = Group::orders,
     .summary = "Whole cases to buy for a mix of body sizes, beyond what is on hand.",
     .returns = "a whole number of cases; 0 where the stock suffices",
     .source = "definition",
     .detail = "Sizes share cases: the parts are added before rounding up."},
    kCasesNeededParameters, kCasesNeededExamples);

// --- SAFETYSTOCK

Result<Count> safety_stock(Count deviation, Number lead_time, Ratio service, Count mean,
                           Number lead_time_deviation, Number review) {
  if (service.value < 0.5) {
    return refuse(2, fmt::format("service level is {}; below 0.5 (50%) there is no safety stock to "
                                 "keep",
                                 plain_number(service.value)));
  }
  if (lead_time_deviation.value > 0 && mean.value == 0) {
    return refuse(3, "needs the mean demand where the lead time has a deviation");
  }
  const double periods = lead_time.value + review.value;
  const double spread =
      std::hypot(deviation.value * std::sqrt(periods), mean.value * lead_time_deviation.value);
  return Count{normal_quantile(service.value) * spread};
}

constexpr Parameter kSafetyStockParameters[] = {
    {.name = "deviation",
     .text = "Standard deviation of the demand in one period (a week, say).",
     .rule = Rule::not_negative},
    {.name = "lead time",
     .text = "Periods from placing an order to its arrival.",
     .rule = Rule::not_negative},
    {.name = "service level",
     .text = "Share of order cycles that are to pass without running out, such as 95%; from 50%.",
     .rule = Rule::open_share},
    {.name = "mean demand",
     .text = "Mean demand in one period; needed where the lead time varies.",
     .rule = Rule::not_negative,
     .fallback = 0.0},
    {.name = "lead time deviation",
     .text = "Standard deviation of the lead time, in periods.",
     .rule = Rule::not_negative,
     .fallback = 0.0},
    {.name = "review time",
     .text = "Periods between two looks at the stock; 0 where it is watched all the time.",
     .rule = Rule::not_negative,
     .fallback = 0.0},
};
constexpr Example kSafetyStockExamples[] = {
    {"=SAFETYSTOCK(4;4;97.5%)", 15.679711876320432, "1.96 x 4 x 2"},
    {"=SAFETYSTOCK(0;3;95%;5;2)", 16.448536269514722, "only the lead time varies"},
    {"=SAFETYSTOCK(4;4;100%)", Code::argument},
};
constexpr Function kSafetyStock = describe<safety_stock>(
    {.id = "safetyStock",
     .name = "SAFETYSTOCK",
     .group = Group::orders,
     .summary = "Stock to keep beyond the mean demand, so that a chosen share of order cycles does "
                "not run out.",
     .returns = "a number in the units of the demand, not rounded",
     .source = "Chopra and Meindl, Supply Chain Management, chapter on safety inventory: "
               "z x root of (lead time x deviation squared + mean squared x lead time deviation "
               "squared)",
     .detail = "Demand is taken as normal and independent from period to period. The service level "
               "is that of a cycle (no shortage at all); SHAREFROMSTOCK gives the share of demand "
               "that is served, which is higher."},
    kSafetyStockParameters, kSafetyStockExamples);

// --- REORDERPOINT

Result<Count> reorder_point(Count mean, Number lead_time, Count safety, Number review) {
  return Count{mean.value * (lead_time.value + review.value) + safety.value};
}

constexpr Parameter kReorderPointParameters[] = {
    {.name = "mean demand", .text = "Mean demand in one period.", .rule = Rule::not_negative},
    {.name = "lead time",
     .text = "Periods from placing an order to its arrival.",
     .rule = Rule::not_negative},
    {.name = "safety stock", .text = "Stock kept for bad weeks.", .rule = Rule::not_negative},
    {.name = "review time",
     .text = "Periods between two looks at the stock; with it the result is the level to order up "
             "to.",
     .rule = Rule::not_negative,
     .fallback = 0.0},
};
constexpr Example kReorderPointExamples[] = {
    {"=REORDERPOINT(6;2;5)", 17.0},
    {"=REORDERPOINT(6;2;-5)", Code::argument},
};
constexpr Function kReorderPoint = describe<reorder_point>(
    {.id = "reorderPoint",
     .name = "REORDERPOINT",
     .group = Group::orders,
     .summary = "The stock at which the next order is due.",
     .returns = "a number in the units of the demand; what is already on order counts as stock",
     .source = "definition: demand over the lead time, and the safety stock"},
    kReorderPointParameters, kReorderPointExamples);

// --- DAYSOFCOVER

Result<Time> days_of_cover(Count on_hand, const Series<Count>& demand) {
  const Result<std::vector<double>> days_demand = every_period(demand, 1, "demand per day");
  if (!days_demand) return days_demand.error();
  double week = 0;
  for (double day : *days_demand) week += day;
  if (week <= 0) return refuse(1, "demand per day is 0; the stock would last for ever");
  const double rounds = std::floor(on_hand.value / week);
  double left = on_hand.value - rounds * week;
  double days = rounds * static_cast<double>(days_demand->size());
  for (double day : *days_demand) {
    if (left < day) return Time{tidy(days + left / day)};
    left -= day;
    days += 1;
  }
  return Time{days};
}

constexpr Parameter kDaysOfCoverParameters[] = {
    {.name = "on hand", .text = "Stock in cases or bodies.", .rule = Rule::not_negative},
    {.name = "demand per day",
     .text = "Demand of a day in the same units, or of the coming days in order, beginning with "
             "today; after the last they start over, so seven cells are a week. "
             "Every cell must be filled: 0 where nothing is needed.",
     .rule = Rule::not_negative},
};
constexpr Example kDaysOfCoverExamples[] = {
    {"=DAYSOFCOVER(12;1.6)", 7.5},
    {"=DAYSOFCOVER(28.5;{1;1;1;1;2;6;3})", 13.5, "two weeks less half a Sunday"},
    {"=DAYSOFCOVER(12;0)", Code::argument},
};
constexpr Function kDaysOfCover =
    describe<days_of_cover>({.id = "daysOfCover",
                             .name = "DAYSOFCOVER",
                             .group = Group::orders,
                             .summary = "Days until the stock is used up at the expected demand.",
                             .returns = "days, with a fraction",
                             .source = "definition",
                             .unit = "day"},
                            kDaysOfCoverParameters, kDaysOfCoverExamples);

// --- STOCKOUTCHANCE

Result<Ratio> stockout_chance(Count on_hand, Count mean, const std::optional<Count>& deviation) {
  const Result<Demand> demand = demand_of(mean, deviation, 1);
  if (!demand) return demand.error();
  return Ratio{demand->chance_above(on_hand.value)};
}

constexpr Parameter kStockoutChanceParameters[] = {
    {.name = "on hand",
     .text = "Stock that must last, with what arrives in time.",
     .rule = Rule::not_negative},
    {.name = "mean", .text = "Mean demand until the next delivery.", .rule = Rule::not_negative},
    {.name = "deviation", .text = kDeviationText, .rule = Rule::positive},
};
constexpr Example kStockoutChanceExamples[] = {
    {"=STOCKOUTCHANCE(60;50;8)", 0.10564977366685535},
    {"=STOCKOUTCHANCE(4;2.5)", 0.1088219810848612},
    {"=STOCKOUTCHANCE(60;50;0)", Code::argument},
};
constexpr Function kStockoutChance =
    describe<stockout_chance>({.id = "stockoutChance",
                               .name = "STOCKOUTCHANCE",
                               .group = Group::orders,
                               .summary = "The chance that more is asked for than the stock holds.",
                               .returns = "a share from 0 to 1",
                               .source = "upper tail of the normal or the Poisson distribution"},
                              kStockoutChanceParameters, kStockoutChanceExamples);

// --- EXPECTEDSHORT

Result<Count> expected_short(Count stock, Count mean, const std::optional<Count>& deviation) {
  const Result<Demand> demand = demand_of(mean, deviation, 1);
  if (!demand) return demand.error();
  return Count{demand->mean_above(stock.value)};
}

constexpr Parameter kExpectedShortParameters[] = {
    {.name = "stock", .text = "Stock, or bodies prepared.", .rule = Rule::not_negative},
    {.name = "mean",
     .text = "Mean demand until the next delivery, or of the day.",
     .rule = Rule::not_negative},
    {.name = "deviation", .text = kDeviationText, .rule = Rule::positive},
};
constexpr Example kExpectedShortExamples[] = {
    {"=EXPECTEDSHORT(60;50;8)", 0.4046949464436227},
    {"=EXPECTEDSHORT(18;15)", 0.5176095282912268},
    {"=EXPECTEDSHORT(-1;50;8)", Code::argument},
};
constexpr Function kExpectedShort = describe<expected_short>(
    {.id = "expectedShort",
     .name = "EXPECTEDSHORT",
     .group = Group::orders,
     .summary = "How much of the demand is left unserved on average.",
     .returns = "a number in the units of the demand",
     .source = "loss function of the normal or the Poisson distribution: Snyder and Shen, "
               "Fundamentals of Supply Chain Theory"},
    kExpectedShortParameters, kExpectedShortExamples);

// --- SHAREFROMSTOCK

Result<Ratio> share_from_stock(Count quantity, Count reorder_point, Count mean,
                               const std::optional<Count>& deviation) {
  const Result<Demand> demand = demand_of(mean, deviation, 2);
  if (!demand) return demand.error();
  return Ratio{
      std::clamp(1 - demand->mean_chance_above(reorder_point.value, quantity.value), 0.0, 1.0)};
}

constexpr Parameter kShareFromStockParameters[] = {
    {.name = "order quantity", .text = "Cases of one order.", .rule = Rule::positive},
    {.name = "reorder point",
     .text = "Stock at which an order is placed.",
     .rule = Rule::not_negative},
    {.name = "mean", .text = "Mean demand during the lead time.", .rule = Rule::not_negative},
    {.name = "deviation", .text = kDeviationText, .rule = Rule::positive},
};
constexpr Example kShareFromStockExamples[] = {
    {"=SHAREFROMSTOCK(20;17;12;4)", 0.9898826263451769},
    {"=SHAREFROMSTOCK(0;17;12;4)", Code::argument},
};
constexpr Function kShareFromStock = describe<share_from_stock>(
    {.id = "shareFromStock",
     .name = "SHAREFROMSTOCK",
     .group = Group::orders,
     .summary = "The share of the demand that is served from stock, with orders of one size placed "
                "at a reorder point.",
     .returns = "a share from 0 to 1",
     .source = "fill rate of a reorder-point policy watched all the time: Snyder and Shen, "
               "Fundamentals of Supply Chain Theory",
     .detail = "Demand that meets an empty stock is taken to wait for the delivery. One order at a "
               "time is under way or several: both are covered."},
    kShareFromStockParameters, kShareFromStockExamples);

constexpr Function kFunctions[] = {kCasesNeeded,    kSafetyStock,   kReorderPoint,  kDaysOfCover,
                                   kStockoutChance, kExpectedShort, kShareFromStock};

}  // namespace

Functions order_functions() { return kFunctions; }

}  // namespace loftledger::planning
