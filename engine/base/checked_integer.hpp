// From numbers to whole numbers of a type that may be too small for them.
#pragma once

#include <cmath>
#include <concepts>
#include <limits>
#include <optional>

namespace loftledger {

// The number cut towards zero; nothing where the type does not reach so far, and of no number.
template <std::integral Whole>
std::optional<Whole> checked_integer(double number) {
  using Limits = std::numeric_limits<Whole>;
  // One past the largest is a power of two, and so a double; the largest itself may be none.
  const double past = std::ldexp(1.0, Limits::digits);
  const double least = Limits::is_signed ? -past : 0.0;
  const double whole = std::trunc(number);
  if (!(whole >= least && whole < past)) return std::nullopt;
  return static_cast<Whole>(whole);
}

// The same, but the type's end where it does not reach so far. No number is 0.
template <std::integral Whole>
Whole clamped_integer(double number) {
  using Limits = std::numeric_limits<Whole>;
  if (const auto whole = checked_integer<Whole>(number)) return *whole;
  if (std::isnan(number)) return 0;
  return number < 0 ? Limits::min() : Limits::max();
}

}  // namespace loftledger
