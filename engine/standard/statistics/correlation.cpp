// Two samples side by side: correlation, covariance and the line through them (OpenFormula 6.18).
#include <cmath>
#include <cstddef>
#include <vector>

#include "engine/standard/call/numbers.hpp"
#include "engine/standard/statistics/functions.hpp"
#include "engine/standard/statistics/sample.hpp"
#include "engine/standard/values/arithmetic.hpp"

namespace loftledger::standard {

namespace {

struct Moments {
  double count = 0;
  double mean_x = 0;
  double mean_y = 0;
  double square_x = 0;  // sums of squared deviations, and of their products
  double square_y = 0;
  double product = 0;
  std::vector<double> off_x;  // the deviations
  std::vector<double> off_y;
};

// Of the pairs in two arguments; fewer than `least` of them are an error.
Moments moments(Call& call, std::size_t x, std::size_t y, std::size_t least) {
  const Pairs pairs = number_pairs(call, x, y);
  Moments out;
  if (call.failed()) return out;
  if (pairs.first.size() < least) {
    call.fail(Error(Code::value, "there are too few pairs of numbers"));
    return out;
  }
  out.count = static_cast<double>(pairs.first.size());
  out.mean_x = mean_of(pairs.first);
  out.mean_y = mean_of(pairs.second);
  ExactSum square_x;
  ExactSum square_y;
  ExactSum product;
  for (std::size_t i = 0; i < pairs.first.size(); ++i) {
    const double dx = forgiving_difference(pairs.first[i], out.mean_x);
    const double dy = forgiving_difference(pairs.second[i], out.mean_y);
    square_x.add(dx * dx);
    square_y.add(dy * dy);
    product.add(dx * dy);
    out.off_x.push_back(dx);
    out.off_y.push_back(dy);
  }
  out.square_x = square_x.value();
  out.square_y = square_y.value();
  out.product = product.value();
  return out;
}

Operand constant(const char* what) { return Error(Code::division, what); }

Operand correlation_to(Call& call, int power) {
  const Moments m = moments(call, 0, 1, 1);
  if (call.failed()) return call.failure();
  if (m.square_x <= 0 || m.square_y <= 0)
    return constant("the numbers of one side are all the same");
  if (!std::isfinite(m.square_x) || !std::isfinite(m.square_y)) return call.not_finite();
  const double r = m.product / std::sqrt(m.square_x) / std::sqrt(m.square_y);
  return call.finish(power == 2 ? r * r : r);
}
Operand correlation(Call& call) { return correlation_to(call, 1); }
Operand determination(Call& call) { return correlation_to(call, 2); }

Operand covariance(Call& call) {
  const Moments m = moments(call, 0, 1, 1);
  return call.failed() ? call.failure() : call.finish(m.product / m.count);
}

Operand covariance_of_sample(Call& call) {
  const Moments m = moments(call, 0, 1, 2);
  return call.failed() ? call.failure() : call.finish(m.product / (m.count - 1));
}

// The line of y on x; SLOPE and its like take y first.
Operand slope(Call& call) {
  const Moments m = moments(call, 1, 0, 1);
  if (call.failed()) return call.failure();
  if (m.square_x == 0) return constant("the x are all the same");
  if (!std::isfinite(m.square_x)) return call.not_finite();
  return call.finish(m.product / m.square_x);
}

Operand intercept(Call& call) {
  const Moments m = moments(call, 1, 0, 1);
  if (call.failed()) return call.failure();
  if (m.square_x == 0) return constant("the x are all the same");
  if (!std::isfinite(m.square_x)) return call.not_finite();
  return call.finish(m.mean_y - m.product / m.square_x * m.mean_x);
}

Operand standard_error(Call& call) {
  const Moments m = moments(call, 1, 0, 3);
  if (call.failed()) return call.failure();
  if (m.square_x == 0) return constant("the x are all the same");
  if (!std::isfinite(m.square_x)) return call.not_finite();
  // The residuals themselves: the difference of the sums of squares keeps few digits where the line
  // fits well.
  const double slope = m.product / m.square_x;
  ExactSum rest;
  for (std::size_t i = 0; i < m.off_x.size(); ++i) {
    const double residual = forgiving_difference(m.off_y[i], slope * m.off_x[i]);
    rest.add(residual * residual);
  }
  return call.finish(std::sqrt(rest.value() / (m.count - 2)));
}

Operand forecast(Call& call) {
  // The office looks at the series first: their fault shows before that of the x asked for.
  const Moments m = moments(call, 2, 1, 1);
  const double x = call.number(0);
  if (call.failed()) return call.failure();
  if (m.square_x == 0) return constant("the x are all the same");
  if (!std::isfinite(m.square_x)) return call.not_finite();
  return call.finish(m.mean_y + m.product / m.square_x * (x - m.mean_x));
}

constexpr StandardFunction kFunctions[] = {
    {"CORREL", correlation, 2, 2, "a", Group::medium},
    {"PEARSON", correlation, 2, 2, "a", Group::medium},
    {"RSQ", determination, 2, 2, "a", Group::medium},
    {"COVAR", covariance, 2, 2, "a", Group::medium},
    {"COM.MICROSOFT.COVARIANCE.P", covariance, 2, 2, "a"},
    {"COM.MICROSOFT.COVARIANCE.S", covariance_of_sample, 2, 2, "a"},
    {"SLOPE", slope, 2, 2, "a", Group::medium},
    {"INTERCEPT", intercept, 2, 2, "a", Group::medium},
    {"STEYX", standard_error, 2, 2, "a", Group::medium},
    {"FORECAST", forecast, 3, 3, "vaa", Group::medium},
    {"COM.MICROSOFT.FORECAST.LINEAR", forecast, 3, 3, "vpp"},
};

}  // namespace

StandardFunctions correlation_functions() { return kFunctions; }

}  // namespace loftledger::standard
