#include "engine/base/decimal.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <limits>

namespace loftledger {

namespace {

__extension__ using Wide = __int128;

constexpr int kDigits = 18;
constexpr std::int64_t kMostSteps = std::int64_t{1} << 53;

// All powers that a wide number holds.
constexpr std::array<Wide, 39> kPowers = [] {
  std::array<Wide, 39> out{1};
  for (std::size_t i = 1; i < out.size(); ++i) out[i] = out[i - 1] * 10;
  return out;
}();
constexpr Wide ten_to_the(int exponent) { return kPowers[static_cast<std::size_t>(exponent)]; }

constexpr Wide absolute(Wide value) { return value < 0 ? -value : value; }

// numerator / denominator as a whole number; the denominator is more than 0.
constexpr Wide divide(Wide numerator, Wide denominator, Rounding rounding) {
  const Wide quotient = numerator / denominator;
  const Wide rest = numerator % denominator;
  switch (rounding) {
    case Rounding::nearest:
      if (absolute(rest) >= denominator - absolute(rest)) return quotient + (rest < 0 ? -1 : 1);
      return quotient;
    case Rounding::up:
      return rest > 0 ? quotient + 1 : quotient;
    case Rounding::down:
      return rest < 0 ? quotient - 1 : quotient;
    case Rounding::to_zero:
      return quotient;
    case Rounding::from_zero:
      return quotient + (rest > 0) - (rest < 0);
  }
  return quotient;
}

}  // namespace

Decimal Decimal::trimmed(Wide digits, int exponent) {
  while (absolute(digits) >= ten_to_the(kDigits)) {
    int drop = 0;
    for (Wide rest = absolute(digits); rest >= ten_to_the(kDigits); rest /= 10) ++drop;
    digits = divide(digits, ten_to_the(drop), Rounding::nearest);
    exponent += drop;
  }
  while (digits != 0 && digits % 10 == 0) {
    digits /= 10;
    ++exponent;
  }
  Decimal out;
  out.digits_ = static_cast<std::int64_t>(digits);
  out.exponent_ = digits == 0 ? 0 : exponent;
  return out;
}

// "d.ddde±x", one digit, the point, the rest, the exponent, with the number's sign.
Decimal Decimal::spelt(double number, std::string_view text) {
  const std::size_t mark = text.find('e');
  Wide digits = 0;
  int decimals = -1;
  for (const char c : text.substr(0, mark)) {
    if (c != '.') {
      digits = digits * 10 + (c - '0');
      ++decimals;
    }
  }
  int exponent = 0;
  const char* first = text.data() + mark + 1;
  std::from_chars(*first == '+' ? first + 1 : first, text.data() + text.size(), exponent);
  return trimmed(number < 0 ? -digits : digits, exponent - decimals);
}

Decimal Decimal::seen(double number, int significant) {
  if (!std::isfinite(number) || number == 0) return {};
  return spelt(number, fmt::format("{:.{}e}", std::fabs(number), significant - 1));
}

Decimal Decimal::shortest(double number) {
  if (!std::isfinite(number) || number == 0) return {};
  char text[32];
  const auto [end, problem] =
      std::to_chars(text, text + sizeof text, std::fabs(number), std::chars_format::scientific);
  return spelt(number, {text, static_cast<std::size_t>(end - text)});
}

Decimal Decimal::rounded(int significant) const {
  const int exponent = std::max(exponent_, magnitude() - significant + 1);
  return trimmed(shifted(exponent), exponent);
}

int Decimal::magnitude() const {
  int out = exponent_;
  for (std::int64_t rest = digits_ / 10; rest != 0; rest /= 10) ++out;
  return out;
}

// The number in units of 10^exponent, as wide as it comes; callers keep it within 36 digits.
Decimal::Wide Decimal::shifted(int exponent) const {
  const int shift = exponent_ - exponent;
  if (shift >= 0) return digits_ == 0 ? 0 : Wide{digits_} * ten_to_the(shift);
  if (-shift > kDigits) return 0;
  return divide(digits_, ten_to_the(-shift), Rounding::nearest);
}

std::int64_t Decimal::in_powers_of_ten(int exponent) const {
  return static_cast<std::int64_t>(shifted(exponent));
}

Decimal operator+(const Decimal& a, const Decimal& b) {
  if (a.digits_ == 0) return b;
  if (b.digits_ == 0) return a;
  // Twice the digits that are kept, so that what is dropped lies far below the last of them.
  const int top = std::max(a.magnitude(), b.magnitude());
  const int exponent = std::max(std::min(a.exponent_, b.exponent_), top - 2 * kDigits + 1);
  return Decimal::trimmed(a.shifted(exponent) + b.shifted(exponent), exponent);
}

Decimal operator-(const Decimal& a, const Decimal& b) {
  Decimal negative = b;
  negative.digits_ = -negative.digits_;
  return a + negative;
}

Decimal operator*(const Decimal& a, const Decimal& b) {
  return Decimal::trimmed(Decimal::Wide{a.digits_} * b.digits_, a.exponent_ + b.exponent_);
}

double Decimal::number() const {
  const std::string text = fmt::format("{}e{}", digits_, exponent_);
  double out = 0;
  const auto [end, problem] = std::from_chars(text.data(), text.data() + text.size(), out);
  if (problem == std::errc::result_out_of_range && exponent_ > 0) {
    return sign() * std::numeric_limits<double>::infinity();
  }
  return out;
}

std::optional<std::int64_t> Decimal::steps(const Decimal& step, Rounding rounding) const {
  if (step.digits_ <= 0) return std::nullopt;
  if (digits_ == 0) return 0;
  const int quotient = magnitude() - step.magnitude();
  if (quotient > kDigits) return std::nullopt;
  if (quotient < -2) return static_cast<std::int64_t>(divide(sign(), 1000, rounding));
  const int exponent = std::min(exponent_, step.exponent_);
  const Wide count = divide(shifted(exponent), step.shifted(exponent), rounding);
  if (absolute(count) > kMostSteps) return std::nullopt;
  return static_cast<std::int64_t>(count);
}

namespace {

std::optional<double> stepped(const Decimal& number, double step, Rounding rounding) {
  const Decimal size = Decimal::seen(step);
  const std::optional<std::int64_t> count = number.steps(size, rounding);
  if (!count) return std::nullopt;
  return (Decimal::whole(*count) * size).number();
}

}  // namespace

double round_to(double number, double step, Rounding rounding) {
  return stepped(Decimal::seen(number), step, rounding).value_or(number);
}

double round_to(const Decimal& number, double step, Rounding rounding) {
  return stepped(number, step, rounding).value_or(number.number());
}

}  // namespace loftledger
