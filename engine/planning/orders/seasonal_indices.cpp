#include "engine/planning/orders/seasonal_indices.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "engine/catalogue/describe.hpp"

namespace loftledger::planning {

namespace {

constexpr int kMostRounds = 2000;
constexpr double kSettled = 1e-13;

Error refusal(std::string sentence) { return Error(Code::argument, std::move(sentence)); }

// The mean of one whole cycle around each period from half a cycle on; with an even number of
// periods the two ends count half.
std::vector<double> centred_means(const std::vector<double>& demand, std::size_t periods) {
  const std::size_t half = periods / 2;
  const double end_weight = periods % 2 == 0 ? 0.5 : 1.0;
  std::vector<double> means;
  for (std::size_t i = half; i + half < demand.size(); ++i) {
    double sum = end_weight * (demand[i - half] + demand[i + half]);
    for (std::size_t j = i - half + 1; j < i + half; ++j) sum += demand[j];
    means.push_back(sum / static_cast<double>(periods));
  }
  return means;
}

// One round of the method: the moving average of what is known and filled in, and its indexes.
struct Round {
  std::vector<double> trend;  // from half a cycle on
  std::vector<double> index;
};

Result<Round> one_round(const std::vector<double>& demand, const History& known, std::size_t first,
                        std::size_t periods) {
  Round round{centred_means(demand, periods), std::vector<double>(periods, 0.0)};
  std::vector<double> ratios(periods, 0.0);
  const std::size_t half = periods / 2;
  for (std::size_t i = 0; i < round.trend.size(); ++i) {
    if (!known[first + half + i]) continue;
    if (!(round.trend[i] > 0)) {
      return refusal(
          fmt::format("history has a whole cycle around period {} in which nothing was asked for",
                      first + half + i + 1));
    }
    const std::size_t season = (first + half + i) % periods;
    round.index[season] += *known[first + half + i] / round.trend[i];
    ratios[season] += 1;
  }
  double sum = 0;
  for (std::size_t s = 0; s < periods; ++s) {
    if (ratios[s] == 0) {
      return refusal(
          fmt::format("history has no figure of season {} that lies half a cycle or more "
                      "away from both its ends",
                      s + 1));
    }
    round.index[s] /= ratios[s];
    sum += round.index[s];
  }
  if (!(sum > 0)) return refusal("history is 0 in every season");
  for (double& index : round.index) index *= static_cast<double>(periods) / sum;
  return round;
}

// Puts a first guess into the gaps: the mean of the season's known demand.
Result<std::vector<double>> filled(const History& known, std::size_t first, std::size_t end,
                                   std::size_t periods) {
  std::vector<double> sums(periods, 0.0);
  std::vector<double> counts(periods, 0.0);
  for (std::size_t i = first; i < end; ++i) {
    if (!known[i]) continue;
    sums[i % periods] += *known[i];
    counts[i % periods] += 1;
  }
  std::vector<double> demand;
  for (std::size_t i = first; i < end; ++i) {
    if (!known[i] && counts[i % periods] == 0) {
      return refusal(fmt::format("history has no figure of season {}", i % periods + 1));
    }
    demand.push_back(known[i] ? *known[i] : sums[i % periods] / counts[i % periods]);
  }
  return demand;
}

}  // namespace

Result<Season> find_season(const History& history, std::size_t periods) {
  std::size_t first = 0;
  std::size_t end = history.size();
  while (first < end && !history[first]) ++first;
  while (end > first && !history[end - 1]) --end;
  if (end - first < 2 * periods) {
    return refusal(fmt::format("history runs over {}; two whole cycles of {} are needed",
                               catalogue::counted(end - first, "period"), periods));
  }
  Result<std::vector<double>> demand = filled(history, first, end, periods);
  if (!demand) return std::move(demand).error();
  const std::size_t half = periods / 2;

  Round round;
  for (int turn = 0;; ++turn) {
    Result<Round> next = one_round(*demand, history, first, periods);
    if (!next) return std::move(next).error();
    round = *std::move(next);
    double change = 0;
    for (std::size_t i = first; i < end; ++i) {
      if (history[i]) continue;
      const std::size_t at = i - first;
      const double trend = round.trend[std::clamp(at, half, half + round.trend.size() - 1) - half];
      const double fill = trend * round.index[i % periods];
      change = std::max(change, std::abs(fill - (*demand)[at]) / std::max(trend, 1e-300));
      (*demand)[at] = fill;
    }
    if (change <= kSettled) break;
    if (turn == kMostRounds) {
      return Error(Code::no_convergence, "history has too many gaps for its season to be found");
    }
  }

  Season season{std::move(round.index), {}, {}, end};
  for (std::size_t i = first; i < end; ++i) {
    const double index = season.index[i % periods];
    if (!history[i] || index <= 0) continue;
    season.position.push_back(static_cast<double>(i));
    season.level.push_back(*history[i] / index);
  }
  return season;
}

std::vector<double> project(const Season& season, std::size_t horizon,
                            std::optional<double> growth) {
  const double periods = static_cast<double>(season.index.size());
  // The mean position and level of what the projection starts from, and the line's slope.
  const double start =
      growth ? std::min(season.position.back(), static_cast<double>(season.end) - periods) : 0.0;
  double count = 0;
  double position = 0;
  double level = 0;
  for (std::size_t i = 0; i < season.level.size(); ++i) {
    if (season.position[i] < start) continue;
    count += 1;
    position += season.position[i];
    level += season.level[i];
  }
  position /= count;
  level /= count;
  double slope = 0;
  if (!growth) {
    double across = 0;
    double along = 0;
    for (std::size_t i = 0; i < season.level.size(); ++i) {
      const double step = season.position[i] - position;
      across += step * (season.level[i] - level);
      along += step * step;
    }
    if (along > 0) slope = across / along;
  }
  std::vector<double> demand;
  for (std::size_t k = 0; k < horizon; ++k) {
    const std::size_t period = season.end + k;
    const double ahead = static_cast<double>(period) - position;
    const double trend =
        growth ? level * std::pow(1 + *growth, ahead / periods) : level + slope * ahead;
    demand.push_back(std::max(0.0, trend) * season.index[period % season.index.size()]);
  }
  return demand;
}

}  // namespace loftledger::planning
