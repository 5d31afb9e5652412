#include "engine/standard/kernels.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "engine/standard/arithmetic.hpp"

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
    out[i] = (a[i] == a[i]) & (b[i] == b[i]) ? truth : kNone;
  }
}

void power(const double* a, const double* b, double* out, std::size_t lanes) {
  for (std::size_t i = 0; i < lanes; ++i) {
    const Value value = std::isnan(a[i]) || std::isnan(b[i]) ? Value(kNone) : raised(a[i], b[i]);
    out[i] = value.is_error() ? kNone : value.number();
  }
}

void kernel_sum(std::span<const double* const> arguments, double* out, std::size_t lanes) {
  // Few terms a row; the compensation is the one that SUM uses over a range.
  for (std::size_t i = 0; i < lanes; ++i) {
    double total = 0;
    double lost = 0;
    for (const double* argument : arguments) {
      const double term = argument[i];
      const double next = total + term;
      const bool larger = std::fabs(total) >= std::fabs(term);
      const double big = larger ? total : term;
      const double small = larger ? term : total;
      lost += (big - next) + small;
      total = next;
    }
    out[i] = finite(total + lost);
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

constexpr std::array kKernels{
    FunctionKernel{"ABS", kernel_absolute, false},
    FunctionKernel{"AND", kernel_logic<true>, true},
    FunctionKernel{"MAX", kernel_extreme<true>, false},
    FunctionKernel{"MIN", kernel_extreme<false>, false},
    FunctionKernel{"NOT", kernel_not, true},
    FunctionKernel{"OR", kernel_logic<false>, true},
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
