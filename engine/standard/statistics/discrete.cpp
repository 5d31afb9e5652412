// Discrete distributions: binomial, negative binomial, hypergeometric, Poisson (OpenFormula 6.18).
// Chances of one count are by C. Loader (probability.hpp), and sums of many by the incomplete beta
// and gamma functions (DLMF 8.17.5 and 8.4.10) where there is such a sum.
#include <algorithm>
#include <cmath>
#include <optional>

#include "engine/standard/statistics/functions.hpp"
#include "engine/standard/statistics/probability.hpp"
#include "engine/standard/values/arithmetic.hpp"

namespace loftledger::standard {

namespace {

double count_argument(Call& call, std::size_t index) { return floor_as_seen(call.number(index)); }

// At most `hits` of `trials`.
double binomial_up_to(double hits, double trials, double share) {
  if (hits < 0) return 0;
  if (hits >= trials) return 1;
  if (share == 0 || share == 1) return share == 0 ? 1 : 0;
  return beta_above(hits + 1, trials - hits, share);
}

// At least `hits`.
double binomial_from(double hits, double trials, double share) {
  if (hits <= 0) return 1;
  if (hits > trials) return 0;
  if (share == 0 || share == 1) return share;
  return beta_below(hits, trials - hits + 1, share);
}

Operand binomial_distribution(Call& call) {
  const double hits = count_argument(call, 0);
  const double trials = count_argument(call, 1);
  const double share = call.number(2);
  const bool cumulative = call.truth(3);
  if (call.failed()) return call.failure();
  if (trials < 0 || hits < 0 || hits > trials || share < 0 || share > 1) return Code::argument;
  return call.finish(cumulative ? binomial_up_to(hits, trials, share)
                                : binomial_mass(hits, trials, share));
}

// B: from so many hits to so many.
Operand binomial_range(Call& call) {
  const double trials = count_argument(call, 0);
  const double share = call.number(1);
  const double from = count_argument(call, 2);
  const double to = call.count() > 3 ? count_argument(call, 3) : from;
  if (call.failed()) return call.failure();
  if (from < 0 || from > to || to > trials || share < 0 || share > 1) return Code::argument;
  constexpr double kFewTerms = 1000;
  if (to - from > kFewTerms) {
    // On the side where the chances are small, so that their difference keeps its digits.
    const bool upper = from > trials * share;
    return call.finish(
        upper ? binomial_from(from, trials, share) - binomial_from(to + 1, trials, share)
              : binomial_up_to(to, trials, share) - binomial_up_to(from - 1, trials, share));
  }
  ExactSum total;
  for (double i = 0; i <= to - from; ++i) total.add(binomial_mass(from + i, trials, share));
  return call.finish(total.value());
}

// The fewest hits whose chance of at most so many reaches the level: from where the normal
// distribution has it, outwards in steps that double, and then by halves.
double binomial_place(double trials, double share, double level) {
  const auto reached = [&](double hits) { return binomial_up_to(hits, trials, share) >= level; };
  const double deviation = std::sqrt(trials * share * (1 - share));
  const double guess = std::floor(trials * share + deviation * normal_quantile(level));
  double high = std::clamp(guess, 0.0, trials);
  double low = high - 1;
  for (double step = 1; low >= 0 && reached(low); step *= 2) {
    high = low;
    low = std::max(-1.0, low - step);
  }
  for (double step = 1; high < trials && !reached(high); step *= 2) {
    low = high;
    high = std::min(trials, high + step);
  }
  while (high - low > 1) {
    const double middle = std::floor(low + (high - low) / 2);
    (reached(middle) ? high : low) = middle;
  }
  return high;
}

Operand binomial_inverse(Call& call) {
  const double trials = count_argument(call, 0);
  const double share = call.number(1);
  const double level = call.number(2);
  if (call.failed()) return call.failure();
  // Beyond it numbers do not count any more.
  constexpr double kMostTrials = 0x1p53;
  if (trials < 0 || level < 0 || level > 1 || share < 0 || share > 1) return Code::argument;
  if (trials > kMostTrials) return Error(Code::argument, "there are too many trials", 0);
  if (level == 0) return 0.0;
  if (level == 1) return share == 0 ? 0.0 : trials;
  if (share == 0 || share == 1) return share == 0 ? 0.0 : trials;
  return call.finish(binomial_place(trials, share, level));
}

// So many failures before the last success: that success is one of all that may come last.
double negative_binomial(double failures, double successes, double share) {
  // As in the office: the product of no factors beside that of the successes.
  if (failures < 0) return std::pow(share, successes);
  const double all = failures + successes;
  return successes / all * binomial_mass(successes, all, share);
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
  if (share == 0 || share == 1) return share;
  return call.finish(beta_below(successes, failures + 1, share));
}

// x marked ones in a sample drawn from a population with so many marked. Where each is drawn with
// one chance, whatever it is, the chances of x among the marked and of the rest among the others,
// given how many are drawn at all, are this (Loader).
double hypergeometric(double x, double sample, double marked, double population) {
  const double others = population - marked;
  if (x > marked || sample - x > others) return 0;
  if (population == 0) return 1;
  const double chance = sample / population;
  return binomial_mass(x, marked, chance) * binomial_mass(sample - x, others, chance) /
         binomial_mass(sample, population, chance);
}

// From x downwards or upwards, each chance from the one before it, until what is left adds nothing.
// Nothing where there is no end to it.
std::optional<double> hypergeometric_tail(double x, double sample, double marked, double population,
                                          bool upwards) {
  constexpr int kMostTerms = 200000;
  const double others = population - marked;
  double term = hypergeometric(x, sample, marked, population);
  double total = 0;
  for (int i = 0; i < kMostTerms; ++i) {
    const double before = total;
    total += term;
    if (total == before) return total;
    term *= upwards ? (marked - x) / (x + 1) * ((sample - x) / (others - sample + x + 1))
                    : x / (marked - x + 1) * ((others - sample + x) / (sample - x + 1));
    x += upwards ? 1 : -1;
  }
  return std::nullopt;
}

// At most x, by the tail on the side of x, in which the chances fall.
Operand hypergeometric_up_to(Call& call, double x, double sample, double marked,
                             double population) {
  const double least = std::max(0.0, sample - (population - marked));
  const double most = std::min(sample, marked);
  if (x < least) return 0.0;
  if (x >= most) return 1.0;
  const bool upper = x > sample / population * marked;
  const auto tail = hypergeometric_tail(upper ? x + 1 : x, sample, marked, population, upper);
  if (!tail) return Error(Code::no_convergence, "the numbers are too large to be added up");
  return call.finish(upper ? 1 - *tail : *tail);
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
  if (cumulative) return hypergeometric_up_to(call, x, sample, marked, population);
  return call.finish(hypergeometric(x, sample, marked, population));
}

Operand poisson(Call& call) {
  const double events = count_argument(call, 0);
  const double mean = call.number(1);
  const bool cumulative = call.truth(2, true);
  if (call.failed()) return call.failure();
  if (events < 0 || mean <= 0) return Code::argument;
  return call.finish(cumulative ? gamma_above(events + 1, mean) : poisson_mass(events, mean));
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
