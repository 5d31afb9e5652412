// The season in a history of demand, and the demand to come: numbers only.
#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "engine/base/result.hpp"

namespace loftledger::planning {

using History = std::vector<std::optional<double>>;  // oldest first; gaps are empty

struct Season {
  std::vector<double> index;     // of each season, mean 1; the first belongs to history[0]
  std::vector<double> position;  // of the known periods, counted from the start of the history
  std::vector<double> level;     // their demand over the season's index
  std::size_t end = 0;           // the period after the last known one
};

// Ratio to the centred moving average (classical decomposition): each period's demand over the mean
// of one cycle around it; the mean ratio of each season; scaled to a mean of 1. A gap stands for
// the moving average times its season's index, settled by repetition, and is left out of the means;
// without gaps the result is the classical one. Refuses fewer than two cycles.
Result<Season> find_season(const History& history, std::size_t periods);

// Demand in the `horizon` periods after the last known one. With growth (a share a cycle) it starts
// from the mean level of the last cycle; without, it follows the straight line of least squares
// through the levels. Never below 0.
std::vector<double> project(const Season& season, std::size_t horizon,
                            std::optional<double> growth);

}  // namespace loftledger::planning
