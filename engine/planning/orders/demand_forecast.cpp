// Seasons: what an owner's own history says about the months or weeks to come.
#include <fmt/format.h>

#include "engine/base/number_text.hpp"
#include "engine/catalogue/describe.hpp"
#include "engine/planning/areas.hpp"
#include "engine/planning/orders/seasonal_indices.hpp"

namespace loftledger::planning {

using namespace catalogue;

namespace {

constexpr double kMostPeriods = 10000;

Matrix column(const std::vector<double>& numbers) {
  Matrix out(numbers.size(), 1);
  for (std::size_t i = 0; i < numbers.size(); ++i) out.at(i, 0) = Value(numbers[i]);
  return out;
}

Result<Season> season_of(const Series<Count>& history, Number periods) {
  if (periods.value < 2 || periods.value > kMostPeriods) {
    return refuse(1, fmt::format("periods is {}; a cycle has from 2 to {} of them",
                                 plain_number(periods.value), plain_number(kMostPeriods)));
  }
  Result<Season> season = find_season(history.values, static_cast<std::size_t>(periods.value));
  if (!season) {
    Error error = std::move(season).error();
    error.argument = 0;
    return error;
  }
  return season;
}

constexpr Parameter kHistoryParameter{
    .name = "history",
    .text =
        "Demand of past periods, oldest first, over two whole cycles or more. Leave a cell "
        "empty where it is not known or was no ordinary period; 0 is a demand of nothing.",
    .rule = Rule::not_negative};
constexpr Parameter kPeriodsParameter{.name = "periods",
                                      .text =
                                          "Periods in one cycle: 12 for months, 52 for weeks, 7 "
                                          "for days of the week; from 2 to 10,000.",
                                      .rule = Rule::whole_positive};
constexpr std::string_view kSource =
    "classical multiplicative decomposition by the ratio to the centred moving average";

// --- SEASONINDEX

Result<Matrix> season_index(const Series<Count>& history, Number periods) {
  const Result<Season> season = season_of(history, periods);
  if (!season) return season.error();
  return column(season->index);
}

constexpr Parameter kSeasonIndexParameters[] = {kHistoryParameter, kPeriodsParameter};
constexpr Example kSeasonIndexExamples[] = {
    {"=SEASONINDEX({10;20;30;10;20;30};3)", 0.5, "the first of three"},
    {"=SEASONINDEX({10;20;30;10};3)", Code::argument, "less than two cycles"},
};
constexpr Function kSeasonIndex = describe<season_index>(
    {.id = "seasonIndex",
     .name = "SEASONINDEX",
     .group = Group::orders,
     .summary = "How far each month or week stands above or below the average one.",
     .returns = "an array, one index a row, the first for the season of the history's first cell; "
                "their mean is 1",
     .source = kSource,
     .detail = "A gap is taken to be what the trend and the season make it, and does not count in "
               "the index itself."},
    kSeasonIndexParameters, kSeasonIndexExamples);

// --- SEASONALDEMAND

Result<Matrix> seasonal_demand(const Series<Count>& history, Number periods, Number horizon,
                               const std::optional<Ratio>& growth) {
  if (horizon.value > kMostPeriods) {
    return refuse(2, fmt::format("horizon is {}; it must be {} at most",
                                 plain_number(horizon.value), plain_number(kMostPeriods)));
  }
  if (growth && growth->value <= -1) {
    return refuse(3, fmt::format("growth is {}; it must be more than -1 (-100%)",
                                 plain_number(growth->value)));
  }
  const Result<Season> season = season_of(history, periods);
  if (!season) return season.error();
  std::optional<double> share;
  if (growth) share = growth->value;
  return column(project(*season, static_cast<std::size_t>(horizon.value), share));
}

constexpr Parameter kSeasonalDemandParameters[] = {
    kHistoryParameter,
    kPeriodsParameter,
    {.name = "horizon",
     .text = "How many periods to look ahead, from the one after the last known figure; "
             "10,000 at most.",
     .rule = Rule::whole_positive},
    {.name = "growth",
     .text = "Growth from one cycle to the next, such as 5%, more than -100%; 0 for none. Left "
             "out: the straight "
             "line through the history goes on."},
};
constexpr Example kSeasonalDemandExamples[] = {
    {"=SEASONALDEMAND({10;20;30;10;20;30};3;3;0)", 10.0, "the first of three"},
    {"=SEASONALDEMAND({10;20;30;10;20;30};3;3;-100%)", Code::argument},
};
constexpr Function kSeasonalDemand = describe<seasonal_demand>(
    {.id = "seasonalDemand",
     .name = "SEASONALDEMAND",
     .group = Group::orders,
     .summary = "Demand of the periods to come: the history's level, its season, and growth.",
     .returns = "an array, one period a row, in the units of the history; never below 0",
     .source = kSource,
     .detail = "With a growth of your own the level is the mean of the last cycle, carried forward "
               "from its middle. Without, it follows the straight line of least squares through "
               "the demand with the season taken out: look at it with care where the history is "
               "short."},
    kSeasonalDemandParameters, kSeasonalDemandExamples);

constexpr Function kFunctions[] = {kSeasonIndex, kSeasonalDemand};

}  // namespace

Functions season_functions() { return kFunctions; }

}  // namespace loftledger::planning
