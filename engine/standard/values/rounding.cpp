#include "engine/standard/values/rounding.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "engine/standard/values/arithmetic.hpp"

namespace loftledger::standard {

namespace {

constexpr double kNoFraction = 0x1p52;  // from here on all numbers are whole

// 10^exponent, exactly rounded for the exponents that a sheet uses.
double power_of_ten(int exponent) {
  static constexpr std::array<double, 23> kExact = {1e0,  1e1,  1e2,  1e3,  1e4,  1e5,  1e6,  1e7,
                                                    1e8,  1e9,  1e10, 1e11, 1e12, 1e13, 1e14, 1e15,
                                                    1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22};
  if (exponent < static_cast<int>(kExact.size())) return kExact[static_cast<std::size_t>(exponent)];
  return std::pow(10.0, exponent);
}

double whole_part(double size, Rounding direction) {
  switch (direction) {
    case Rounding::nearest:
      return floor_as_seen(size + 0.5);
    case Rounding::to_zero:
      return floor_as_seen(size);
    case Rounding::from_zero:
      return ceiling_as_seen(size);
  }
  return size;
}

}  // namespace

double round_as_seen(double number, int places, Rounding direction) {
  const double size = std::fabs(number);
  if (size == 0) return number;
  if (places >= 0 && (size >= kNoFraction || size == std::floor(size))) return number;
  if (places > 0) {
    // No more decimals than the bits behind the point can tell apart.
    places = std::min(places, 52 - std::ilogb(size));
    if (places <= 0) return number;
  }
  if (places == 0 && direction == Rounding::nearest) return std::round(number);
  const double scale = power_of_ten(std::abs(places));
  if (!std::isfinite(scale)) return places < 0 ? 0 : number;
  double scaled = places < 0 ? size / scale : size * scale;
  if (!std::isfinite(scaled)) return number;
  if (scaled < kNoFraction) scaled = whole_part(scaled, direction);
  const double out = places < 0 ? scaled * scale : scaled / scale;
  return std::copysign(out, number);
}

}  // namespace loftledger::standard
