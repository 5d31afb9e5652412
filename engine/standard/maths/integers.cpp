// Divisors, factorials, choices and bits of whole numbers (OpenFormula 6.16, 6.6, 6.18).
#include <algorithm>
#include <cmath>
#include <cstdint>
#include <limits>

#include "engine/standard/call/numbers.hpp"
#include "engine/standard/maths/functions.hpp"
#include "engine/standard/values/arithmetic.hpp"

namespace loftledger::standard {

namespace {

double greatest_common_divisor(double a, double b) {
  // What has grown beyond all numbers has no divisor: written so that it ends the loop.
  while (b > 0) {
    const double rest = std::fmod(a, b);
    a = b;
    b = rest;
  }
  return a;
}

double least_common_multiple(double a, double b) {
  if (a == 0 || b == 0) return 0;
  // A product beyond all numbers is none to the office, even if the multiple is one.
  if (!std::isfinite(a * b)) return a * b;
  return a / greatest_common_divisor(a, b) * b;
}

void refuse_texts(Call& call, std::size_t index) {
  call.values(index, [&](const Value& value) {
    if (value.is_text()) {
      call.fail(Error(Code::argument, "a text is no number", static_cast<int>(index)));
    }
    return !call.failed();
  });
}

// Folds the whole parts of all numbers, the last argument first: that is the order in which the
// office meets errors. A negative number is one. What is a single value or cell is converted;
// texts in ranges are passed over, and among the elements of an array they are refused. Of those
// LCM takes the fractions too.
template <class Join>
Operand fold(Call& call, double start, bool fractions, Join join) {
  double out = start;
  const auto add = [&](double number) {
    if (number < 0) call.fail(Error(Code::argument, "the numbers must not be negative"));
    if (!call.failed()) out = join(out, number);
  };
  for (std::size_t i = call.count(); i-- > 0 && !call.failed();) {
    if (call[i].is_cell() || call[i].kind == Operand::Kind::value) {
      add(floor_as_seen(call.number(i)));
    } else if (call[i].kind == Operand::Kind::matrix) {
      refuse_texts(call, i);
      each_by_column(*call[i].matrix, [&](const Value& value) {
        // Where there is a divisor already, the office passes over an error.
        if (value.is_error() && (fractions || out == 0)) call.fail(value);
        if (value.is_numeric()) add(fractions ? value.number() : floor_as_seen(value.number()));
        return !call.failed();
      });
    } else {
      for (const double number : numbers_of(call, i)) add(floor_as_seen(number));
    }
  }
  return call.finish(out);
}
Operand gcd(Call& call) { return fold(call, 0, false, greatest_common_divisor); }
Operand lcm(Call& call) { return fold(call, 1, true, least_common_multiple); }

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

// "n choose k": the products of so many factors from below, whole at each step.
double choices(double n, double k) {
  if (n < k) return 0;
  const double fewer = std::min(k, n - k);
  // With more on both sides the result is beyond all numbers.
  constexpr double kMost = 1100;
  if (fewer > kMost) return std::numeric_limits<double>::infinity();
  double out = 1;
  for (double i = 1; i <= fewer; ++i) {
    const double factor = n - fewer + i;
    // Divided first where the product would not be exact any more.
    out = out < 0x1p53 / factor ? out * factor / i : out * (factor / i);
  }
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
  for (double i = 0; s.valid && i < s.chosen && std::isfinite(out); ++i) out *= s.all - i;
  return call.finish(out);
}

Operand permutations_with_repetition(Call& call) {
  const double all = floor_as_seen(call.number(0));
  const double chosen = floor_as_seen(call.number(1));
  if (call.failed()) return call.failure();
  if (all < 0 || chosen < 0) return Code::argument;
  return call.finish(std::pow(all, chosen));
}

// The numbers of one argument as the office's analysis add-in lists them: a cell or value by itself
// is converted in the first place; elsewhere texts count where they read as numbers, and "" does
// not. In a range or an array in the first place no text counts.
std::vector<double> listed(Call& call, std::size_t index) {
  const bool first = index == 0;
  if (call[index].kind == Operand::Kind::areas) call.fail(Code::parameters);
  const bool single = call[index].is_cell() || call[index].kind == Operand::Kind::value;
  if (first && single) return {call.number(index)};
  std::vector<double> out;
  const Matrix values = call.matrix(index);
  for (const Value& value : values.cells()) {
    if (value.is_error()) call.fail(call[index].is_reference() ? Value(Code::parameters) : value);
    if (value.is_numeric()) out.push_back(value.number());
    if (first || !value.is_text() || value.text().empty()) continue;
    const Value number = to_number(value, call.settings());
    if (number.is_error()) {
      call.fail(Error(Code::argument, "a text is no number", static_cast<int>(index)));
    }
    out.push_back(number.number());
  }
  return out;
}

Operand multinomial(Call& call) {
  constexpr double kMostCount = 2147483647;
  double product = 1;
  double total = 0;
  for (std::size_t i = 0; i < call.count(); ++i) {
    for (const double number : listed(call, i)) {
      // In the first place the office cuts before it looks.
      const double n = number < 0 && i == 0 ? std::ceil(number) : floor_as_seen(number);
      if (n < 0 || n > kMostCount) {
        call.fail(Error(Code::argument, "the numbers must lie from 0 to below 2^31"));
      }
      if (call.failed()) return call.failure();
      total += n;
      product *= choices(total, n);
    }
  }
  return call.finish(product);
}

constexpr double kBits = 0x1p48;

std::uint64_t bits(Call& call, std::size_t index) {
  const double number = call.number(index);
  if (!(number >= 0 && number < kBits)) {
    call.refuse(index, Error(Code::argument, "the number must be from 0 to below 2^48",
                             static_cast<int>(index)));
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
