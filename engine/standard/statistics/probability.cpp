#include "engine/standard/statistics/probability.hpp"

#include <boost/math/special_functions/beta.hpp>
#include <boost/math/special_functions/erf.hpp>
#include <boost/math/special_functions/gamma.hpp>
#include <cmath>
#include <limits>
#include <numbers>

namespace loftledger::standard {

namespace {

namespace policies = boost::math::policies;

// What cannot be computed comes back as infinity or NaN, which the caller turns into an error.
using Quiet = policies::policy<policies::domain_error<policies::ignore_error>,
                               policies::pole_error<policies::ignore_error>,
                               policies::overflow_error<policies::ignore_error>,
                               policies::evaluation_error<policies::ignore_error>>;

constexpr double kNone = std::numeric_limits<double>::quiet_NaN();

}  // namespace

double normal_density(double x) {
  return std::exp(-0.5 * x * x) * std::numbers::inv_sqrtpi / std::numbers::sqrt2;
}

double normal_below(double x) { return 0.5 * std::erfc(-x / std::numbers::sqrt2); }

double normal_from_mean(double x) {
  constexpr double kNear = 1;
  constexpr double kFar = 5;
  const double size = std::fabs(x);
  if (size < kNear) {
    // The office adds the term with x^19 of the series where it should take it away; so does this,
    // to show the same digits (the difference is below 3e-10).
    constexpr double kTerm = std::numbers::inv_sqrtpi / std::numbers::sqrt2 / (512.0 * 362880 * 19);
    return std::copysign(
        0.5 * std::erf(size / std::numbers::sqrt2) + 2 * kTerm * std::pow(size, 19), x);
  }
  if (size < kFar) return 0.5 * std::erf(x / std::numbers::sqrt2);
  // The asymptotic series (Abramowitz and Stegun, 26.2.12) to as many terms as the office takes.
  const double u = 1 / (size * size);
  const double series = -1 + u * (1 + u * (-3 + u * (15 - u * 105)));
  return std::copysign(0.5 + normal_density(size) * series / size, x);
}

double normal_quantile(double share) {
  if (!(share > 0 && share < 1)) return kNone;
  return -std::numbers::sqrt2 * boost::math::erfc_inv(2 * share, Quiet());
}

double gamma_below(double shape, double x) { return boost::math::gamma_p(shape, x, Quiet()); }
double gamma_above(double shape, double x) { return boost::math::gamma_q(shape, x, Quiet()); }
double gamma_quantile(double shape, double share) {
  return boost::math::gamma_p_inv(shape, share, Quiet());
}
double gamma_quantile_above(double shape, double share) {
  return boost::math::gamma_q_inv(shape, share, Quiet());
}

double gamma_density(double shape, double x) {
  return boost::math::gamma_p_derivative(shape, x, Quiet());
}

double beta_below(double a, double b, double x) { return boost::math::ibeta(a, b, x, Quiet()); }
double beta_quantile(double a, double b, double share) {
  return boost::math::ibeta_inv(a, b, share, Quiet());
}
double beta_density(double a, double b, double x) {
  return boost::math::ibeta_derivative(a, b, x, Quiet());
}

double t_beyond(double t, double degrees) {
  return beta_below(0.5 * degrees, 0.5, degrees / (degrees + t * t));
}

double t_two_sided(double share, double degrees) {
  if (!(share > 0 && share <= 1)) return kNone;
  double rest = 0;
  const double part = boost::math::ibeta_inv(0.5 * degrees, 0.5, share, &rest, Quiet());
  return std::sqrt(degrees * rest / part);
}

double t_density(double t, double degrees) {
  return std::pow(1 + t * t / degrees, -(degrees + 1) / 2) /
         (std::sqrt(degrees) * boost::math::beta(0.5, degrees / 2, Quiet()));
}

double f_above(double x, double degrees_1, double degrees_2) {
  return beta_below(0.5 * degrees_2, 0.5 * degrees_1, degrees_2 / (degrees_2 + degrees_1 * x));
}

double f_below(double x, double degrees_1, double degrees_2) {
  return boost::math::ibetac(0.5 * degrees_2, 0.5 * degrees_1,
                             degrees_2 / (degrees_2 + degrees_1 * x), Quiet());
}

double f_density(double x, double degrees_1, double degrees_2) {
  const double ratio = degrees_1 * x / degrees_2;
  const double part = ratio / (1 + ratio);
  // From the density of the beta distribution, by the chain rule.
  return beta_density(degrees_1 / 2, degrees_2 / 2, part) * degrees_1 / degrees_2 /
         ((1 + ratio) * (1 + ratio));
}

double f_quantile_above(double share, double degrees_1, double degrees_2) {
  double rest = 0;
  const double part =
      boost::math::ibeta_inv(0.5 * degrees_2, 0.5 * degrees_1, share, &rest, Quiet());
  return degrees_2 * rest / (degrees_1 * part);
}

double chi_square_above(double x, double degrees) {
  return x <= 0 ? 1 : gamma_above(degrees / 2, x / 2);
}

double log_gamma(double x) { return boost::math::lgamma(x, Quiet()); }
double gamma_function(double x) { return boost::math::tgamma(x, Quiet()); }

}  // namespace loftledger::standard
