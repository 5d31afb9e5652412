// Whole things from numbers that carry rounding noise: 12.000000000001 cases are 12, not 13.
#pragma once

#include <cmath>

namespace loftledger::planning {

// A difference of this size, and of this share of the number, comes from binary arithmetic.
inline constexpr double kNoise = 1e-9;
inline constexpr double kNoiseShare = 1e-12;

// The number itself, or the whole number that it misses only by noise.
inline double tidy(double number) {
  const double whole = std::round(number);
  if (std::abs(number - whole) <= kNoise + kNoiseShare * std::abs(number)) {
    return whole + 0.0;  // turns -0 into 0
  }
  return number;
}

// The fewest whole things that cover the number, and the most that fit into it.
inline double whole_up(double number) { return std::ceil(tidy(number)) + 0.0; }
inline double whole_down(double number) { return std::floor(tidy(number)); }

}  // namespace loftledger::planning
