// Demand that is not certain: normal where its deviation is known, Poisson where only its mean is.
#pragma once

#include <cstdint>
#include <optional>

namespace loftledger::planning {

// The z below which a standard normal value falls with that chance (0 < share < 1).
double normal_quantile(double share);

// A demand with that mean; without a deviation it is a count that comes at random (Poisson).
struct Demand {
  double mean = 0;                  // 0 or more
  std::optional<double> deviation;  // more than 0

  // The chance that more than `stock` is asked for.
  double chance_above(double stock) const;
  // The mean of what is asked for beyond `stock` (the loss function).
  double mean_above(double stock) const;
  // The mean of chance_above between `from` and `from + width` (width more than 0).
  double mean_chance_above(double from, double width) const;
  // The least stock that suffices with that chance (0 < share < 1); a whole one for Poisson.
  double quantile(double share) const;
};

// The chance of fewer than `count` events where `mean` are expected (Poisson).
double chance_fewer(std::int64_t count, double mean);

// The least n for which at most n of `trials` succeed with that confidence.
std::int64_t binomial_quantile(std::int64_t trials, double success, double confidence);

}  // namespace loftledger::planning
