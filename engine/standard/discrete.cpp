// Discrete distributions: binomial, negative binomial, hypergeometric, Poisson (OpenFormula 6.18).
#include <algorithm>
#include <cmath>

#include "engine/standard/arithmetic.hpp"
#include "engine/standard/probability.hpp"
#include "engine/standard/registry.hpp"

namespace loftledger::standard {

namespace {

double count_argument(Call& call, std::size_t index) { return floor_as_seen(call.number(index)); }

// Exactly `hits` of `trials`.
double binomial(double hits, double trials, double share) {
  if (share == 0) return hits == 0 ? 1 : 0;
  if (share == 1) return hits == trials ? 1 : 0;
  // As a beta density it loses nothing to large factorials.
  return beta_density(hits + 1, trials - hits + 1, share) / (trials + 1);
}

// At most `hits` of `trials`.
double binomial_up_to(double hits, double trials, double share) {
  if (hits < 0) return 0;
  if (hits >= trials) return 1;
  return beta_below(trials - hits, hits + 1, 1 - share);
}

Operand binomial_distribution(Call& call) {
  const double hits = count_argument(call, 0);
  const double trials = count_argument(call, 1);
  const double share = call.number(2);
  const bool cumulative = call.truth(3);
  if (call.failed()) return call.failure();
  if (trials < 0 || hits < 0 || hits > trials || share < 0 || share > 1) return Code::argument;
  return call.finish(cumulative ? binomial_up_to(hits, trials, share)
                                : binomial(hits, trials, share));
}

// B: from so many hits to so many.
Operand binomial_range(Call& call) {
  const double trials = count_argument(call, 0);
  const double share = call.number(1);
  const double from = count_argument(call, 2);
  const double to = call.count() > 3 ? count_argument(call, 3) : from;
  if (call.failed()) return call.failure();
  if (from < 0 || from > to || to > trials || share < 0 || share > 1) return Code::argument;
  if (from == to) return call.finish(binomial(from, trials, share));
  if (share == 0) return from == 0 ? 1.0 : 0.0;
  if (share == 1) return to == trials ? 1.0 : 0.0;
  constexpr double kFewTerms = 1e6;
  if (to - from > kFewTerms) {
    return call.finish(binomial_up_to(to, trials, share) - binomial_up_to(from - 1, trials, share));
  }
  ExactSum total;
  for (double hits = from; hits <= to; ++hits) total.add(binomial(hits, trials, share));
  return call.finish(total.value());
}

// The fewest hits whose chance of at most so many reaches the level.
Operand binomial_inverse(Call& call) {
  const double trials = count_argument(call, 0);
  const double share = call.number(1);
  const double level = call.number(2);
  if (call.failed()) return call.failure();
  if (trials < 0 || level < 0 || level > 1 || share < 0 || share > 1) return Code::argument;
  if (level == 0) return 0.0;
  if (level == 1) return share == 0 ? 0.0 : trials;
  // The incomplete beta function takes ever longer; the expansion is off by the inverse of the
  // standard deviation.
  constexpr double kSpread = 1e10;
  const double variance = trials * share * (1 - share);
  if (variance > kSpread) {
    const double z = normal_quantile(level);
    // E. A. Cornish and R. A. Fisher, Moments and cumulants in the specification of distributions,
    // Revue de l'Institut International de Statistique 5 (1938), to the third cumulant.
    const double hits =
        trials * share + std::sqrt(variance) * z + (1 - 2 * share) * (z * z - 1) / 6;
    return std::clamp(std::ceil(hits - 0.5), 0.0, trials);
  }
  double low = -1;  // too few
  double high = trials;
  while (high - low > 1) {
    const double middle = std::floor((low + high) / 2);
    // Beyond 2^53 no whole number may lie between them.
    if (middle <= low || middle >= high) break;
    (binomial_up_to(middle, trials, share) >= level ? high : low) = middle;
  }
  return high;
}

double negative_binomial(double failures, double successes, double share) {
  // The product is slow where it has very many factors.
  constexpr double kFewFactors = 1e6;
  if (failures > kFewFactors) {
    const double all = failures + successes;
    return successes / all * binomial(successes, all, share);
  }
  double out = std::pow(share, successes);
  for (double i = 0; i < failures && out != 0; ++i) {
    out *= (i + successes) / (i + 1) * (1 - share);
  }
  return out;
}

Operand negative_binomial_distribution(Call& call) {
  const double failures = count_argument(call, 0);
  const double successes = count_argument(call, 1);
  const double share = call.number(2);
  if (call.failed()) return call.failure();
  if (failures + successes <= 1 || share < 0 || share > 1) return Code::argument;
  return call.finish(negative_binomial(failures, successes, share));
}

Operand negative_binomial_cumulative(Call& call) {
  const double failures = count_argument(call, 0);
  const double successes = count_argument(call, 1);
  const double share = call.number(2);
  const bool cumulative = call.truth(3);
  if (call.failed()) return call.failure();
  if (failures < 0 || successes < 1 || share < 0 || share > 1) return Code::argument;
  if (!cumulative) return call.finish(negative_binomial(failures, successes, share));
  return call.finish(1 - beta_below(failures + 1, successes, 1 - share));
}

// log of "n choose k"
double log_choices(double n, double k) {
  return log_gamma(n + 1) - log_gamma(k + 1) - log_gamma(n - k + 1);
}

// x marked ones in a sample drawn from a population with so many marked.
double hypergeometric(double x, double sample, double marked, double population) {
  const double least = std::max(0.0, sample - population + marked);
  if (x < least || x > std::min(sample, marked)) return 0;
  // Products of quotients near 1 are exact to the last digits; they go over to logarithms only
  // where their count would make them slow.
  constexpr double kFewFactors = 1e5;
  if (sample > kFewFactors) {
    return std::exp(log_choices(marked, x) + log_choices(population - marked, sample - x) -
                    log_choices(population, sample));
  }
  double out = 1;
  double i = 0;
  double j = 0;
  double k = 0;
  // choose(marked, x) choose(rest, sample - x) / choose(population, sample), factor by factor so
  // that the product stays near 1.
  while (i < x || j < sample - x || k < sample) {
    if (out >= 1 && k < sample) {
      out *= (k + 1) / (population - k);
      ++k;
    } else if (i < x) {
      out *= (marked - i) / (i + 1);
      ++i;
    } else if (j < sample - x) {
      out *= (population - marked - j) / (j + 1);
      ++j;
    } else {
      out *= (k + 1) / (population - k);
      ++k;
    }
  }
  return out;
}

Operand hypergeometric_distribution(Call& call) {
  const double x = count_argument(call, 0);
  const double sample = count_argument(call, 1);
  const double marked = count_argument(call, 2);
  const double population = count_argument(call, 3);
  const bool cumulative = call.truth(4, false);
  if (call.failed()) return call.failure();
  if (x < 0 || sample < x || population < sample || population < marked || marked < 0) {
    return Code::argument;
  }
  if (!cumulative) return call.finish(hypergeometric(x, sample, marked, population));
  ExactSum total;
  const double least = std::max(0.0, sample - population + marked);
  for (double i = least; i <= std::min(x, marked); ++i) {
    total.add(hypergeometric(i, sample, marked, population));
  }
  return call.finish(std::min(total.value(), 1.0));
}

Operand poisson(Call& call) {
  const double events = count_argument(call, 0);
  const double mean = call.number(1);
  const bool cumulative = call.truth(2, true);
  if (call.failed()) return call.failure();
  if (events < 0 || mean <= 0) return Code::argument;
  return call.finish(cumulative ? gamma_above(events + 1, mean) : gamma_density(events + 1, mean));
}

constexpr StandardFunction kFunctions[] = {
    {"BINOMDIST", binomial_distribution, 4, 4, "v", Group::medium},
    {"COM.MICROSOFT.BINOM.DIST", binomial_distribution, 4, 4, "v"},
    {"B", binomial_range, 3, 4, "v"},
    {"BINOM.DIST.RANGE", binomial_range, 3, 4, "v", Group::large},
    {"CRITBINOM", binomial_inverse, 3, 3, "v", Group::medium},
    {"COM.MICROSOFT.BINOM.INV", binomial_inverse, 3, 3, "v"},
    {"NEGBINOMDIST", negative_binomial_distribution, 3, 3, "v", Group::medium},
    {"COM.MICROSOFT.NEGBINOM.DIST", negative_binomial_cumulative, 4, 4, "v"},
    {"HYPGEOMDIST", hypergeometric_distribution, 4, 5, "v", Group::medium},
    {"COM.MICROSOFT.HYPGEOM.DIST", hypergeometric_distribution, 5, 5, "v"},
    {"POISSON", poisson, 2, 3, "v", Group::medium},
    {"COM.MICROSOFT.POISSON.DIST", poisson, 3, 3, "v"},
};

}  // namespace

StandardFunctions discrete_functions() { return kFunctions; }

}  // namespace loftledger::standard
