// Means, deviations and quantiles of samples, as several areas need them.
#pragma once

#include <span>
#include <vector>

namespace loftledger::standard {

// Of at least one number.
double mean_of(std::span<const double> numbers);

// The sum of the squared deviations from the mean.
double squared_deviations(std::span<const double> numbers);

// The value below which the share lies, interpolated between the least (share 0) and the greatest
// (share 1) of the numbers, which are sorted.
double quantile(std::span<const double> sorted, double share);

double median(std::span<const double> sorted);

}  // namespace loftledger::standard
