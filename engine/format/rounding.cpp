#include "engine/format/rounding.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace loftledger {

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

// The size of a number, of 0 or more, as a whole one.
double whole_size(double size, Rounding direction, bool negative) {
  if (direction == Rounding::nearest) return floor_as_seen(size + 0.5);
  const bool away =
      direction == Rounding::from_zero || direction == (negative ? Rounding::down : Rounding::up);
  return away ? ceiling_as_seen(size) : floor_as_seen(size);
}

}  // namespace

double as_seen(double number) {
  constexpr double kFewDecimals = 0x1p41;  // too few bits behind the point to hide a digit
  const double size = std::fabs(number);
  if (!std::isfinite(number) || size > kFewDecimals) return number;
  constexpr double kFewBits = 0x1p11;
  if (size * kFewBits == std::floor(size * kFewBits)) return number;
  // As the office reckons it, in binary: a product that falls on a half goes up.
  const int places = 14 - static_cast<int>(std::floor(std::log10(size)));
  const double scale = std::pow(10.0, std::abs(places));
  const double whole = std::round(places < 0 ? number / scale : number * scale);
  const double seen = places < 0 ? whole * scale : whole / scale;
  return std::isfinite(seen) ? seen : number;
}

double floor_as_seen(double number) {
  const double below = std::floor(number);
  // Only close below the next whole number can the two differ.
  if (below + 1 - number > 1e-14 * std::fabs(number) + 1e-300) return below;
  return std::floor(as_seen(number));
}

double ceiling_as_seen(double number) { return -floor_as_seen(-number); }

double truncated_as_seen(double number) {
  return number < 0 ? ceiling_as_seen(number) : floor_as_seen(number);
}

double to_significant(double number, double digits) {
  const double places = digits - 1 - floor_as_seen(std::log10(std::fabs(number)));
  const double scale = std::pow(10.0, std::fabs(places));
  if (!std::isfinite(scale)) return number;  // more places than it has digits
  return places > 0 ? std::round(number * scale) / scale : std::round(number / scale) * scale;
}

double round_as_seen(double number, int places, Rounding direction) {
  const double size = std::fabs(number);
  if (!(size > 0)) return number;
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
  if (scaled < kNoFraction) scaled = whole_size(scaled, direction, number < 0);
  const double out = places < 0 ? scaled * scale : scaled / scale;
  return std::copysign(out, number);
}

}  // namespace loftledger
