// Numbers in the bases 2, 8, 10 and 16, ten digits at most, negative ones as complements
// (OpenFormula 6.19).
#include <cmath>
#include <cstdint>
#include <string>

#include "engine/standard/call/addin.hpp"
#include "engine/standard/call/numbers.hpp"
#include "engine/standard/maths/functions.hpp"

namespace loftledger::standard {

namespace {

constexpr std::size_t kDigits = 10;

double ten_digits(int base) { return std::pow(base, static_cast<double>(kDigits)); }

int digit_of(char c) {
  if (c >= '0' && c <= '9') return c - '0';
  if (c >= 'a' && c <= 'f') return c - 'a' + 10;
  if (c >= 'A' && c <= 'F') return c - 'A' + 10;
  return 99;
}

// The number that the argument's digits stand for.
double read_digits(Call& call, int base) {
  const std::string text = call.text(0);
  if (text.size() > kDigits) call.fail(Error(Code::argument, "there are more than 10 digits", 0));
  double out = 0;
  for (const char c : text) {
    const int digit = digit_of(c);
    if (digit >= base) call.fail(Error(Code::argument, "there is a sign that is no digit", 0));
    out = out * base + digit;
  }
  // Of ten digits the upper half are the negative numbers.
  const bool negative = text.size() == kDigits && digit_of(text[0]) >= base / 2;
  return negative ? out - ten_digits(base) : out;
}

Operand written(Call& call, double number, int base) {
  const double places = std::trunc(addin_option(call, 1, kDigits));
  if (call.failed()) return call.failure();
  const double half = ten_digits(base) / 2;
  if (number < -half || number >= half) {
    return Error(Code::argument, "the number does not fit into 10 digits", 0);
  }
  if (places < 1 || places > static_cast<double>(kDigits)) {
    return Error(Code::argument, "the places must be from 1 to 10", 1);
  }
  auto rest = static_cast<std::int64_t>(number < 0 ? number + ten_digits(base) : number);
  std::string digits;
  do {
    digits.insert(digits.begin(), "0123456789ABCDEF"[rest % base]);
    rest /= base;
  } while (rest != 0);
  const auto width = static_cast<std::size_t>(places);
  if (!call.given(1) || number < 0) return Operand::text(std::move(digits));
  if (digits.size() > width) return Error(Code::argument, "the places do not hold the number", 1);
  return Operand::text(std::string(width - digits.size(), '0') + digits);
}

template <int from, int to>
Operand converted(Call& call) {
  const double number = from == 10 ? call.number(0) : read_digits(call, from);
  if (call.failed()) return call.failure();
  if constexpr (to == 10) {
    return number;
  } else {
    return written(call, number, to);
  }
}

constexpr StandardFunction kFunctions[] = {
    {"BIN2DEC", converted<2, 10>, 1, 1, "s", Group::large, false, 1, Counting::addin},
    {"BIN2HEX", converted<2, 16>, 1, 2, "so", Group::large, false, 1, Counting::addin},
    {"BIN2OCT", converted<2, 8>, 1, 2, "so", Group::large, false, 1, Counting::addin},
    {"DEC2BIN", converted<10, 2>, 1, 2, "io", Group::large, false, 1, Counting::addin},
    {"DEC2HEX", converted<10, 16>, 1, 2, "no", Group::large, false, 1, Counting::addin},
    {"DEC2OCT", converted<10, 8>, 1, 2, "io", Group::large, false, 1, Counting::addin},
    {"HEX2BIN", converted<16, 2>, 1, 2, "so", Group::large, false, 1, Counting::addin},
    {"HEX2DEC", converted<16, 10>, 1, 1, "s", Group::large, false, 1, Counting::addin},
    {"HEX2OCT", converted<16, 8>, 1, 2, "so", Group::large, false, 1, Counting::addin},
    {"OCT2BIN", converted<8, 2>, 1, 2, "so", Group::large, false, 1, Counting::addin},
    {"OCT2DEC", converted<8, 10>, 1, 1, "s", Group::large, false, 1, Counting::addin},
    {"OCT2HEX", converted<8, 16>, 1, 2, "so", Group::large, false, 1, Counting::addin},
};

}  // namespace

StandardFunctions radix_functions() { return kFunctions; }

}  // namespace loftledger::standard
