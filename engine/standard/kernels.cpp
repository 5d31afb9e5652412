#include "engine/standard/kernels.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "engine/standard/arithmetic.hpp"
#include "engine/standard/rounding.hpp"

namespace loftledger::standard {

namespace {

using formula::Operator;

constexpr double kNone = std::numeric_limits<double>::quiet_NaN();
constexpr double kLargest = std::numeric_limits<double>::max();

// Results past the largest number are errors.
double finite(double x) { return std::fabs(x) <= kLargest ? x : kNone; }

// True where some pair is so close without being the same that the office may take it for equal.
bool any_close(const double* a, const double* b, double sign, std::size_t lanes) {
  int found = 0;
  for (std::size_t i = 0; i < lanes; ++i) {
    const double other = sign * b[i];
    const double difference = std::fabs(a[i] - other);
    found |= static_cast<int>(difference < std::fabs(a[i]) * 0x1p-44) &
             static_cast<int>(difference != 0);
  }
  return found != 0;
}

void sum(const double* a, const double* b, double* out, std::size_t lanes) {
  if (any_close(a, b, -1, lanes)) {
    for (std::size_t i = 0; i < lanes; ++i) out[i] = finite(forgiving_sum(a[i], b[i]));
    return;
  }
  for (std::size_t i = 0; i < lanes; ++i) out[i] = finite(a[i] + b[i]);
}

void difference(const double* a, const double* b, double* out, std::size_t lanes) {
  if (any_close(a, b, 1, lanes)) {
    for (std::size_t i = 0; i < lanes; ++i) out[i] = finite(forgiving_difference(a[i], b[i]));
    return;
  }
  for (std::size_t i = 0; i < lanes; ++i) out[i] = finite(a[i] - b[i]);
}

void product(const double* a, const double* b, double* out, std::size_t lanes) {
  for (std::size_t i = 0; i < lanes; ++i) out[i] = finite(a[i] * b[i]);
}

void quotient(const double* a, const double* b, double* out, std::size_t lanes) {
  // Division by zero gives an infinity or NaN, and with that an error.
  for (std::size_t i = 0; i < lanes; ++i) out[i] = finite(a[i] / b[i]);
}

template <class Holds>
void comparison(const double* a, const double* b, double* out, std::size_t lanes, Holds holds) {
  if (any_close(a, b, 1, lanes)) {
    for (std::size_t i = 0; i < lanes; ++i) {
      const double order = nearly_equal(a[i], b[i]) ? 0 : a[i] - b[i];
      out[i] = std::isnan(order) ? kNone : holds(order, 0.0) ? 1 : 0;
    }
    return;
  }
  for (std::size_t i = 0; i < lanes; ++i) {
    const double truth = holds(a[i], b[i]) ? 1.0 : 0.0;
    out[i] = ((a[i] == a[i]) & (b[i] == b[i])) ? truth : kNone;
  }
}

void power(const double* a, const double* b, double* out, std::size_t lanes) {
  for (std::size_t i = 0; i < lanes; ++i) {
    const Value value = std::isnan(a[i]) || std::isnan(b[i]) ? Value(kNone) : raised(a[i], b[i]);
    out[i] = value.is_error() ? kNone : value.number();
  }
}

// The terms of a row are few; they are added as ExactSum adds them.
void kernel_sum(std::span<const double* const> arguments, double* out, std::size_t lanes) {
  constexpr std::size_t kPart = 64;
  for (std::size_t start = 0; start < lanes; start += kPart) {
    const std::size_t n = std::min(kPart, lanes - start);
    std::array<double, kPart> total{};
    std::array<double, kPart> lost{};
    std::array<double, kPart> largest{};
    for (const double* argument : arguments) {
      const double* terms = argument + start;
      for (std::size_t i = 0; i < n; ++i) {
        const double next = total[i] + terms[i];
        const double whole = std::fabs(total[i]);
        const double size = std::fabs(terms[i]);
        const double big = whole >= size ? total[i] : terms[i];
        const double small = whole >= size ? terms[i] : total[i];
        lost[i] += (big - next) + small;
        total[i] = next;
        largest[i] = size > largest[i] ? size : largest[i];
      }
    }
    int cancelling = 0;
    for (std::size_t i = 0; i < n; ++i) {
      total[i] += lost[i];
      cancelling |= static_cast<int>(std::fabs(total[i]) < largest[i] * 0x1p-40) &
                    static_cast<int>(total[i] != 0);
    }
    if (cancelling != 0) {
      for (std::size_t i = 0; i < n; ++i) {
        ExactSum sum;
        for (const double* argument : arguments) sum.add(argument[start + i]);
        total[i] = sum.value();
      }
    }
    // `out` may be the first argument: it is written once all of the part is read.
    for (std::size_t i = 0; i < n; ++i) out[start + i] = finite(total[i]);
  }
}

template <bool kLargestOfAll>
void kernel_extreme(std::span<const double* const> arguments, double* out, std::size_t lanes) {
  std::copy_n(arguments[0], lanes, out);
  for (std::size_t k = 1; k < arguments.size(); ++k) {
    const double* other = arguments[k];
    for (std::size_t i = 0; i < lanes; ++i) {
      const double mine = out[i];
      const bool better = kLargestOfAll ? other[i] > mine : other[i] < mine;
      // A comparison with NaN is false, so that one of mine stays.
      const double best = better ? other[i] : mine;
      out[i] = other[i] == other[i] ? best : kNone;
    }
  }
}

void kernel_absolute(std::span<const double* const> arguments, double* out, std::size_t lanes) {
  for (std::size_t i = 0; i < lanes; ++i) out[i] = std::fabs(arguments[0][i]);
}

void kernel_not(std::span<const double* const> arguments, double* out, std::size_t lanes) {
  for (std::size_t i = 0; i < lanes; ++i) {
    const double x = arguments[0][i];
    out[i] = x != x ? kNone : x == 0 ? 1.0 : 0.0;
  }
}

template <bool kAll>
void kernel_logic(std::span<const double* const> arguments, double* out, std::size_t lanes) {
  for (std::size_t i = 0; i < lanes; ++i) {
    bool truth = kAll;
    bool broken = false;
    for (const double* argument : arguments) {
      const double x = argument[i];
      broken = broken || x != x;
      truth = kAll ? truth && x != 0 : truth || x != 0;
    }
    out[i] = broken ? kNone : truth ? 1.0 : 0.0;
  }
}

// Below this size a fraction this far from the next whole number tells for certain that the number
// a person sees has the same whole part.
constexpr double kClearSize = 1e9;
constexpr double kClearFraction = 1 - 1e-6;

void kernel_int(std::span<const double* const> arguments, double* out, std::size_t lanes) {
  const double* x = arguments[0];
  int unclear = 0;
  for (std::size_t i = 0; i < lanes; ++i) {
    const double whole = std::floor(x[i]);
    unclear |= static_cast<int>(std::fabs(x[i]) >= kClearSize) |
               static_cast<int>(x[i] - whole >= kClearFraction);
  }
  if (unclear != 0) {
    for (std::size_t i = 0; i < lanes; ++i) {
      out[i] = x[i] != x[i] ? kNone : floor_as_seen(x[i]);
    }
    return;
  }
  for (std::size_t i = 0; i < lanes; ++i) out[i] = std::floor(x[i]);
}

void kernel_round(std::span<const double* const> arguments, double* out, std::size_t lanes) {
  const double* x = arguments[0];
  const double places = arguments.size() > 1 ? arguments[1][0] : 0;
  constexpr double kMostPlaces = 9;
  int unclear = static_cast<int>(!(places >= 0 && places <= kMostPlaces));
  if (arguments.size() > 1) {
    for (std::size_t i = 0; i < lanes; ++i) unclear |= static_cast<int>(arguments[1][i] != places);
  }
  const double scale = unclear != 0 ? 1 : std::pow(10.0, std::floor(places));
  for (std::size_t i = 0; i < lanes; ++i) {
    const double raised_half = std::fabs(x[i]) * scale + 0.5;
    unclear |= static_cast<int>(!(raised_half < kClearSize)) |
               static_cast<int>(raised_half - std::floor(raised_half) >= kClearFraction);
  }
  if (unclear != 0 || scale == 1) {
    for (std::size_t i = 0; i < lanes; ++i) {
      const double digits = arguments.size() > 1 ? std::floor(arguments[1][i]) : 0;
      const bool sensible = x[i] == x[i] && std::fabs(digits) < 300;
      out[i] = sensible ? round_as_seen(x[i], static_cast<int>(digits)) : kNone;
    }
    return;
  }
  for (std::size_t i = 0; i < lanes; ++i) {
    out[i] = std::copysign(std::floor(std::fabs(x[i]) * scale + 0.5) / scale, x[i]);
  }
}

constexpr std::array kKernels{
    FunctionKernel{"ABS", kernel_absolute, false},
    FunctionKernel{"AND", kernel_logic<true>, true},
    FunctionKernel{"INT", kernel_int, false},
    FunctionKernel{"MAX", kernel_extreme<true>, false},
    FunctionKernel{"MIN", kernel_extreme<false>, false},
    FunctionKernel{"NOT", kernel_not, true},
    FunctionKernel{"OR", kernel_logic<false>, true},
    FunctionKernel{"ROUND", kernel_round, false},
    FunctionKernel{"SUM", kernel_sum, false},
};

}  // namespace

bool has_kernel(Operator op) {
  switch (op) {
    case Operator::plus:
    case Operator::minus:
    case Operator::multiply:
    case Operator::divide:
    case Operator::power:
    case Operator::equal:
    case Operator::unequal:
    case Operator::less:
    case Operator::less_equal:
    case Operator::greater:
    case Operator::greater_equal:
      return true;
    default:
      return false;
  }
}

void run_kernel(Operator op, const double* a, const double* b, double* out, std::size_t lanes) {
  switch (op) {
    case Operator::plus:
      return sum(a, b, out, lanes);
    case Operator::minus:
      return difference(a, b, out, lanes);
    case Operator::multiply:
      return product(a, b, out, lanes);
    case Operator::divide:
      return quotient(a, b, out, lanes);
    case Operator::power:
      return power(a, b, out, lanes);
    case Operator::equal:
      return comparison(a, b, out, lanes, [](double x, double y) { return x == y; });
    case Operator::unequal:
      return comparison(a, b, out, lanes, [](double x, double y) { return x != y; });
    case Operator::less:
      return comparison(a, b, out, lanes, [](double x, double y) { return x < y; });
    case Operator::less_equal:
      return comparison(a, b, out, lanes, [](double x, double y) { return x <= y; });
    case Operator::greater:
      return comparison(a, b, out, lanes, [](double x, double y) { return x > y; });
    case Operator::greater_equal:
      return comparison(a, b, out, lanes, [](double x, double y) { return x >= y; });
    default:
      std::fill_n(out, lanes, kNone);
  }
}

void choose_lanes(const double* condition, const double* yes, const double* no, double* out,
                  std::size_t lanes) {
  for (std::size_t i = 0; i < lanes; ++i) {
    const double chosen = condition[i] != 0 ? yes[i] : no[i];
    out[i] = condition[i] == condition[i] ? chosen : kNone;
  }
}

const FunctionKernel* find_kernel(std::string_view name) {
  for (const FunctionKernel& each : kKernels) {
    if (each.name == name) return &each;
  }
  return nullptr;
}

}  // namespace loftledger::standard
