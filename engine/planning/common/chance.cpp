#include "engine/planning/common/chance.hpp"

#include <algorithm>
#include <boost/math/distributions/binomial.hpp>
#include <boost/math/distributions/normal.hpp>
#include <boost/math/distributions/poisson.hpp>
#include <cmath>

namespace loftledger::planning {

namespace {

namespace policies = boost::math::policies;

// Errors come back as NaN or infinity, which the caller's adapter turns into a sentence; a quantile
// of counts is the least count that suffices.
using Quiet = policies::policy<policies::domain_error<policies::ignore_error>,
                               policies::pole_error<policies::ignore_error>,
                               policies::overflow_error<policies::ignore_error>,
                               policies::evaluation_error<policies::ignore_error>,
                               policies::discrete_quantile<policies::integer_round_up>>;
using Normal = boost::math::normal_distribution<double, Quiet>;
using Poisson = boost::math::poisson_distribution<double, Quiet>;
using Binomial = boost::math::binomial_distribution<double, Quiet>;

// Above this mean a whole count more or less no longer shows in a double, and the Poisson
// distribution is normal to as many digits.
constexpr double kMostMean = 1e12;

// The library searches to a tolerance; where a cumulated chance meets the share exactly it may stop
// one count away.
template <class Distribution>
double least_count(const Distribution& distribution, double share) {
  double count = std::max(0.0, std::ceil(boost::math::quantile(distribution, share)));
  while (count > 0 && boost::math::cdf(distribution, count - 1) >= share) --count;
  while (boost::math::cdf(distribution, count) < share) ++count;
  return count;
}

}  // namespace

double normal_quantile(double share) { return boost::math::quantile(Normal(), share); }

double Demand::chance_above(double stock) const {
  if (deviation) {
    return boost::math::cdf(boost::math::complement(Normal(mean, *deviation), stock));
  }
  if (stock < 0) return 1;
  if (mean == 0) return 0;
  return boost::math::cdf(boost::math::complement(Poisson(mean), std::floor(stock)));
}

double Demand::mean_above(double stock) const {
  if (deviation) {
    const double z = (stock - mean) / *deviation;
    if (!std::isfinite(z)) return std::max(0.0, mean - stock);
    const double above = boost::math::cdf(boost::math::complement(Normal(), z));
    return std::max(0.0, *deviation * (boost::math::pdf(Normal(), z) - z * above));
  }
  // The sum of (d - stock) P(d) over d > stock, with d P(d) = mean P(d - 1).
  if (stock < 0) return mean - stock;
  if (mean == 0) return 0;
  const double below = std::floor(stock);
  return std::max(0.0, mean * chance_above(below - 1) - stock * chance_above(below));
}

double Demand::mean_chance_above(double from, double width) const {
  // The difference of two means loses its digits where they are close: there the chance itself is
  // constant (Poisson, within one count) or a straight line to as many digits (normal).
  constexpr double kNarrow = 1e-5;
  const bool narrow =
      deviation ? width < kNarrow * *deviation : std::floor(from) == std::floor(from + width);
  if (narrow) return chance_above(from + width / 2);
  return (mean_above(from) - mean_above(from + width)) / width;
}

double Demand::quantile(double share) const {
  if (deviation) return mean + *deviation * normal_quantile(share);
  if (mean == 0) return 0;
  if (mean > kMostMean) return std::ceil(mean + std::sqrt(mean) * normal_quantile(share));
  return least_count(Poisson(mean), share);
}

double chance_fewer(std::int64_t count, double mean) {
  if (count <= 0) return 0;
  if (mean <= 0) return 1;
  return boost::math::gamma_q(static_cast<double>(count), mean, Quiet());
}

std::int64_t binomial_quantile(std::int64_t trials, double success, double confidence) {
  if (success <= 0) return 0;
  if (success >= 1) return trials;
  return static_cast<std::int64_t>(
      least_count(Binomial(static_cast<double>(trials), success), confidence));
}

}  // namespace loftledger::planning
