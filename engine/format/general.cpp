#include "engine/format/general.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>

namespace loftledger {

namespace {

constexpr int kDigits = Decimal::kShownDigits;
constexpr int kMostPlaces = 20;
// Whole numbers up to here are held and shown exactly.
constexpr double kExact = 9007199254740991.0;
constexpr int kExactDigits = 17;

bool shown_in_full(double size) { return size <= kExact && size == std::trunc(size); }

// Zeros before and behind, and the point.
std::string placed(const Decimal& number, int places, int significant) {
  const int last = std::max(-places, number.magnitude() - significant + 1);
  const std::int64_t units = number.in_powers_of_ten(last);
  std::string out = fmt::format("{}", units);
  if (units != 0) out.append(static_cast<std::size_t>(last + places), '0');
  const auto decimals = static_cast<std::size_t>(places);
  if (out.size() <= decimals) out.insert(0, decimals + 1 - out.size(), '0');
  if (places > 0) out.insert(out.size() - decimals, 1, '.');
  return out;
}

void drop_zeros(std::string& text) {
  if (text.find('.') == text.npos) return;
  text.erase(text.find_last_not_of('0') + 1);
  if (text.back() == '.') text.pop_back();
}

// "1.5E-10" of a decimal of 0 or more, with so many digits in front and in the exponent at least.
std::string powered(const Decimal& number, std::size_t digits, int exponent_digits) {
  std::string out = fmt::format("{}", number.digits());
  if (out.size() < digits) out.append(digits - out.size(), '0');
  if (out.size() > 1) out.insert(1, 1, '.');
  const int exponent = number.magnitude();
  return fmt::format("{}E{}{:0{}}", out, exponent < 0 ? '-' : '+', std::abs(exponent),
                     exponent_digits);
}

std::string signed_text(double number, const std::string& size) {
  const bool nothing = size.find_first_not_of("0.") == size.npos;
  return std::signbit(number) && !nothing ? "-" + size : size;
}

// Of a size, of 0 or more.
std::string general_size(double size) {
  if (shown_in_full(size)) return fixed_text(size, 0);
  const Decimal number = Decimal::shortest(size);
  const int exponent = number.magnitude();
  if (exponent <= -kDigits || exponent >= kDigits) return powered(number.rounded(kDigits), 1, 3);
  std::string text = placed(number, std::clamp(kDigits - 1 - exponent, 0, kMostPlaces), kDigits);
  drop_zeros(text);
  return text;
}

std::string cell_size(double size) {
  if (size >= 1 || size == 0) return general_size(size);
  // Long ones with more than three zeros behind the point are shown with a power of ten.
  constexpr int kFewZeros = -4;
  constexpr int kManyZeros = -9;
  constexpr int kLong = 16;
  const Decimal number = Decimal::shortest(size).rounded(kDigits);
  const int exponent = number.magnitude();
  const int places = static_cast<int>(fmt::formatted_size("{}", number.digits())) - 1 - exponent;
  const bool plain = exponent >= kFewZeros || (exponent >= kManyZeros && places <= kLong);
  return plain ? fixed_text(number, places) : powered(number, 1, 2);
}

}  // namespace

std::string fixed_text(double number, int places) {
  const double size = std::fabs(number);
  const int significant = shown_in_full(size) ? kExactDigits : kDigits;
  return signed_text(number, placed(Decimal::shortest(size), places, significant));
}

std::string fixed_text(const Decimal& number, int places) {
  return placed(number, places, kDigits);
}

std::string general_text(double number) {
  return signed_text(number, general_size(std::fabs(number)));
}

std::string standard_text(double number) {
  constexpr double kLargest = 1e15;
  const double size = std::fabs(number);
  if (size > kLargest) {
    return signed_text(number, powered(Decimal::shortest(size).rounded(kDigits), kDigits, 2));
  }
  if (size >= 1) return general_text(number);
  std::string text = fixed_text(number, kMostPlaces);
  drop_zeros(text);
  return text;
}

std::string cell_text(double number) { return signed_text(number, cell_size(std::fabs(number))); }

}  // namespace loftledger
