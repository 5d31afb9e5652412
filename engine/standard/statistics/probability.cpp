#include "engine/standard/statistics/probability.hpp"

#include <algorithm>
#include <boost/math/special_functions/beta.hpp>
#include <boost/math/special_functions/erf.hpp>
#include <boost/math/special_functions/gamma.hpp>
#include <boost/math/special_functions/log1p.hpp>
#include <boost/math/tools/roots.hpp>
#include <cmath>
#include <cstdint>
#include <exception>
#include <limits>
#include <numbers>
#include <utility>

namespace loftledger::standard {

namespace {

namespace policies = boost::math::policies;

// What cannot be computed comes back as infinity or NaN, which the caller turns into an error. What
// does not come to an end within so many terms is not worth waiting for.
using Quiet =
    policies::policy<policies::domain_error<policies::ignore_error>,
                     policies::pole_error<policies::ignore_error>,
                     policies::overflow_error<policies::ignore_error>,
                     policies::max_series_iterations<200000>, policies::max_root_iterations<100>>;

constexpr double kNone = std::numeric_limits<double>::quiet_NaN();

// The one place where the library's exceptions end: a search that found nothing, a series that did
// not come to an end.
template <class F>
double guarded(const F& function) {
  try {
    return function();
  } catch (const std::exception&) {
    return kNone;
  }
}

// log(1 + x) - x
double log1p_less_x(double x) {
  return guarded([&] { return boost::math::log1pmx(x, Quiet()); });
}

// Where the function, whose signs differ at the ends, passes 0.
template <class F>
double crossing(const F& function, double low, double high) {
  return guarded([&] {
    std::uintmax_t steps = 200;
    const auto [from, to] = boost::math::tools::toms748_solve(
        function, low, high, boost::math::tools::eps_tolerance<double>(), steps, Quiet());
    return from + (to - from) / 2;
  });
}

// The x above 0 beyond which the share lies. The tail falls from 1 to 0.
template <class F>
double place_of_share(const F& tail, double share) {
  constexpr double kLargest = 1e300;
  double low = 1;
  double high = 1;
  while (tail(high) > share && high < kLargest) {
    low = high;
    high *= 16;
  }
  while (tail(low) < share && low > 1 / kLargest) {
    high = low;
    low /= 16;
  }
  if (low == high) return low;
  return crossing([&](double x) { return tail(x) - share; }, low, high);
}

// The same for a bell around the mean that is so narrow that nothing lies further off than 40
// deviations. `below` and `above` are the shares on either side; the smaller one is looked for.
template <class Below, class Above>
double place_in_bell(double mean, double deviation, double share, bool share_above,
                     const Below& below, const Above& above) {
  constexpr double kFar = 40;
  const double low = mean - kFar * deviation;
  const double high = mean + kFar * deviation;
  if (!(low < mean && mean < high)) return mean;
  const bool from_above = share_above == (share < 0.5);
  const double part = from_above == share_above ? share : 1 - share;
  if (from_above) return crossing([&](double x) { return part - above(x); }, low, high);
  return crossing([&](double x) { return below(x) - part; }, low, high);
}

// --- Uniform expansions. Half of erfc is the leading term; the rest corrects it.

struct Bell {
  double distance = 0;    // from the middle, in units in which the density is exp(-distance²)
  double correction = 0;  // of the upper tail; the lower one has it with the other sign
};

double share_of(const Bell& bell, bool upper) {
  return upper ? 0.5 * std::erfc(bell.distance) + bell.correction
               : 0.5 * std::erfc(-bell.distance) - bell.correction;
}

double correction(double exponent, double size, double coefficient) {
  return std::exp(-exponent) * coefficient / std::sqrt(2 * std::numbers::pi * size);
}

// DLMF 8.12.3 to 8.12.7 with the first coefficient, which leaves an error of order shape^-3/2.
constexpr double kLargeShape = 1e7;

Bell gamma_bell(double shape, double x) {
  const double off = (x - shape) / shape;
  const double half_square = -log1p_less_x(off);
  const double eta = std::copysign(std::sqrt(2 * half_square), off);
  // Near 0 the two parts cancel: there the first terms of their series (8.12.9 and after).
  constexpr double kNear = 1e-3;
  const double coefficient =
      std::fabs(eta) < kNear ? -1.0 / 3 + eta / 12 - 2 * eta * eta / 135 : 1 / off - 1 / eta;
  const double exponent = shape * half_square;
  return {std::copysign(std::sqrt(exponent), off), correction(exponent, shape, coefficient)};
}

double incomplete_gamma(double shape, double x, bool upper) {
  if (shape >= kLargeShape && x >= 0) {
    if (!std::isfinite(x)) return upper ? 0 : 1;
    return share_of(gamma_bell(shape, x), upper);
  }
  return guarded([&] {
    return upper ? boost::math::gamma_q(shape, x, Quiet())
                 : boost::math::gamma_p(shape, x, Quiet());
  });
}

// DLMF 8.18.8 to 8.18.11 with the first coefficient, which leaves an error of order (a + b)^-3/2
// where neither is small beside it.
constexpr double kLargeBeta = 1e9;

Bell beta_bell(double a, double b, double x, double y) {
  const double size = a + b;
  const double middle = a / size;
  const double rest = b / size;
  // x - middle, in wider numbers: the products all but cancel.
  using Wide = long double;
  const auto off = static_cast<double>((Wide(x) * b - Wide(y) * a) / (Wide(a) + b));
  const double half_square =
      -(middle * log1p_less_x(off / middle) + rest * log1p_less_x(-off / rest));
  const double eta = std::copysign(std::sqrt(2 * half_square), off);
  const double variance = middle * rest;
  const double deviation = std::sqrt(variance);
  // Near 0 the two parts cancel: there the first terms of their series, derived from 8.18.10.
  constexpr double kNear = 1e-5;
  const double coefficient =
      std::fabs(off) < kNear * variance
          ? (rest - middle) / (3 * deviation) + off / deviation * (variance - 1) / (12 * variance)
          : 1 / eta - deviation / off;
  const double exponent = size * half_square;
  return {std::copysign(std::sqrt(exponent), off), -correction(exponent, size, coefficient)};
}

// I_x(a, b), or what it leaves of 1; y is 1 - x. The smaller of the two has its digits.
double incomplete_beta(double a, double b, double x, double y, bool upper) {
  if (x > y) return incomplete_beta(b, a, y, x, !upper);
  if (std::min(a, b) >= kLargeBeta) {
    // So that sums of the two stay numbers.
    constexpr double kLargest = 1e300;
    if (std::max(a, b) > kLargest) return kNone;
    return share_of(beta_bell(a, b, x, y), upper);
  }
  return guarded([&] {
    return upper ? boost::math::ibetac(a, b, x, Quiet()) : boost::math::ibeta(a, b, x, Quiet());
  });
}

// --- Saddle points

// log(n!) less Stirling's approximation of it.
double stirling_error(double n) {
  constexpr double kSeries = 16;  // from here on the next term is below 1e-16
  if (n < kSeries) {
    const double stirling = (n + 0.5) * std::log(n) - n + 0.5 * std::log(2 * std::numbers::pi);
    return boost::math::lgamma(n + 1, Quiet()) - stirling;
  }
  // DLMF 5.11.1
  const double u = 1 / (n * n);
  return (1.0 / 12 - u * (1.0 / 360 - u * (1.0 / 1260 - u * (1.0 / 1680 - u / 1188)))) / n;
}

// What a count beside the expected one, of which it is `off` short, adds to the exponent:
// count log(count / expected) + expected - count. Near each other the terms all but cancel.
double deviance(double count, double expected, double off) {
  constexpr double kApart = 0.5;
  if (expected < kApart * count) return count * std::log(count / expected) + off;
  return -count * log1p_less_x(off / count);
}

}  // namespace

double normal_density(double x) {
  return std::exp(-0.5 * x * x) * std::numbers::inv_sqrtpi / std::numbers::sqrt2;
}

double normal_below(double x) { return 0.5 * std::erfc(-x / std::numbers::sqrt2); }

double normal_from_mean(double x) { return 0.5 * std::erf(x / std::numbers::sqrt2); }

double normal_quantile(double share) {
  if (!(share > 0 && share < 1)) return kNone;
  return guarded([&] { return -std::numbers::sqrt2 * boost::math::erfc_inv(2 * share, Quiet()); });
}

double gamma_below(double shape, double x) { return incomplete_gamma(shape, x, false); }
double gamma_above(double shape, double x) { return incomplete_gamma(shape, x, true); }

namespace {

double gamma_place(double shape, double share, bool above) {
  if (shape < kLargeShape) {
    return guarded([&] {
      return above ? boost::math::gamma_q_inv(shape, share, Quiet())
                   : boost::math::gamma_p_inv(shape, share, Quiet());
    });
  }
  return place_in_bell(
      shape, std::sqrt(shape), share, above, [&](double x) { return gamma_below(shape, x); },
      [&](double x) { return gamma_above(shape, x); });
}

}  // namespace

double gamma_quantile(double shape, double share) { return gamma_place(shape, share, false); }
double gamma_quantile_above(double shape, double share) { return gamma_place(shape, share, true); }

double gamma_density(double shape, double x) {
  return guarded([&] { return boost::math::gamma_p_derivative(shape, x, Quiet()); });
}

double beta_below(double a, double b, double x) { return incomplete_beta(a, b, x, 1 - x, false); }
double beta_above(double a, double b, double x) { return incomplete_beta(a, b, x, 1 - x, true); }

namespace {

// By the odds, or what they are the inverse of, whichever side is smaller.
double beta_place(double a, double b, double share) {
  if (share < 0.5) {
    const double against = place_of_share(
        [&](double q) { return incomplete_beta(a, b, 1 / (1 + q), q / (1 + q), false); }, share);
    return 1 / (1 + against);
  }
  const double odds = place_of_share(
      [&](double r) { return incomplete_beta(a, b, r / (1 + r), 1 / (1 + r), true); }, 1 - share);
  return odds / (1 + odds);
}

}  // namespace

double beta_quantile(double a, double b, double share) {
  if (std::min(a, b) >= kLargeBeta) {
    const double mean = a / (a + b);
    const double deviation = std::sqrt(mean / (a + b) * (b / (a + b)));
    return place_in_bell(
        mean, deviation, share, false, [&](double x) { return beta_below(a, b, x); },
        [&](double x) { return beta_above(a, b, x); });
  }
  // The library's search does not end where the two are too far apart.
  constexpr double kFarApart = 1e12;
  if (std::max(a, b) < kFarApart) {
    const double found = guarded([&] { return boost::math::ibeta_inv(a, b, share, Quiet()); });
    if (std::isfinite(found)) return found;
  }
  return beta_place(a, b, share);
}

double beta_density(double a, double b, double x) {
  if (std::min(a, b) >= kLargeBeta) return (a + b - 1) * binomial_mass(a - 1, a + b - 2, x);
  return guarded([&] { return boost::math::ibeta_derivative(a, b, x, Quiet()); });
}

double t_beyond(double t, double degrees) {
  // The squares of huge t are beyond all numbers, and so is the chance of them.
  const double ratio = t / degrees * t;
  if (!std::isfinite(ratio)) return std::isfinite(t) ? 0 : kNone;
  return incomplete_beta(0.5 * degrees, 0.5, 1 / (1 + ratio), ratio / (1 + ratio), false);
}

double t_two_sided(double share, double degrees) {
  if (!(share > 0 && share <= 1)) return kNone;
  double rest = 0;
  const double part =
      guarded([&] { return boost::math::ibeta_inv(0.5 * degrees, 0.5, share, &rest, Quiet()); });
  const double found = std::sqrt(degrees * rest / part);
  if (std::isfinite(found)) return found;
  return place_of_share([&](double t) { return t_beyond(t, degrees); }, share);
}

double t_density(double t, double degrees) {
  // gamma(degrees / 2) / gamma((degrees + 1) / 2)
  const double ratio =
      guarded([&] { return boost::math::tgamma_delta_ratio(degrees / 2, 0.5, Quiet()); });
  return std::exp(-(degrees + 1) / 2 * std::log1p(t / degrees * t)) /
         (std::sqrt(degrees * std::numbers::pi) * ratio);
}

namespace {

double f_share(double x, double degrees_1, double degrees_2, bool upper) {
  const double ratio = degrees_1 / degrees_2 * x;
  if (!std::isfinite(ratio)) return upper ? 0 : 1;
  return incomplete_beta(0.5 * degrees_1, 0.5 * degrees_2, ratio / (1 + ratio), 1 / (1 + ratio),
                         upper);
}

}  // namespace

double f_above(double x, double degrees_1, double degrees_2) {
  return f_share(x, degrees_1, degrees_2, true);
}

double f_below(double x, double degrees_1, double degrees_2) {
  return f_share(x, degrees_1, degrees_2, false);
}

double f_density(double x, double degrees_1, double degrees_2) {
  const double ratio = degrees_1 * x / degrees_2;
  const double part = ratio / (1 + ratio);
  if (part == 1) {
    // So far out that only the distance from 1 tells places apart.
    const double a = degrees_1 / 2;
    const double b = degrees_2 / 2;
    return std::exp(-b * std::log1p(ratio) - std::log(x) - log_gamma(a) - log_gamma(b) +
                    log_gamma(a + b));
  }
  // From the density of the beta distribution, by the chain rule.
  return beta_density(degrees_1 / 2, degrees_2 / 2, part) * degrees_1 / degrees_2 /
         ((1 + ratio) * (1 + ratio));
}

double f_quantile_above(double share, double degrees_1, double degrees_2) {
  const bool large = 0.5 * std::min(degrees_1, degrees_2) >= kLargeBeta;
  double rest = 0;
  const double part = large ? kNone : guarded([&] {
    return boost::math::ibeta_inv(0.5 * degrees_2, 0.5 * degrees_1, share, &rest, Quiet());
  });
  const double found = degrees_2 * rest / (degrees_1 * part);
  if (std::isfinite(found)) return found;
  return place_of_share([&](double x) { return f_above(x, degrees_1, degrees_2); }, share);
}

double binomial_mass(double hits, double trials, double chance) {
  if (!(hits >= 0 && hits <= trials)) return 0;
  if (chance == 0) return hits == 0 ? 1 : 0;
  if (chance == 1) return hits == trials ? 1 : 0;
  if (hits == 0) return std::exp(trials * std::log1p(-chance));
  if (hits == trials) return std::pow(chance, trials);
  const double misses = trials - hits;
  const double off = std::fma(trials, chance, -hits);  // of the expected hits
  const double exponent = stirling_error(trials) - stirling_error(hits) - stirling_error(misses) -
                          deviance(hits, trials * chance, off) -
                          deviance(misses, trials * (1 - chance), -off);
  return std::exp(exponent) / std::sqrt(2 * std::numbers::pi * hits * (misses / trials));
}

double poisson_mass(double events, double mean) {
  if (events == 0) return std::exp(-mean);
  return std::exp(-stirling_error(events) - deviance(events, mean, mean - events)) /
         std::sqrt(2 * std::numbers::pi * events);
}

double chi_square_above(double x, double degrees) {
  return x <= 0 ? 1 : gamma_above(degrees / 2, x / 2);
}

double log_gamma(double x) {
  return guarded([&] { return boost::math::lgamma(x, Quiet()); });
}
double gamma_function(double x) {
  return guarded([&] { return boost::math::tgamma(x, Quiet()); });
}

}  // namespace loftledger::standard
