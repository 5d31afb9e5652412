#include "engine/planning/common/trials.hpp"

#include <algorithm>
#include <boost/math/distributions/students_t.hpp>
#include <boost/math/special_functions/gamma.hpp>
#include <cmath>

namespace loftledger::planning {

namespace {

namespace policies = boost::math::policies;

// Trouble comes back as NaN or infinity, which the adapter turns into a sentence.
using Quiet = policies::policy<policies::domain_error<policies::ignore_error>,
                               policies::pole_error<policies::ignore_error>,
                               policies::overflow_error<policies::ignore_error>,
                               policies::evaluation_error<policies::ignore_error>>;

// Rounding noise that must not cost a whole body: 9.6 kg are sixty times 160 g.
constexpr double kNoise = 1e-12;

}  // namespace

Sample sample_of(std::span<const double> values) {
  Sample out;
  out.count = static_cast<double>(values.size());
  if (values.empty()) return out;
  // Divided before it is added, so that large values do not overflow; the mean is then corrected by
  // the mean of what is left over, and the sum of squares likewise.
  for (double x : values) out.mean += x / out.count;
  double left = 0;
  for (double x : values) left += (x - out.mean) / out.count;
  out.mean += left;
  if (values.size() < 2) return out;
  double squares = 0;
  double sum = 0;
  for (double x : values) {
    squares += (x - out.mean) * (x - out.mean);
    sum += x - out.mean;
  }
  squares = std::max(0.0, squares - sum * sum / out.count);
  out.deviation = std::sqrt(squares / (out.count - 1));
  return out;
}

double student_quantile(double share, double freedom) {
  return boost::math::quantile(boost::math::students_t_distribution<double, Quiet>(freedom), share);
}

double chance_of_bodies(double n, double mass, Fill fill) {
  if (n <= 0) return 1;
  const double ratio = fill.deviation / fill.mean;
  const double bodies = mass / fill.mean;
  if (ratio < 1e-9) return n <= bodies * (1 + kNoise) ? 1 : 0;
  const double shape = 1 / (ratio * ratio);
  return boost::math::gamma_p(n * shape, bodies * shape, Quiet());
}

double whole_bodies(double mass, Fill fill) {
  const double bodies = mass / fill.mean;
  const double ratio = fill.deviation / fill.mean;
  const double spread = bodies * ratio * ratio;
  // Beyond this the rest of the renewal function is below the last digit.
  if (spread > 8 && bodies > 64) return bodies + (ratio * ratio - 1) / 2;
  // The sum over n of the chance of at least n; where that is 1, only the count matters.
  const double sure = std::max(0.0, std::floor(bodies - 12 * std::sqrt(spread) - 2));
  double mean = sure;
  for (double n = sure + 1;; ++n) {
    const double chance = chance_of_bodies(n, mass, fill);
    if (!(chance > 1e-17)) return mean;
    mean += chance;
  }
}

double promised_bodies(double mass, const Sample& weighings, double confidence) {
  const double m = weighings.count;
  const double t = student_quantile(confidence, m - 1);
  const double limit = mass * (1 + kNoise);
  auto fits = [&](double n) {
    return n * weighings.mean + t * weighings.deviation * std::sqrt(n + n * n / m) <= limit;
  };
  double low = 0;
  double high = std::floor(limit / weighings.mean) + 1;
  while (high - low > 1) {
    const double middle = std::floor((low + high) / 2);
    (fits(middle) ? low : high) = middle;
  }
  return low;
}

}  // namespace loftledger::planning
