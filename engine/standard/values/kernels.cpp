#include "engine/standard/values/kernels.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <limits>

#include "engine/standard/values/arithmetic.hpp"

// A loop that the compiler makes twice, once for processors with wide registers; which one runs is
// found out when the program is loaded. Neither fuses a product with a sum: the bits are the same.
// (A sanitizer is not ready yet when that is found out.)
#if defined(__x86_64__) && defined(__gnu_linux__) && defined(__GNUC__) && !defined(__clang__) && \
    !defined(__SANITIZE_ADDRESS__) && !defined(__SANITIZE_THREAD__)
#define LOFTLEDGER_WIDE [[gnu::target_clones("avx2", "default")]]
#else
#define LOFTLEDGER_WIDE
#endif

#define LOFTLEDGER_INLINE [[gnu::always_inline]] inline

namespace loftledger::standard {

using formula::Operator;

namespace {

constexpr double kNone = std::numeric_limits<double>::quiet_NaN();
constexpr double kLargest = std::numeric_limits<double>::max();

// Results past the largest number are errors.
LOFTLEDGER_INLINE double finite(double x) { return std::fabs(x) <= kLargest ? x : kNone; }

// As wide as a number, so that a loop keeps both in registers of one kind.
using Flag = std::int64_t;

LOFTLEDGER_INLINE Flag flag(bool holds) { return holds ? -1 : 0; }

// Set where a sum or difference of x and something is so small beside x, without being 0, that the
// office may take it for 0.
LOFTLEDGER_INLINE Flag may_cancel(double x, double result) {
  const double size = std::fabs(result);
  return flag(size < std::fabs(x) * 0x1p-44) & flag(size > 0);
}

// out[i] = each(a[i], b[i]), with a loop of its own where one side is the same in all lanes.
template <class Each>
LOFTLEDGER_INLINE void pairs(Lanes a, Lanes b, std::size_t lanes, Each each) {
  const double* x = a.numbers;
  const double* y = b.numbers;
  if (b.same) {
    const double one = lanes > 0 ? y[0] : 0;
    for (std::size_t i = 0; i < lanes; ++i) each(i, x[i], one);
  } else if (a.same) {
    const double one = lanes > 0 ? x[0] : 0;
    for (std::size_t i = 0; i < lanes; ++i) each(i, one, y[i]);
  } else {
    for (std::size_t i = 0; i < lanes; ++i) each(i, x[i], y[i]);
  }
}

LOFTLEDGER_WIDE void sum(Lanes a, Lanes b, double* __restrict out, std::size_t lanes) {
  Flag close = 0;
  pairs(a, b, lanes, [&](std::size_t i, double x, double y) {
    const double result = x + y;
    close |= may_cancel(x, result);
    out[i] = finite(result);
  });
  if (close == 0) return;
  for (std::size_t i = 0; i < lanes; ++i) out[i] = finite(forgiving_sum(a[i], b[i]));
}

LOFTLEDGER_WIDE void difference(Lanes a, Lanes b, double* __restrict out, std::size_t lanes) {
  Flag close = 0;
  pairs(a, b, lanes, [&](std::size_t i, double x, double y) {
    const double result = x - y;
    close |= may_cancel(x, result);
    out[i] = finite(result);
  });
  if (close == 0) return;
  for (std::size_t i = 0; i < lanes; ++i) out[i] = finite(forgiving_difference(a[i], b[i]));
}

LOFTLEDGER_WIDE void product(Lanes a, Lanes b, double* __restrict out, std::size_t lanes) {
  pairs(a, b, lanes, [&](std::size_t i, double x, double y) { out[i] = finite(x * y); });
}

LOFTLEDGER_WIDE void quotient(Lanes a, Lanes b, double* __restrict out, std::size_t lanes) {
  // Division by zero gives an infinity or NaN, and with that an error.
  pairs(a, b, lanes, [&](std::size_t i, double x, double y) { out[i] = finite(x / y); });
}

template <class Holds>
LOFTLEDGER_INLINE void comparison(Lanes a, Lanes b, double* __restrict out, std::size_t lanes,
                                  Holds holds) {
  Flag close = 0;
  pairs(a, b, lanes, [&](std::size_t i, double x, double y) {
    const double order = x - y;
    close |= may_cancel(x, order);
    const double truth = holds(x, y) ? 1.0 : 0.0;
    out[i] = order == order ? truth : kNone;
  });
  if (close == 0) return;
  for (std::size_t i = 0; i < lanes; ++i) {
    const double order = nearly_equal(a[i], b[i]) ? 0 : a[i] - b[i];
    out[i] = std::isnan(order) ? kNone : holds(order, 0.0) ? 1 : 0;
  }
}

LOFTLEDGER_WIDE void equal(Lanes a, Lanes b, double* out, std::size_t lanes) {
  comparison(a, b, out, lanes, [](double x, double y) { return x == y; });
}
LOFTLEDGER_WIDE void unequal(Lanes a, Lanes b, double* out, std::size_t lanes) {
  comparison(a, b, out, lanes, [](double x, double y) { return x != y; });
}
LOFTLEDGER_WIDE void less(Lanes a, Lanes b, double* out, std::size_t lanes) {
  comparison(a, b, out, lanes, [](double x, double y) { return x < y; });
}
LOFTLEDGER_WIDE void less_equal(Lanes a, Lanes b, double* out, std::size_t lanes) {
  comparison(a, b, out, lanes, [](double x, double y) { return x <= y; });
}
LOFTLEDGER_WIDE void greater(Lanes a, Lanes b, double* out, std::size_t lanes) {
  comparison(a, b, out, lanes, [](double x, double y) { return x > y; });
}
LOFTLEDGER_WIDE void greater_equal(Lanes a, Lanes b, double* out, std::size_t lanes) {
  comparison(a, b, out, lanes, [](double x, double y) { return x >= y; });
}

void power(Lanes a, Lanes b, double* out, std::size_t lanes) {
  for (std::size_t i = 0; i < lanes; ++i) {
    const Value value = std::isnan(a[i]) || std::isnan(b[i]) ? Value(kNone) : raised(a[i], b[i]);
    out[i] = value.is_error() ? kNone : value.number();
  }
}

LOFTLEDGER_WIDE void negative(Lanes a, double* __restrict out, std::size_t lanes) {
  const double* x = a.numbers;
  for (std::size_t i = 0; i < lanes; ++i) out[i] = 0 - x[i];
}

LOFTLEDGER_WIDE void hundredth(Lanes a, double* __restrict out, std::size_t lanes) {
  const double* x = a.numbers;
  for (std::size_t i = 0; i < lanes; ++i) out[i] = x[i] / 100;
}

// --- Functions

// The terms of one row, added as ExactSum adds them: what rounding drops is carried (exactly, by
// D. Knuth's sum of two numbers in six steps, The Art of Computer Programming 2, 4.2.2).
struct RowSum {
  double total;
  double lost = 0;
  double largest;

  // 0 and a first term of -0 make 0.
  LOFTLEDGER_INLINE explicit RowSum(double first) : total(first + 0.0), largest(std::fabs(first)) {}
  LOFTLEDGER_INLINE void add(double term) {
    const double next = total + term;
    const double added = next - total;
    lost += (total - (next - added)) + (term - added);
    total = next;
    const double size = std::fabs(term);
    largest = size > largest ? size : largest;
  }
  LOFTLEDGER_INLINE double value() const { return total + lost; }
};

// Set where the terms of a row all but cancel each other.
LOFTLEDGER_INLINE Flag cancels(double total, double largest) {
  const double size = std::fabs(total);
  return flag(size < largest * 0x1p-40) & flag(size > 0);
}

template <std::size_t kTerms>
LOFTLEDGER_INLINE Flag few_terms(std::span<const Lanes> arguments, double* __restrict out,
                                 std::size_t lanes) {
  std::array<const double*, kTerms> terms{};
  for (std::size_t k = 0; k < kTerms; ++k) terms[k] = arguments[k].numbers;
  Flag close = 0;
  for (std::size_t i = 0; i < lanes; ++i) {
    RowSum row(terms[0][i]);
    for (std::size_t k = 1; k < kTerms; ++k) row.add(terms[k][i]);
    const double total = row.value();
    close |= cancels(total, row.largest);
    out[i] = finite(total);
  }
  return close;
}

// Any number of terms: the state of some rows goes through all of them.
LOFTLEDGER_INLINE Flag many_terms(std::span<const Lanes> arguments, double* __restrict out,
                                  std::size_t lanes) {
  constexpr std::size_t kPart = 64;
  Flag close = 0;
  for (std::size_t start = 0; start < lanes; start += kPart) {
    const std::size_t n = std::min(kPart, lanes - start);
    std::array<double, kPart> total{};
    std::array<double, kPart> lost{};
    std::array<double, kPart> largest{};
    for (const Lanes& argument : arguments) {
      const double* terms = argument.numbers + start;
      for (std::size_t i = 0; i < n; ++i) {
        RowSum row(total[i]);
        row.lost = lost[i];
        row.largest = largest[i];
        row.add(terms[i]);
        total[i] = row.total;
        lost[i] = row.lost;
        largest[i] = row.largest;
      }
    }
    for (std::size_t i = 0; i < n; ++i) {
      const double all = total[i] + lost[i];
      close |= cancels(all, largest[i]);
      out[start + i] = finite(all);
    }
  }
  return close;
}

LOFTLEDGER_WIDE void kernel_sum(std::span<const Lanes> arguments, double* out, std::size_t lanes) {
  Flag close = 0;
  switch (arguments.size()) {
    case 2:
      close = few_terms<2>(arguments, out, lanes);
      break;
    case 3:
      close = few_terms<3>(arguments, out, lanes);
      break;
    case 4:
      close = few_terms<4>(arguments, out, lanes);
      break;
    default:
      close = many_terms(arguments, out, lanes);
  }
  if (close == 0) return;
  for (std::size_t i = 0; i < lanes; ++i) {
    ExactSum sum;
    for (const Lanes& argument : arguments) sum.add(argument[i]);
    out[i] = finite(sum.value());
  }
}

template <class Better>
LOFTLEDGER_INLINE void extreme(std::span<const Lanes> arguments, double* __restrict out,
                               std::size_t lanes, Better better) {
  const auto best = [&](double mine, double other) {
    // A comparison with NaN is false, so that one of mine stays.
    const double chosen = better(other, mine) ? other : mine;
    return other == other ? chosen : kNone;
  };
  if (arguments.size() == 1) {
    std::copy_n(arguments[0].numbers, lanes, out);
    return;
  }
  pairs(arguments[0], arguments[1], lanes,
        [&](std::size_t i, double x, double y) { out[i] = best(x, y); });
  for (std::size_t k = 2; k < arguments.size(); ++k) {
    const double* other = arguments[k].numbers;
    for (std::size_t i = 0; i < lanes; ++i) out[i] = best(out[i], other[i]);
  }
}

LOFTLEDGER_WIDE void kernel_largest(std::span<const Lanes> arguments, double* out,
                                    std::size_t lanes) {
  extreme(arguments, out, lanes, [](double x, double y) { return x > y; });
}
LOFTLEDGER_WIDE void kernel_smallest(std::span<const Lanes> arguments, double* out,
                                     std::size_t lanes) {
  extreme(arguments, out, lanes, [](double x, double y) { return x < y; });
}

LOFTLEDGER_WIDE void kernel_absolute(std::span<const Lanes> arguments, double* __restrict out,
                                     std::size_t lanes) {
  const double* x = arguments[0].numbers;
  for (std::size_t i = 0; i < lanes; ++i) out[i] = std::fabs(x[i]);
}

LOFTLEDGER_WIDE void kernel_not(std::span<const Lanes> arguments, double* __restrict out,
                                std::size_t lanes) {
  const double* x = arguments[0].numbers;
  for (std::size_t i = 0; i < lanes; ++i) {
    const double truth = x[i] == 0 ? 1.0 : 0.0;
    out[i] = x[i] == x[i] ? truth : kNone;
  }
}

template <bool kAll>
LOFTLEDGER_INLINE void logic(std::span<const Lanes> arguments, double* __restrict out,
                             std::size_t lanes) {
  for (std::size_t i = 0; i < lanes; ++i) out[i] = kAll ? 1.0 : 0.0;
  for (const Lanes& argument : arguments) {
    const double* x = argument.numbers;
    for (std::size_t i = 0; i < lanes; ++i) {
      const double truth = x[i] != 0 ? 1.0 : 0.0;
      // The product and the larger of two truth values, and NaN where either is NaN.
      const double both = kAll ? out[i] * truth : out[i] + truth - out[i] * truth;
      out[i] = x[i] == x[i] ? both : kNone;
    }
  }
}

LOFTLEDGER_WIDE void kernel_and(std::span<const Lanes> arguments, double* out, std::size_t lanes) {
  logic<true>(arguments, out, lanes);
}
LOFTLEDGER_WIDE void kernel_or(std::span<const Lanes> arguments, double* out, std::size_t lanes) {
  logic<false>(arguments, out, lanes);
}

// Below this size floor_as_seen(x) is floor(x) wherever x is clearly below the next whole number.
constexpr double kClearSize = 0x1p40;

// Set where floor_as_seen(x) may be more than floor(x), which is `whole`; and where x is NaN.
LOFTLEDGER_INLINE Flag unclear(double x, double whole) {
  const double size = std::fabs(x);
  const bool clear = whole + 1 - x > 1e-14 * size + 1e-300;
  return ~(flag(clear) & flag(size < kClearSize));
}

LOFTLEDGER_WIDE void kernel_int(std::span<const Lanes> arguments, double* __restrict out,
                                std::size_t lanes) {
  const double* x = arguments[0].numbers;
  Flag any = 0;
  for (std::size_t i = 0; i < lanes; ++i) {
    const double whole = std::floor(x[i]);
    any |= unclear(x[i], whole);
    out[i] = whole;
  }
  if (any == 0) return;
  for (std::size_t i = 0; i < lanes; ++i) {
    if (unclear(x[i], out[i]) != 0) out[i] = x[i] == x[i] ? floor_as_seen(x[i]) : kNone;
  }
}

// To whole numbers, half away from zero; what floor() leaves is exact.
LOFTLEDGER_WIDE void round_whole(const double* x, double* __restrict out, std::size_t lanes) {
  for (std::size_t i = 0; i < lanes; ++i) {
    const double size = std::fabs(x[i]);
    const double whole = std::floor(size);
    const double step = size - whole >= 0.5 ? 1.0 : 0.0;
    out[i] = std::copysign(whole + step, x[i]);
  }
}

// To so many places: as round_as_seen() does it, but for the rows where the number that a person
// sees may differ from the number itself.
LOFTLEDGER_WIDE void round_places(const double* x, int places, double* __restrict out,
                                  std::size_t lanes) {
  const double scale = std::pow(10.0, places);
  Flag any = 0;
  for (std::size_t i = 0; i < lanes; ++i) {
    const double raised_half = std::fabs(x[i]) * scale + 0.5;
    const double whole = std::floor(raised_half);
    any |= unclear(raised_half, whole);
    out[i] = std::copysign(whole / scale, x[i]);
  }
  if (any == 0) return;
  for (std::size_t i = 0; i < lanes; ++i) {
    const double raised_half = std::fabs(x[i]) * scale + 0.5;
    if (unclear(raised_half, std::floor(raised_half)) == 0) continue;
    out[i] = x[i] == x[i] ? round_as_seen(x[i], places) : kNone;
  }
}

void kernel_round(std::span<const Lanes> arguments, double* out, std::size_t lanes) {
  const double* x = arguments[0].numbers;
  if (arguments.size() == 1) return round_whole(x, out, lanes);
  const Lanes& digits = arguments[1];
  constexpr double kMostPlaces = 9;
  const double places = digits[0];
  const bool plain =
      digits.same && places >= 0 && places <= kMostPlaces && places == std::floor(places);
  if (plain && places == 0) return round_whole(x, out, lanes);
  if (plain) return round_places(x, static_cast<int>(places), out, lanes);
  for (std::size_t i = 0; i < lanes; ++i) {
    const bool sensible =
        x[i] == x[i] && std::fabs(digits[i]) < 300 && digits[i] == std::floor(digits[i]);
    out[i] = sensible ? round_as_seen(x[i], static_cast<int>(digits[i])) : kNone;
  }
}

constexpr std::array kKernels{
    FunctionKernel{"ABS", kernel_absolute, false}, FunctionKernel{"AND", kernel_and, true},
    FunctionKernel{"INT", kernel_int, false},      FunctionKernel{"MAX", kernel_largest, false},
    FunctionKernel{"MIN", kernel_smallest, false}, FunctionKernel{"NOT", kernel_not, true},
    FunctionKernel{"OR", kernel_or, true},         FunctionKernel{"ROUND", kernel_round, false},
    FunctionKernel{"SUM", kernel_sum, false},
};

using InfixKernel = void (*)(Lanes a, Lanes b, double* out, std::size_t lanes);

InfixKernel infix_kernel(Operator op) {
  switch (op) {
    case Operator::plus:
      return sum;
    case Operator::minus:
      return difference;
    case Operator::multiply:
      return product;
    case Operator::divide:
      return quotient;
    case Operator::power:
      return power;
    case Operator::equal:
      return equal;
    case Operator::unequal:
      return unequal;
    case Operator::less:
      return less;
    case Operator::less_equal:
      return less_equal;
    case Operator::greater:
      return greater;
    case Operator::greater_equal:
      return greater_equal;
    default:
      return nullptr;
  }
}

}  // namespace

bool has_kernel(Operator op) { return infix_kernel(op) != nullptr; }

void run_kernel(Operator op, Lanes a, Lanes b, double* out, std::size_t lanes) {
  infix_kernel(op)(a, b, out, lanes);
}

void run_kernel(Operator op, Lanes a, double* out, std::size_t lanes) {
  return op == Operator::minus ? negative(a, out, lanes) : hundredth(a, out, lanes);
}

LOFTLEDGER_WIDE void choose_lanes(Lanes condition, Lanes yes, Lanes no, double* __restrict out,
                                  std::size_t lanes) {
  const double* which = condition.numbers;
  pairs(yes, no, lanes, [&](std::size_t i, double x, double y) {
    const double chosen = which[i] != 0 ? x : y;
    out[i] = which[i] == which[i] ? chosen : kNone;
  });
}

LOFTLEDGER_WIDE bool all_numbers(const double* numbers, std::size_t lanes) {
  Flag broken = 0;
  for (std::size_t i = 0; i < lanes; ++i) broken |= flag(numbers[i] != numbers[i]);
  return broken == 0;
}

const FunctionKernel* find_kernel(std::string_view name) {
  for (const FunctionKernel& each : kKernels) {
    if (each.name == name) return &each;
  }
  return nullptr;
}

}  // namespace loftledger::standard
