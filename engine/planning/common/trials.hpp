// What a handful of weighings says about a case: samples, their spread, and whole bodies out of a
// given mass.
#pragma once

#include <span>

namespace loftledger::planning {

struct Sample {
  double count = 0;
  double mean = 0;
  double deviation = 0;  // with n - 1; 0 for fewer than two values
};

Sample sample_of(std::span<const double> values);

// Student's t below which a share of the distribution lies; 0 < share < 1, freedom >= 1.
double student_quantile(double share, double freedom);

// Masses of single bodies are taken as gamma-distributed: never negative, and the sum of n of them
// is gamma-distributed again. mean > 0, 0 <= deviation <= mean.
struct Fill {
  double mean = 0;
  double deviation = 0;
};

// The chance that n bodies together take no more than the mass, so that it fills at least n.
double chance_of_bodies(double n, double mass, Fill fill);

// The mean number of whole bodies that the mass fills: the renewal function.
double whole_bodies(double mass, Fill fill);

// The largest n for which x̄n + t s sqrt(n + n²/m) does not exceed the mass: m weighings, mean x̄,
// deviation s, t at the confidence with m - 1 degrees of freedom. The first term under the root is
// the spread between the n bodies to be filled, the second the uncertainty of the mean.
double promised_bodies(double mass, const Sample& weighings, double confidence);

}  // namespace loftledger::planning
