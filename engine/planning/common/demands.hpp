// The demand that two arguments describe: a mean, and a deviation that may be left out.
#pragma once

#include <fmt/format.h>

#include <optional>

#include "engine/base/number_text.hpp"
#include "engine/catalogue/describe.hpp"
#include "engine/planning/common/chance.hpp"

namespace loftledger::planning {

// Beyond it a demand that is asked for one by one has no meaning, and sums lose whole counts.
inline constexpr double kMostPoissonMean = 1e9;

// `mean` is argument `index`.
inline Result<Demand> demand_of(Count mean, const std::optional<Count>& deviation, int index) {
  if (deviation) return Demand{mean.value, deviation->value};
  if (mean.value > kMostPoissonMean) {
    return catalogue::refuse(index,
                             fmt::format("mean is {}; without a deviation it must be {} at most",
                                         plain_number(mean.value), plain_number(kMostPoissonMean)));
  }
  return Demand{mean.value, std::nullopt};
}

}  // namespace loftledger::planning
