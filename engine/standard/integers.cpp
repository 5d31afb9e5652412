// Divisors, factorials, choices and bits of whole numbers (OpenFormula 6.16, 6.6, 6.18).
#include <cmath>
#include <cstdint>

#include "engine/standard/arithmetic.hpp"
#include "engine/standard/numbers.hpp"
#include "engine/standard/registry.hpp"

namespace loftledger::standard {

namespace {

double greatest_common_divisor(double a, double b) {
  while (b != 0) {
    const double rest = std::fmod(a, b);
    a = b;
    b = rest;
  }
  return a;
}

double least_common_multiple(double a, double b) {
  if (a == 0 || b == 0) return 0;
  return a / greatest_common_divisor(a, b) * b;
}

// Folds the whole parts of all numbers; a negative one is an error. A text given directly counts
// where it reads as a number, and a single empty cell is 0.
template <class Join>
Operand fold(Call& call, double start, Join join) {
  double out = start;
  bool negative = false;
  const auto take = [&](std::span<const double> block) {
    for (const double number : block) {
      const double whole = floor_as_seen(number);
      negative = negative || whole < 0;
      if (!negative) out = join(out, whole);
    }
  };
  for (std::size_t i = 0; i < call.count() && !call.failed(); ++i) {
    const bool cell = call[i].kind == Operand::Kind::area && call[i].area.single();
    if (call[i].kind == Operand::Kind::value || (cell && call.scalar(i).is_empty())) {
      const double number = call.number(i);
      take({&number, 1});
    } else {
      take(numbers_of(call, i));
    }
  }
  if (call.failed()) return call.failure();
  if (negative) return Error(Code::argument, "the numbers must not be negative");
  return call.finish(out);
}
Operand gcd(Call& call) { return fold(call, 0, greatest_common_divisor); }
Operand lcm(Call& call) { return fold(call, 1, least_common_multiple); }

// n (n - step) (n - 2 step) ... down to step or 1
double falling_product(double n, double step) {
  double out = 1;
  for (; n > 1; n -= step) out *= n;
  return out;
}

Operand factorial(Call& call) {
  const double n = floor_as_seen(call.number(0));
  if (call.failed()) return call.failure();
  if (n < 0) return Error(Code::argument, "FACT: the number is negative", 0);
  constexpr double kLargest = 170;
  if (n > kLargest) return Error(Code::value, "FACT: the result is too large for a number", 0);
  return falling_product(n, 1);
}

Operand double_factorial(Call& call) {
  const double n = std::trunc(call.number(0));
  if (call.failed()) return call.failure();
  constexpr double kLargest = 300;
  if (n < 0 || n > kLargest) return Code::argument;
  return falling_product(n, 2);
}

double choices(double n, double k) {
  if (n < k) return 0;
  double out = 1;
  for (; k > 0; --k, --n) out *= n / k;
  return out;
}

struct Selection {
  double all = 0;
  double chosen = 0;
  bool valid = false;
};

Selection selection(Call& call) {
  Selection s{floor_as_seen(call.number(0)), floor_as_seen(call.number(1)), false};
  s.valid = s.all >= 0 && s.chosen >= 0 && s.chosen <= s.all;
  if (!s.valid) call.fail(Code::argument);
  return s;
}

Operand combinations(Call& call) {
  const Selection s = selection(call);
  return call.finish(choices(s.all, s.chosen));
}

Operand combinations_with_repetition(Call& call) {
  const Selection s = selection(call);
  if (s.all == 0) return call.finish(0);
  return call.finish(choices(s.all + s.chosen - 1, s.chosen));
}

Operand permutations(Call& call) {
  const Selection s = selection(call);
  double out = 1;
  for (double i = s.chosen; s.valid && i > 0 && std::isfinite(out); --i) out *= s.all - i + 1;
  return call.finish(out);
}

Operand permutations_with_repetition(Call& call) {
  const double all = floor_as_seen(call.number(0));
  const double chosen = floor_as_seen(call.number(1));
  if (call.failed()) return call.failure();
  if (all < 0 || chosen < 0) return Code::argument;
  return call.finish(std::pow(all, chosen));
}

Operand multinomial(Call& call) {
  double total = 0;
  // Texts are passed over in the first argument only.
  for (std::size_t i = 1; i < call.count(); ++i) {
    if (call[i].kind == Operand::Kind::value) continue;
    call.values(i, [&](const Value& value) {
      const bool word = value.is_text() && !value.text().empty();
      if (word) call.fail(Error(Code::argument, "a text is no number", static_cast<int>(i)));
      return !word;
    });
  }
  const Operand out = fold(call, 1, [&](double product, double n) {
    total += n;
    return product * choices(total, n);
  });
  return out;
}

constexpr double kBits = 0x1p48;

std::uint64_t bits(Call& call, std::size_t index) {
  const double number = call.number(index);
  if (!(number >= 0 && number < kBits)) {
    call.fail(
        Error(Code::argument, "the number must be from 0 to below 2^48", static_cast<int>(index)));
    return 0;
  }
  return static_cast<std::uint64_t>(number);
}

Operand bit_and(Call& call) {
  return call.finish(static_cast<double>(bits(call, 0) & bits(call, 1)));
}
Operand bit_or(Call& call) {
  return call.finish(static_cast<double>(bits(call, 0) | bits(call, 1)));
}
Operand bit_xor(Call& call) {
  return call.finish(static_cast<double>(bits(call, 0) ^ bits(call, 1)));
}

Operand shifted(Call& call, double left) {
  const auto number = static_cast<double>(bits(call, 0));
  const double places = left * std::floor(call.number(1));
  if (call.failed()) return call.failure();
  return call.finish(std::floor(number * std::pow(2.0, places)));
}
Operand shift_left(Call& call) { return shifted(call, 1); }
Operand shift_right(Call& call) { return shifted(call, -1); }

constexpr StandardFunction kFunctions[] = {
    {"GCD", gcd, 1, -1, "r", Group::medium},
    {"LCM", lcm, 1, -1, "r", Group::medium},
    {"FACT", factorial, 1, 1, "v", Group::small},
    {"FACTDOUBLE", double_factorial, 1, 1, "i", Group::large, false, 1, Counting::addin},
    {"COMBIN", combinations, 2, 2, "v", Group::medium},
    {"COMBINA", combinations_with_repetition, 2, 2, "v", Group::large},
    {"PERMUT", permutations, 2, 2, "v", Group::medium},
    {"PERMUTATIONA", permutations_with_repetition, 2, 2, "v", Group::large},
    {"MULTINOMIAL", multinomial, 1, -1, "wo", Group::medium, false, 1, Counting::addin},
    {"BITAND", bit_and, 2, 2, "v", Group::large},
    {"BITOR", bit_or, 2, 2, "v", Group::large},
    {"BITXOR", bit_xor, 2, 2, "v", Group::large},
    {"BITLSHIFT", shift_left, 2, 2, "v", Group::large},
    {"BITRSHIFT", shift_right, 2, 2, "v", Group::large},
};

}  // namespace

StandardFunctions integer_functions() { return kFunctions; }

}  // namespace loftledger::standard
