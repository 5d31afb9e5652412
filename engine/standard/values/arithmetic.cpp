#include "engine/standard/values/arithmetic.hpp"

#include <limits>

#include "engine/standard/values/collation.hpp"
#include "engine/standard/values/conversions.hpp"

namespace loftledger::standard {

namespace {

using formula::Operator;

int rank(const Value& value) { return value.is_text() ? 1 : 0; }

Value number_or_error(double number) {
  return std::isfinite(number) ? Value(number) : Value(Code::number);
}

bool holds(Operator op, std::weak_ordering order) {
  switch (op) {
    case Operator::equal:
      return order == 0;
    case Operator::unequal:
      return order != 0;
    case Operator::less:
      return order < 0;
    case Operator::less_equal:
      return order <= 0;
    case Operator::greater:
      return order > 0;
    default:
      return order >= 0;
  }
}

Value divided(double a, double b) {
  if (b == 0) return Code::division;
  return number_or_error(a / b);
}

}  // namespace

bool compares(Operator op) {
  switch (op) {
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

double as_seen(double number) {
  constexpr double kNoFraction = 0x1p41;  // too few bits behind the point to hide a digit
  const double size = std::fabs(number);
  if (!std::isfinite(number) || size > kNoFraction) return number;
  constexpr double kFewBits = 0x1p11;
  if (size * kFewBits == std::floor(size * kFewBits)) return number;
  // As the office reckons it, in binary: a product that falls on a half goes up.
  const int places = 14 - static_cast<int>(std::floor(std::log10(size)));
  const double scale = std::pow(10.0, std::abs(places));
  const double whole = std::round(places < 0 ? number / scale : number * scale);
  const double seen = places < 0 ? whole * scale : whole / scale;
  return std::isfinite(seen) ? seen : number;
}

double floor_as_seen(double number) {
  const double below = std::floor(number);
  // Only close below the next whole number can the two differ.
  if (below + 1 - number > 1e-14 * std::fabs(number) + 1e-300) return below;
  return std::floor(as_seen(number));
}

double ceiling_as_seen(double number) { return -floor_as_seen(-number); }

double truncated_as_seen(double number) {
  return number < 0 ? ceiling_as_seen(number) : floor_as_seen(number);
}

double to_significant(double number, double digits) {
  const double places = digits - 1 - floor_as_seen(std::log10(std::fabs(number)));
  const double scale = std::pow(10.0, std::fabs(places));
  return places > 0 ? std::round(number * scale) / scale : std::round(number / scale) * scale;
}

void ExactSum::add(std::span<const double> terms) {
  constexpr std::size_t kLanes = 8;
  if (terms.size() < 4 * kLanes) {
    for (const double term : terms) add(term);
    return;
  }
  fold(last_);
  last_ = 0;
  while (!terms.empty() && terms.back() == 0) terms = terms.first(terms.size() - 1);
  if (terms.empty()) return;
  last_ = terms.back();
  terms = terms.first(terms.size() - 1);
  // Eight sums side by side: without branches, and none waits for another.
  double sums[kLanes] = {};
  double lost[kLanes] = {};
  std::size_t at = 0;
  for (; at + kLanes <= terms.size(); at += kLanes) {
    for (std::size_t lane = 0; lane < kLanes; ++lane) {
      const double term = terms[at + lane];
      const double next = sums[lane] + term;
      const double added = next - sums[lane];
      lost[lane] += (sums[lane] - (next - added)) + (term - added);
      sums[lane] = next;
    }
  }
  for (; at < terms.size(); ++at) fold(terms[at]);
  for (std::size_t lane = 0; lane < kLanes; ++lane) {
    fold(sums[lane]);
    lost_ += lost[lane];
  }
}

std::weak_ordering compare(const Value& a, const Value& b, const sheet::Settings& settings) {
  if (a.is_empty() && b.is_empty()) return std::weak_ordering::equivalent;
  if (a.is_empty() && b.is_text()) {
    return b.text().empty() ? std::weak_ordering::equivalent : std::weak_ordering::less;
  }
  if (b.is_empty() && a.is_text()) {
    return a.text().empty() ? std::weak_ordering::equivalent : std::weak_ordering::greater;
  }
  if (rank(a) != rank(b)) return rank(a) <=> rank(b);
  if (a.is_text()) return compare_texts(a.text(), b.text(), settings.case_sensitive);
  if (nearly_equal(a.number(), b.number())) return std::weak_ordering::equivalent;
  return a.number() < b.number() ? std::weak_ordering::less : std::weak_ordering::greater;
}

namespace {

// A power that is too small for a number is an error in the office, not 0.
Value power_or_error(double base, double power) {
  if (base != 0 && std::fabs(power) < std::numeric_limits<double>::min()) return Code::number;
  return number_or_error(power);
}

}  // namespace

Value raised(double a, double b) {
  if (a < 0 && b != std::floor(b)) {
    // A negative number has an odd root: (-8)^(1/3) is -2.
    const double root = 1 / b;
    const double whole = std::round(root);
    if (nearly_equal(root, whole) && std::fmod(whole, 2) != 0) {
      return power_or_error(a, -std::pow(-a, b));
    }
    return Code::number;
  }
  if (a == 0 && b < 0) return Code::number;
  return power_or_error(a, std::pow(a, b));
}

Value apply(Operator op, const Value& a, const Value& b, const sheet::Settings& settings) {
  if (a.is_error()) return a;
  if (b.is_error()) return b;
  if (op == Operator::concatenate) return Value(to_text(a) + to_text(b));
  if (compares(op)) return Value::boolean(holds(op, compare(a, b, settings)));
  const Value x = to_number(a, settings);
  if (x.is_error()) return x;
  const Value y = to_number(b, settings);
  if (y.is_error()) return y;
  switch (op) {
    case Operator::plus:
      return number_or_error(forgiving_sum(x.number(), y.number()));
    case Operator::minus:
      return number_or_error(forgiving_difference(x.number(), y.number()));
    case Operator::multiply:
      return number_or_error(x.number() * y.number());
    case Operator::divide:
      return divided(x.number(), y.number());
    case Operator::power:
      return raised(x.number(), y.number());
    default:
      return Code::internal;
  }
}

Value apply(Operator op, const Value& a, const sheet::Settings& settings) {
  if (a.is_error()) return a;
  if (op == Operator::plus) return a;
  const Value x = to_number(a, settings);
  if (x.is_error()) return x;
  return op == Operator::percent ? Value(x.number() / 100) : Value(0 - x.number());
}

}  // namespace loftledger::standard
