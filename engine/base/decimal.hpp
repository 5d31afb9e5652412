// Decimal arithmetic for amounts: rounding acts on the decimal number that a person sees, not on
// the binary one behind it, so that 2.675 goes to 2.68.
#pragma once

#include <cstdint>
#include <optional>
#include <string_view>

namespace loftledger {

enum class Rounding : std::uint8_t {
  nearest,  // halves away from zero
  up,       // towards plus infinity
  down,     // towards minus infinity
  to_zero,
  from_zero,
};

// A number of at most 18 significant digits. Sums and products are exact as far as these reach,
// which covers any two amounts, rates or quantities of nine digits each.
class Decimal {
 public:
  static constexpr int kShownDigits = 15;
  static constexpr int kMeasuredDigits = 12;

  Decimal() = default;
  static Decimal whole(std::int64_t number) { return trimmed(number, 0); }
  static Decimal power_of_ten(int exponent) { return trimmed(1, exponent); }

  // The decimal that a person sees for a binary number. 15 significant digits are what a sheet
  // shows; any shorter decimal comes back as it was typed, and the noise that 0.1 + 0.2 leaves
  // behind drops out. Measured quantities take 12, since converting units adds noise of its own.
  static Decimal seen(double number, int significant = kShownDigits);
  // The shortest decimal that reads back as the binary number: at most 17 digits.
  static Decimal shortest(double number);

  friend Decimal operator+(const Decimal& a, const Decimal& b);
  friend Decimal operator-(const Decimal& a, const Decimal& b);
  friend Decimal operator*(const Decimal& a, const Decimal& b);

  // The nearest binary number.
  double number() const;

  int sign() const { return (digits_ > 0) - (digits_ < 0); }

  // The same with at most so many significant digits, halves away from zero.
  Decimal rounded(int significant) const;

  // How many whole steps it makes, rounded so. Nothing where the step is not more than 0, or where
  // the count is more than 2^53 and would not be exact as a number.
  std::optional<std::int64_t> steps(const Decimal& step, Rounding rounding) const;

  // The significant digits as one number, without zeros at the end: 345 for 34.5.
  std::int64_t digits() const { return digits_; }
  // The power of ten of its leading digit: 2 for 345, -1 for 0.5; 0 for zero.
  int magnitude() const;

  // The number in units of 10^exponent, rounded to the nearest; the exponent must leave at most 18
  // digits (magnitude() - 17 or more).
  std::int64_t in_powers_of_ten(int exponent) const;

 private:
  __extension__ using Wide = __int128;
  static Decimal trimmed(Wide digits, int exponent);
  static Decimal spelt(double number, std::string_view text);
  Wide shifted(int exponent) const;

  // The value is digits_ * 10^exponent_; no trailing zeros in digits_, and 0 is 0 * 10^0.
  std::int64_t digits_ = 0;
  int exponent_ = 0;
};

// The number as a whole multiple of the step, both read as decimals. A step of 0 leaves the number
// as it is, and so does one that is too fine to matter beside it.
double round_to(double number, double step, Rounding rounding = Rounding::nearest);
double round_to(const Decimal& number, double step, Rounding rounding = Rounding::nearest);

}  // namespace loftledger
