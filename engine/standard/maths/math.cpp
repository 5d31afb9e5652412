// Elementary, trigonometric and hyperbolic functions (OpenFormula 6.16).
#include <cmath>
#include <numbers>

#include "engine/standard/call/addin.hpp"
#include "engine/standard/call/numbers.hpp"
#include "engine/standard/maths/functions.hpp"
#include "engine/standard/values/arithmetic.hpp"

namespace loftledger::standard {

namespace {

template <auto function>
Operand of_number(Call& call) {
  return call.finish(function(call.number(0)));
}

// As above where the argument lies in the function's domain, and an error elsewhere.
template <auto domain, auto function>
Operand inside(Call& call) {
  const double x = call.number(0);
  if (!call.failed() && !domain(x)) return Code::argument;
  return call.finish(function(x));
}

constexpr auto kPositive = [](double x) { return x > 0; };
constexpr auto kNotNegative = [](double x) { return x >= 0; };
constexpr auto kOneOrMore = [](double x) { return x >= 1; };
constexpr auto kBeyondOne = [](double x) { return std::fabs(x) > 1; };
constexpr auto kWithinOne = [](double x) { return std::fabs(x) < 1; };

// Angles so large that one bit of them is many turns have no sine.
template <auto function>
Operand of_angle(Call& call) {
  constexpr double kLargest = 0x1p64;
  const double x = call.number(0);
  if (!call.failed() && std::fabs(x) > kLargest) return Code::value;
  return call.finish(function(x));
}

constexpr auto kSin = [](double x) { return std::sin(x); };
constexpr auto kCos = [](double x) { return std::cos(x); };
constexpr auto kTan = [](double x) { return std::tan(x); };
constexpr auto kCot = [](double x) { return 1 / std::tan(x); };
constexpr auto kSec = [](double x) { return 1 / std::cos(x); };
constexpr auto kCsc = [](double x) { return 1 / std::sin(x); };
constexpr auto kAsin = [](double x) { return std::asin(x); };
constexpr auto kAcos = [](double x) { return std::acos(x); };
constexpr auto kAtan = [](double x) { return std::atan(x); };
constexpr auto kAcot = [](double x) { return std::numbers::pi / 2 - std::atan(x); };
constexpr auto kSinh = [](double x) { return std::sinh(x); };
constexpr auto kCosh = [](double x) { return std::cosh(x); };
constexpr auto kTanh = [](double x) { return std::tanh(x); };
constexpr auto kCoth = [](double x) { return 1 / std::tanh(x); };
constexpr auto kSech = [](double x) { return 1 / std::cosh(x); };
constexpr auto kCsch = [](double x) { return 1 / std::sinh(x); };
constexpr auto kAsinh = [](double x) { return std::asinh(x); };
constexpr auto kAcosh = [](double x) { return std::acosh(x); };
constexpr auto kAtanh = [](double x) { return std::atanh(x); };
constexpr auto kAcoth = [](double x) { return std::atanh(1 / x); };
constexpr auto kExp = [](double x) { return std::exp(x); };
constexpr auto kLog = [](double x) { return std::log(x); };
constexpr auto kLog10 = [](double x) { return std::log10(x); };
constexpr auto kSqrt = [](double x) { return std::sqrt(x); };
constexpr auto kSqrtPi = [](double x) { return std::sqrt(x * std::numbers::pi); };
constexpr auto kAbs = [](double x) { return std::fabs(x); };
constexpr auto kSign = [](double x) { return static_cast<double>((x > 0) - (x < 0)); };
constexpr auto kDegrees = [](double x) { return x / std::numbers::pi * 180; };
constexpr auto kRadians = [](double x) { return x * (std::numbers::pi / 180); };
constexpr auto kFisherInverse = [](double x) { return std::tanh(x); };

Operand pi(Call&) { return std::numbers::pi; }

Operand angle_of_point(Call& call) {
  const double x = call.number(0);
  return call.finish(std::atan2(call.number(1), x));
}

Operand logarithm(Call& call) {
  const double x = call.number(0);
  const double base = call.number(1, 10.0);
  if (call.failed()) return call.failure();
  if (!(x > 0 && base > 0 && base != 1)) return Code::argument;
  if (base == 10) return call.finish(std::log10(x));
  if (base == 2) return call.finish(std::log2(x));
  return call.finish(std::log(x) / std::log(base));
}

Operand power(Call& call) {
  const double base = call.number(0);
  const double exponent = call.number(1);
  if (call.failed()) return call.failure();
  return raised(base, exponent);
}

Operand modulo(Call& call) {
  const double divisor = call.number(1);
  if (call.failed()) return call.failure();
  if (divisor == 0) return Error(Code::division, "MOD: the divisor is 0", 1);
  const double number = call.number(0);
  if (call.failed()) return call.failure();
  const double rest = forgiving_difference(number, floor_as_seen(number / divisor) * divisor);
  // Where the quotient is too large to be exact, what is left is no remainder.
  const bool fits = divisor > 0 ? rest >= 0 && rest < divisor : rest <= 0 && rest > divisor;
  if (!fits) return Code::value;
  return rest;
}

Operand quotient(Call& call) {
  const double number = call.number(0);
  const double divisor = call.number(1);
  if (call.failed()) return call.failure();
  if (divisor == 0) return Error(Code::argument, "QUOTIENT: the divisor is 0", 1);
  const double out = number / divisor;
  return call.finish(out < 0 ? ceiling_as_seen(out) : floor_as_seen(out));
}

Operand exact_difference(Call& call) {
  double out = call.number(0);
  for (std::size_t i = 1; i < call.count(); ++i) out -= call.number(i);
  return call.finish(out);
}

Operand random_number(Call& call) { return call.cells().random(); }

double away_from_zero(double x) { return x < 0 ? std::floor(x) : std::ceil(x); }

Operand random_between(Call& call) {
  const double least = away_from_zero(call.number(0));
  const double most = away_from_zero(call.number(1));
  if (call.failed()) return call.failure();
  if (least > most) return Code::argument;
  return call.finish(std::floor(least + call.cells().random() * (most - least + 1)));
}

Operand equal_to(Call& call) {
  return call.finish(call.number(0) == addin_option(call, 1, 0) ? 1 : 0);
}

Operand at_least(Call& call) {
  return call.finish(call.number(0) >= addin_option(call, 1, 0) ? 1 : 0);
}

constexpr StandardFunction kFunctions[] = {
    {"ABS", of_number<kAbs>, 1, 1, "v", Group::small},
    {"SIGN", of_number<kSign>, 1, 1, "v", Group::medium},
    {"SQRT", inside<kNotNegative, kSqrt>, 1, 1, "v", Group::small},
    {"SQRTPI", inside<kNotNegative, kSqrtPi>, 1, 1, "n", Group::medium, false, 1, Counting::addin},
    {"EXP", of_number<kExp>, 1, 1, "v", Group::small},
    {"LN", inside<kPositive, kLog>, 1, 1, "v", Group::small},
    {"LOG10", inside<kPositive, kLog10>, 1, 1, "v", Group::small},
    {"LOG", logarithm, 1, 2, "v", Group::small},
    {"POWER", power, 2, 2, "v", Group::small},
    {"PI", pi, 0, 0, "", Group::small},
    {"DEGREES", of_number<kDegrees>, 1, 1, "v", Group::small},
    {"RADIANS", of_number<kRadians>, 1, 1, "v", Group::small},
    {"SIN", of_angle<kSin>, 1, 1, "v", Group::small},
    {"COS", of_angle<kCos>, 1, 1, "v", Group::small},
    {"TAN", of_angle<kTan>, 1, 1, "v", Group::small},
    {"COT", of_angle<kCot>, 1, 1, "v", Group::medium},
    {"SEC", of_angle<kSec>, 1, 1, "v", Group::large},
    {"CSC", of_angle<kCsc>, 1, 1, "v", Group::large},
    {"ASIN", of_number<kAsin>, 1, 1, "v", Group::small},
    {"ACOS", of_number<kAcos>, 1, 1, "v", Group::small},
    {"ATAN", of_number<kAtan>, 1, 1, "v", Group::small},
    {"ACOT", of_number<kAcot>, 1, 1, "v", Group::medium},
    {"ATAN2", angle_of_point, 2, 2, "v", Group::small},
    {"SINH", of_number<kSinh>, 1, 1, "v", Group::medium},
    {"COSH", of_number<kCosh>, 1, 1, "v", Group::medium},
    {"TANH", of_number<kTanh>, 1, 1, "v", Group::medium},
    {"COTH", of_number<kCoth>, 1, 1, "v", Group::medium},
    {"SECH", of_number<kSech>, 1, 1, "v", Group::large},
    {"CSCH", of_number<kCsch>, 1, 1, "v", Group::large},
    {"ASINH", of_number<kAsinh>, 1, 1, "v", Group::medium},
    {"ACOSH", inside<kOneOrMore, kAcosh>, 1, 1, "v", Group::medium},
    {"ATANH", inside<kWithinOne, kAtanh>, 1, 1, "v", Group::medium},
    {"ACOTH", inside<kBeyondOne, kAcoth>, 1, 1, "v", Group::medium},
    {"FISHER", inside<kWithinOne, kAtanh>, 1, 1, "v", Group::medium},
    {"FISHERINV", of_number<kFisherInverse>, 1, 1, "v", Group::medium},
    {"MOD", modulo, 2, 2, "v", Group::small},
    {"QUOTIENT", quotient, 2, 2, "n", Group::medium, false, 1, Counting::addin},
    {"ORG.LIBREOFFICE.RAWSUBTRACT", exact_difference, 2, -1, "v"},
    {"RAND", random_number, 0, 0, "", Group::medium, true, 1, Counting::usual, Varies::by_chance},
    {"ORG.LIBREOFFICE.RAND.NV", random_number, 0, 0, "", Group::office, false, 1, Counting::usual,
     Varies::by_chance},
    {"RANDBETWEEN", random_between, 2, 2, "n", Group::medium, true, 1, Counting::addin,
     Varies::by_chance},
    {"ORG.LIBREOFFICE.RANDBETWEEN.NV", random_between, 2, 2, "v", Group::office, false, 1,
     Counting::usual, Varies::by_chance},
    {"DELTA", equal_to, 1, 2, "no", Group::large, false, 1, Counting::addin},
    {"GESTEP", at_least, 1, 2, "no", Group::large, false, 1, Counting::addin},
};

}  // namespace

StandardFunctions math_functions() { return kFunctions; }

}  // namespace loftledger::standard
