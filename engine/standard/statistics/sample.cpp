#include "engine/standard/statistics/sample.hpp"

#include <algorithm>
#include <cstddef>

#include "engine/standard/values/arithmetic.hpp"

namespace loftledger::standard {

double mean_of(std::span<const double> numbers) {
  ExactSum total;
  total.add(numbers);
  return total.value() / static_cast<double>(numbers.size());
}

double squared_deviations(std::span<const double> numbers) {
  if (numbers.empty()) return 0;
  const double mean = mean_of(numbers);
  ExactSum total;
  for (const double number : numbers) {
    const double deviation = forgiving_difference(number, mean);
    total.add(deviation * deviation);
  }
  return total.value();
}

double quantile(std::span<const double> sorted, double share) {
  const double place = share * static_cast<double>(sorted.size() - 1);
  const double below = std::max(0.0, floor_as_seen(place));
  const auto index = std::min(static_cast<std::size_t>(below), sorted.size() - 1);
  const double rest = place - below;
  if (rest <= 0 || index + 1 >= sorted.size()) return sorted[index];
  return sorted[index] + rest * (sorted[index + 1] - sorted[index]);
}

double median(std::span<const double> sorted) {
  const std::size_t half = sorted.size() / 2;
  return sorted.size() % 2 == 1 ? sorted[half] : (sorted[half - 1] + sorted[half]) / 2;
}

}  // namespace loftledger::standard
