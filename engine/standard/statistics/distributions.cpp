// Continuous distributions (OpenFormula 6.18 and 6.16, and the forms of the other spreadsheet).
#include <cmath>

#include "engine/standard/call/addin.hpp"
#include "engine/standard/call/numbers.hpp"
#include "engine/standard/statistics/functions.hpp"
#include "engine/standard/statistics/probability.hpp"
#include "engine/standard/values/arithmetic.hpp"

namespace loftledger::standard {

namespace {

constexpr double kMostDegrees = 1e10;

Operand refused() { return Code::argument; }

template <auto function>
Operand of_number(Call& call) {
  return call.finish(function(call.number(0)));
}

// --- Normal and lognormal

Operand normal(Call& call) {
  const double x = call.number(0);
  const double mean = call.number(1);
  const double deviation = call.number(2);
  const bool cumulative = call.truth(3, true);
  if (call.failed()) return call.failure();
  if (deviation <= 0) return Error(Code::argument, "the standard deviation must be more than 0", 2);
  const double z = (x - mean) / deviation;
  return call.finish(cumulative ? normal_below(z) : normal_density(z) / deviation);
}

Operand standard_normal(Call& call) {
  const double z = call.number(0);
  return call.finish(call.truth(1) ? normal_below(z) : normal_density(z));
}

Operand normal_inverse(Call& call) {
  const double share = call.number(0);
  const double mean = call.number(1);
  const double deviation = call.number(2);
  if (call.failed()) return call.failure();
  if (deviation <= 0) return Error(Code::argument, "the standard deviation must be more than 0", 2);
  if (share < 0 || share > 1) return Error(Code::argument, "a share lies between 0 and 1", 0);
  if (share == 0 || share == 1) return Error(Code::value, "a share lies between 0 and 1", 0);
  return call.finish(normal_quantile(share) * deviation + mean);
}

template <Code at_ends>
Operand standard_normal_inverse(Call& call) {
  const double share = call.number(0);
  if (call.failed()) return call.failure();
  if (share < 0 || share > 1) return Error(Code::argument, "a share lies between 0 and 1", 0);
  if (share == 0 || share == 1) return Error(at_ends, "a share lies between 0 and 1", 0);
  return call.finish(normal_quantile(share));
}

Operand lognormal(Call& call) {
  const double x = call.number(0);
  const double mean = call.number(1, 0.0);
  const double deviation = call.number(2, 1.0);
  const bool cumulative = call.truth(3, true);
  if (call.failed()) return call.failure();
  if (deviation <= 0) return refused();
  if (x <= 0) return cumulative ? Operand(0.0) : refused();
  const double z = (std::log(x) - mean) / deviation;
  return call.finish(cumulative ? normal_below(z) : normal_density(z) / deviation / x);
}

Operand lognormal_inverse(Call& call) {
  const double share = call.number(0);
  const double mean = call.number(1, 0.0);
  const double deviation = call.number(2, 1.0);
  if (call.failed()) return call.failure();
  if (deviation <= 0 || share <= 0 || share >= 1) return refused();
  return call.finish(std::exp(mean + deviation * normal_quantile(share)));
}

// --- Exponential, Weibull, gamma

Operand exponential(Call& call) {
  const double x = call.number(0);
  const double rate = call.number(1);
  const bool cumulative = call.truth(2);
  if (call.failed()) return call.failure();
  if (rate <= 0) return refused();
  if (x < 0) return 0.0;
  return call.finish(cumulative ? -std::expm1(-rate * x) : rate * std::exp(-rate * x));
}

Operand weibull(Call& call) {
  const double x = call.number(0);
  const double shape = call.number(1);
  const double scale = call.number(2);
  const bool cumulative = call.truth(3);
  if (call.failed()) return call.failure();
  if (shape <= 0 || scale <= 0 || x < 0) return refused();
  const double power = std::pow(x / scale, shape);
  if (cumulative) return call.finish(-std::expm1(-power));
  if (x == 0) return call.finish(shape == 1 ? 1 / scale : std::pow(x, shape - 1));
  return call.finish(shape / x * power * std::exp(-power));
}

Operand gamma_distribution(Call& call) {
  const double x = call.number(0);
  const double shape = call.number(1);
  const double scale = call.number(2);
  const bool cumulative = call.truth(3, true);
  if (call.failed()) return call.failure();
  if (shape <= 0 || scale <= 0) return refused();
  if (cumulative) return call.finish(x <= 0 ? 0 : gamma_below(shape, x / scale));
  if (x < 0) return 0.0;
  if (x == 0) {
    if (shape < 1) return Code::division;
    return call.finish(shape == 1 ? 1 / scale : 0);
  }
  return call.finish(gamma_density(shape, x / scale) / scale);
}

Operand gamma_distribution_positive(Call& call) {
  const double x = call.number(0);
  for (std::size_t i = 1; i < call.count(); ++i) call.number(i);
  if (!call.failed() && x < 0) return refused();
  return gamma_distribution(call);
}

Operand gamma_inverse(Call& call) {
  const double share = call.number(0);
  const double shape = call.number(1);
  const double scale = call.number(2);
  if (call.failed()) return call.failure();
  if (shape <= 0 || scale <= 0 || share < 0 || share >= 1) return refused();
  return call.finish(share == 0 ? 0 : gamma_quantile(shape, share) * scale);
}

Operand gamma_of(Call& call) {
  const double x = call.number(0);
  if (call.failed()) return call.failure();
  if (x <= 0 && x == std::floor(x)) return refused();
  return call.finish(gamma_function(x));
}

Operand gamma_logarithm(Call& call) {
  const double x = call.number(0);
  if (call.failed()) return call.failure();
  if (x <= 0) return refused();
  return call.finish(log_gamma(x));
}

// --- Beta

struct BetaShape {
  double a = 0;
  double b = 0;
  double low = 0;
  double high = 1;
  bool valid() const { return a > 0 && b > 0 && high > low; }
};

Operand beta_at(Call& call, const BetaShape& shape, double x, bool cumulative) {
  const double width = shape.high - shape.low;
  const double part = (x - shape.low) / width;
  if (cumulative) {
    if (part <= 0) return 0.0;
    return call.finish(part >= 1 ? 1 : beta_below(shape.a, shape.b, part));
  }
  if (part < 0 || part > 1) return 0.0;
  if ((part == 0 && shape.a < 1) || (part == 1 && shape.b < 1)) return refused();
  return call.finish(beta_density(shape.a, shape.b, part) / width);
}

// BETADIST: the limits and whether it is cumulative come last and may be left out.
Operand beta_distribution(Call& call) {
  const double x = call.number(0);
  const BetaShape shape{call.number(1), call.number(2), call.number(3, 0.0), call.number(4, 1.0)};
  const bool cumulative = call.truth(5, true);
  if (call.failed()) return call.failure();
  if (!shape.valid()) return refused();
  return beta_at(call, shape, x, cumulative);
}

// The form with whether it is cumulative before the limits; x must lie within them.
Operand beta_distribution_within(Call& call) {
  const double x = call.number(0);
  const BetaShape shape{call.number(1), call.number(2), call.number(4, 0.0), call.number(5, 1.0)};
  const bool cumulative = call.truth(3);
  if (call.failed()) return call.failure();
  if (!shape.valid() || x < shape.low || x > shape.high) return refused();
  return beta_at(call, shape, x, cumulative);
}

Operand beta_inverse(Call& call) {
  const double share = call.number(0);
  const BetaShape shape{call.number(1), call.number(2), call.number(3, 0.0), call.number(4, 1.0)};
  if (call.failed()) return call.failure();
  if (!shape.valid() || share < 0 || share > 1) return refused();
  const double part = share == 0 ? 0 : share == 1 ? 1 : beta_quantile(shape.a, shape.b, share);
  return call.finish(shape.low + part * (shape.high - shape.low));
}

// --- Chi-square

Operand chi_square_right(Call& call) {
  const double x = call.number(0);
  const double degrees = floor_as_seen(call.number(1));
  if (call.failed()) return call.failure();
  if (degrees < 1) return refused();
  return call.finish(chi_square_above(x, degrees));
}

Operand chi_square_right_positive(Call& call) {
  const double x = call.number(0);
  call.number(1);
  if (!call.failed() && x < 0) return refused();
  return chi_square_right(call);
}

Operand chi_square_left(Call& call) {
  const double degrees = floor_as_seen(call.number(1));
  const bool cumulative = call.truth(2, true);
  // Refused before the value is read.
  if (degrees < 1) return call.failed() ? call.failure() : refused();
  const double x = call.number(0);
  if (call.failed()) return call.failure();
  if (x <= 0) return 0.0;
  return call.finish(cumulative ? gamma_below(degrees / 2, x / 2)
                                : gamma_density(degrees / 2, x / 2) / 2);
}

Operand chi_square_left_positive(Call& call) {
  call.number(2);
  const double degrees = call.number(1);
  if (!call.failed() && (degrees < 1 || degrees > kMostDegrees)) return refused();
  const double x = call.number(0);
  if (!call.failed() && x < 0) return refused();
  return chi_square_left(call);
}

Operand chi_square_inverse_right(Call& call) {
  const double share = call.number(0);
  const double degrees = floor_as_seen(call.number(1));
  if (call.failed()) return call.failure();
  if (degrees < 1 || share <= 0 || share > 1) return refused();
  return call.finish(share == 1 ? 0 : 2 * gamma_quantile_above(degrees / 2, share));
}

Operand chi_square_inverse_left(Call& call) {
  const double share = call.number(0);
  const double degrees = floor_as_seen(call.number(1));
  if (call.failed()) return call.failure();
  if (degrees < 1 || share < 0 || share >= 1) return refused();
  return call.finish(share == 0 ? 0 : 2 * gamma_quantile(degrees / 2, share));
}

// --- Student's t

// LEGACY.TDIST: one tail (1) or both (2) beyond a t that is not negative.
Operand t_tails(Call& call) {
  const double t = call.number(0);
  const double degrees = floor_as_seen(call.number(1));
  const double tails = floor_as_seen(call.number(2));
  if (call.failed()) return call.failure();
  if (degrees < 1 || t < 0 || (tails != 1 && tails != 2)) return refused();
  return call.finish(t_beyond(t, degrees) * tails / 2);
}

Operand t_left(Call& call) {
  const double t = call.number(0);
  const double degrees = floor_as_seen(call.number(1));
  const bool cumulative = call.truth(2);
  if (call.failed()) return call.failure();
  if (degrees < 1) return refused();
  if (!cumulative) return call.finish(t_density(t, degrees));
  const double tail = t_beyond(t, degrees) / 2;
  return call.finish(t < 0 ? tail : 1 - tail);
}

Operand t_right(Call& call) {
  const double t = call.number(0);
  const double degrees = floor_as_seen(call.number(1));
  if (call.failed()) return call.failure();
  if (degrees < 1) return refused();
  const double tail = t_beyond(t, degrees) / 2;
  return call.finish(t < 0 ? 1 - tail : tail);
}

Operand t_both(Call& call) {
  const double t = call.number(0);
  const double degrees = floor_as_seen(call.number(1));
  if (call.failed()) return call.failure();
  if (degrees < 1 || t < 0) return refused();
  return call.finish(t_beyond(t, degrees));
}

Operand t_inverse_both(Call& call) {
  const double share = call.number(0);
  const double degrees = floor_as_seen(call.number(1));
  if (call.failed()) return call.failure();
  if (degrees < 1 || share <= 0 || share > 1) return refused();
  return call.finish(t_two_sided(share, degrees));
}

Operand t_inverse_left(Call& call) {
  const double share = call.number(0);
  const double degrees = floor_as_seen(call.number(1));
  if (call.failed()) return call.failure();
  if (degrees < 1 || share <= 0 || share >= 1) return refused();
  return call.finish(share < 0.5 ? -t_two_sided(2 * share, degrees)
                                 : t_two_sided(2 * (1 - share), degrees));
}

// --- F

struct Degrees {
  double first = 0;
  double second = 0;
  bool valid() const {
    return first >= 1 && second >= 1 && first < kMostDegrees && second < kMostDegrees;
  }
};

Degrees degrees_of(Call& call) {
  return {floor_as_seen(call.number(1)), floor_as_seen(call.number(2))};
}

Operand f_right(Call& call) {
  const double x = call.number(0);
  const Degrees degrees = degrees_of(call);
  if (call.failed()) return call.failure();
  if (!degrees.valid() || x < 0) return refused();
  return call.finish(f_above(x, degrees.first, degrees.second));
}

Operand f_left(Call& call) {
  const double x = call.number(0);
  const Degrees degrees = degrees_of(call);
  const bool cumulative = !call.given(3) || call.truth(3);
  if (call.failed()) return call.failure();
  if (!degrees.valid() || x < 0) return refused();
  return call.finish(cumulative ? f_below(x, degrees.first, degrees.second)
                                : f_density(x, degrees.first, degrees.second));
}

Operand f_inverse_right(Call& call) {
  const double share = call.number(0);
  const Degrees degrees = degrees_of(call);
  if (call.failed()) return call.failure();
  if (!degrees.valid() || share <= 0 || share > 1) return refused();
  return call.finish(share == 1 ? 0 : f_quantile_above(share, degrees.first, degrees.second));
}

Operand f_inverse_left(Call& call) {
  const double share = call.number(0);
  const Degrees degrees = degrees_of(call);
  if (call.failed()) return call.failure();
  if (!degrees.valid() || share <= 0 || share > 1) return refused();
  if (share == 1) return Code::no_convergence;
  // The F with the degrees exchanged is the inverse of this one.
  return call.finish(1 / f_quantile_above(share, degrees.second, degrees.first));
}

// --- Error function

Operand error_function(Call& call) {
  const double from = call.number(0);
  if (!call.given(1)) return call.finish(std::erf(from));
  return call.finish(std::erf(addin_option(call, 1, 0)) - std::erf(from));
}
constexpr auto kErf = [](double x) { return std::erf(x); };
constexpr auto kErfc = [](double x) { return std::erfc(x); };

constexpr StandardFunction kFunctions[] = {
    {"NORMDIST", normal, 3, 4, "v", Group::large},
    {"COM.MICROSOFT.NORM.DIST", normal, 4, 4, "v"},
    {"LEGACY.NORMSDIST", of_number<normal_below>, 1, 1, "v", Group::medium},
    {"COM.MICROSOFT.NORM.S.DIST", standard_normal, 2, 2, "v"},
    {"NORMINV", normal_inverse, 3, 3, "v", Group::large},
    {"COM.MICROSOFT.NORM.INV", normal_inverse, 3, 3, "v"},
    {"LEGACY.NORMSINV", standard_normal_inverse<Code::value>, 1, 1, "v", Group::medium},
    {"COM.MICROSOFT.NORM.S.INV", standard_normal_inverse<Code::value>, 1, 1, "v", Group::office,
     false, 1, Counting::last},
    {"PHI", of_number<normal_density>, 1, 1, "v", Group::large},
    {"GAUSS", of_number<normal_from_mean>, 1, 1, "v", Group::large},
    {"LOGNORMDIST", lognormal, 1, 4, "v", Group::medium},
    {"COM.MICROSOFT.LOGNORM.DIST", lognormal, 4, 4, "v"},
    {"LOGINV", lognormal_inverse, 1, 3, "v", Group::medium},
    {"COM.MICROSOFT.LOGNORM.INV", lognormal_inverse, 1, 3, "v"},
    {"EXPONDIST", exponential, 3, 3, "v", Group::medium},
    {"COM.MICROSOFT.EXPON.DIST", exponential, 3, 3, "v"},
    {"WEIBULL", weibull, 4, 4, "v", Group::medium},
    {"COM.MICROSOFT.WEIBULL.DIST", weibull, 4, 4, "v"},
    {"GAMMADIST", gamma_distribution, 3, 4, "v", Group::medium},
    {"COM.MICROSOFT.GAMMA.DIST", gamma_distribution_positive, 4, 4, "v"},
    {"GAMMAINV", gamma_inverse, 3, 3, "v", Group::medium},
    {"COM.MICROSOFT.GAMMA.INV", gamma_inverse, 3, 3, "v"},
    {"GAMMA", gamma_of, 1, 1, "v", Group::large},
    {"GAMMALN", gamma_logarithm, 1, 1, "v", Group::medium},
    {"COM.MICROSOFT.GAMMALN.PRECISE", gamma_logarithm, 1, 1, "v"},
    {"BETADIST", beta_distribution, 3, 6, "v", Group::medium},
    {"COM.MICROSOFT.BETA.DIST", beta_distribution_within, 4, 6, "v"},
    {"BETAINV", beta_inverse, 3, 5, "v", Group::medium},
    {"COM.MICROSOFT.BETA.INV", beta_inverse, 3, 5, "v"},
    {"LEGACY.CHIDIST", chi_square_right, 2, 2, "v", Group::medium},
    {"COM.MICROSOFT.CHISQ.DIST.RT", chi_square_right_positive, 2, 2, "v"},
    {"CHISQDIST", chi_square_left, 2, 3, "v", Group::large},
    {"COM.MICROSOFT.CHISQ.DIST", chi_square_left_positive, 3, 3, "v"},
    {"LEGACY.CHIINV", chi_square_inverse_right, 2, 2, "v", Group::medium},
    {"COM.MICROSOFT.CHISQ.INV.RT", chi_square_inverse_right, 2, 2, "v"},
    {"CHISQINV", chi_square_inverse_left, 2, 2, "v", Group::large},
    {"COM.MICROSOFT.CHISQ.INV", chi_square_inverse_left, 2, 2, "v"},
    {"LEGACY.TDIST", t_tails, 3, 3, "v", Group::medium},
    {"TDIST", t_tails, 3, 3, "v"},
    {"COM.MICROSOFT.T.DIST", t_left, 3, 3, "v"},
    {"COM.MICROSOFT.T.DIST.RT", t_right, 2, 2, "v"},
    {"COM.MICROSOFT.T.DIST.2T", t_both, 2, 2, "v"},
    {"TINV", t_inverse_both, 2, 2, "v", Group::medium},
    {"COM.MICROSOFT.T.INV.2T", t_inverse_both, 2, 2, "v"},
    {"COM.MICROSOFT.T.INV", t_inverse_left, 2, 2, "v"},
    {"LEGACY.FDIST", f_right, 3, 3, "v", Group::medium},
    {"COM.MICROSOFT.F.DIST.RT", f_right, 3, 3, "v"},
    {"FDIST", f_left, 3, 4, "v", Group::large},
    {"COM.MICROSOFT.F.DIST", f_left, 3, 4, "v"},
    {"LEGACY.FINV", f_inverse_right, 3, 3, "v", Group::medium},
    {"COM.MICROSOFT.F.INV.RT", f_inverse_right, 3, 3, "v"},
    {"FINV", f_inverse_left, 3, 3, "v", Group::large},
    {"COM.MICROSOFT.F.INV", f_inverse_left, 3, 3, "v"},
    {"ERF", error_function, 1, 2, "no", Group::medium, false, 1, Counting::addin},
    {"COM.MICROSOFT.ERF.PRECISE", of_number<kErf>, 1, 1, "v"},
    {"ERFC", of_number<kErfc>, 1, 1, "n", Group::medium, false, 1, Counting::addin},
    {"COM.MICROSOFT.ERFC.PRECISE", of_number<kErfc>, 1, 1, "v"},
};

}  // namespace

StandardFunctions distribution_functions() { return kFunctions; }

}  // namespace loftledger::standard
