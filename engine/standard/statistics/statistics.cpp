// Moments of samples, and order statistics (OpenFormula 6.18).
#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>
#include <optional>
#include <vector>

#include "engine/standard/call/numbers.hpp"
#include "engine/standard/statistics/functions.hpp"
#include "engine/standard/statistics/sample.hpp"
#include "engine/standard/values/arithmetic.hpp"

namespace loftledger::standard {

namespace {

constexpr NumberRule kStrict{.direct_text = Code::parameters};
constexpr NumberRule kLastShows{.direct_text = Code::parameters, .last_shows = true};
constexpr NumberRule kTextsAreZero{.texts_are_zero = true, .last_shows = true};

std::vector<double> sample(Call& call) { return number_list(call, 0, kStrict); }

// Variance and standard deviation; `lost` is 1 for a sample and 0 for a whole population.
Operand spread(Call& call, NumberRule rule, double lost, bool root) {
  const std::vector<double> numbers = number_list(call, 0, rule);
  if (call.failed()) return call.failure();
  const double degrees = static_cast<double>(numbers.size()) - lost;
  if (degrees <= 0) return Error(Code::division, "there are too few numbers");
  const double variance = squared_deviations(numbers) / degrees;
  return call.finish(root ? std::sqrt(variance) : variance);
}
Operand variance(Call& call) { return spread(call, kLastShows, 1, false); }
Operand variance_a(Call& call) { return spread(call, kTextsAreZero, 1, false); }
Operand variance_p(Call& call) { return spread(call, kLastShows, 0, false); }
Operand variance_pa(Call& call) { return spread(call, kTextsAreZero, 0, false); }
Operand deviation(Call& call) { return spread(call, kLastShows, 1, true); }
Operand deviation_a(Call& call) { return spread(call, kTextsAreZero, 1, true); }
Operand deviation_p(Call& call) { return spread(call, kLastShows, 0, true); }
Operand deviation_pa(Call& call) { return spread(call, kTextsAreZero, 0, true); }

Operand sum_of_squared_deviations(Call& call) {
  const std::vector<double> numbers = number_list(call, 0, kLastShows);
  if (call.failed()) return call.failure();
  if (numbers.empty()) return Code::division;
  return call.finish(squared_deviations(numbers));
}

Operand mean_deviation(Call& call) {
  const std::vector<double> numbers =
      number_list(call, 0, {.direct_text = Code::parameters, .text_stands = true});
  if (call.failed()) return call.failure();
  if (numbers.empty()) return Code::number;
  const double mean = mean_of(numbers);
  ExactSum total;
  for (const double number : numbers) total.add(std::fabs(number - mean));
  return call.finish(total.value() / static_cast<double>(numbers.size()));
}

// The first number that is not positive, the last argument first, unless an error comes before it:
// for the office it decides at once. So does what is too small to be kept with all its digits.
std::optional<double> first_not_positive(Call& call) {
  for (std::size_t i = call.count(); i-- > 0;) {
    if (call[i].is_error()) return std::nullopt;
  }
  for (std::size_t i = call.count(); i-- > 0;) {
    Call one(call.function(), {&call[i], 1}, call.cells(), call.here(), call.array_mode());
    for (const double number : numbers_of(one, 0, kStrict)) {
      if (number < std::numeric_limits<double>::min()) return number;
    }
    if (one.failed()) return std::nullopt;
  }
  return std::nullopt;
}

Operand geometric_mean(Call& call) {
  if (const auto number = first_not_positive(call)) {
    if (*number == 0) return 0.0;
    return Error(Code::argument, "GEOMEAN: a number is negative");
  }
  const std::vector<double> numbers = number_list(call, 0, kLastShows);
  if (call.failed()) return call.failure();
  if (numbers.empty()) return Code::number;
  ExactSum logarithms;
  for (const double number : numbers) logarithms.add(std::log(number));
  return call.finish(std::exp(logarithms.value() / static_cast<double>(numbers.size())));
}

Operand harmonic_mean(Call& call) {
  if (first_not_positive(call)) {
    return Error(Code::argument, "HARMEAN: a number is not more than 0");
  }
  const std::vector<double> numbers = number_list(call, 0, kLastShows);
  if (call.failed()) return call.failure();
  if (numbers.empty()) return Code::number;
  ExactSum inverses;
  for (const double number : numbers) inverses.add(1 / number);
  return call.finish(static_cast<double>(numbers.size()) / inverses.value());
}

// The sum of the deviations in units of `deviation`, to that power.
double standardized_power(std::span<const double> numbers, double deviation, int power) {
  const double mean = mean_of(numbers);
  double total = 0;
  for (const double number : numbers) {
    const double z = (number - mean) / deviation;
    total += power == 3 ? z * z * z : z * z * z * z;
  }
  return total;
}

Operand skew(Call& call, double lost) {
  const std::vector<double> numbers = sample(call);
  if (call.failed()) return call.failure();
  const auto n = static_cast<double>(numbers.size());
  if (n < 3) return Error(Code::division, "there are fewer than 3 numbers");
  const double deviation = std::sqrt(squared_deviations(numbers) / (n - lost));
  if (deviation == 0) return Error(Code::argument, "the numbers are all the same");
  if (!std::isfinite(deviation)) return call.not_finite();
  const double cubes = standardized_power(numbers, deviation, 3);
  return call.finish(lost == 0 ? cubes / n : cubes * n / (n - 1) / (n - 2));
}
Operand skew_of_sample(Call& call) { return skew(call, 1); }
Operand skew_of_population(Call& call) { return skew(call, 0); }

Operand kurtosis(Call& call) {
  const std::vector<double> numbers = sample(call);
  if (call.failed()) return call.failure();
  const auto n = static_cast<double>(numbers.size());
  if (n < 4) return Error(Code::division, "KURT: there are fewer than 4 numbers");
  const double deviation = std::sqrt(squared_deviations(numbers) / (n - 1));
  if (deviation == 0) return Error(Code::division, "KURT: the numbers are all the same");
  if (!std::isfinite(deviation)) return call.not_finite();
  const double pairs = (n - 2) * (n - 3);
  const double weight = n * (n + 1) / ((n - 1) * pairs);
  return call.finish(standardized_power(numbers, deviation, 4) * weight -
                     3 * (n - 1) * (n - 1) / pairs);
}

constexpr StandardFunction kFunctions[] = {
    {"VAR", variance, 0, -1, "r", Group::small},
    {"VARA", variance_a, 0, -1, "r", Group::medium},
    {"VARP", variance_p, 0, -1, "r", Group::small},
    {"VARPA", variance_pa, 0, -1, "r", Group::large},
    {"STDEV", deviation, 0, -1, "r", Group::small},
    {"STDEVA", deviation_a, 0, -1, "r", Group::medium},
    {"STDEVP", deviation_p, 0, -1, "r", Group::small},
    {"STDEVPA", deviation_pa, 0, -1, "r", Group::medium},
    {"COM.MICROSOFT.VAR.S", variance, 0, -1, "r"},
    {"COM.MICROSOFT.VAR.P", variance_p, 0, -1, "r"},
    {"COM.MICROSOFT.STDEV.S", deviation, 0, -1, "r"},
    {"COM.MICROSOFT.STDEV.P", deviation_p, 0, -1, "r"},
    {"DEVSQ", sum_of_squared_deviations, 0, -1, "r", Group::medium},
    {"AVEDEV", mean_deviation, 1, -1, "r", Group::medium},
    {"GEOMEAN", geometric_mean, 0, -1, "r", Group::medium},
    {"HARMEAN", harmonic_mean, 0, -1, "r", Group::medium},
    {"SKEW", skew_of_sample, 1, -1, "r", Group::medium},
    {"SKEWP", skew_of_population, 1, -1, "r", Group::medium},
    {"KURT", kurtosis, 1, -1, "r", Group::medium},
};

}  // namespace

StandardFunctions statistics_functions() { return kFunctions; }

}  // namespace loftledger::standard
