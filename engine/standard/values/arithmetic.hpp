// Arithmetic and comparison as the office does them: sums and comparisons forgive the last bits.
#pragma once

#include <cmath>
#include <compare>
#include <span>

#include "engine/base/value.hpp"
#include "engine/format/rounding.hpp"
#include "engine/formula/ast.hpp"
#include "engine/sheet/settings.hpp"

namespace loftledger::standard {

// Whether every whole number of that size is one, and this one is whole.
inline bool exactly_whole(double number) {
  return std::fabs(number) < 0x1p53 && number == std::trunc(number);
}

// Whether a sheet takes the two for the same: they lie closer than the smaller one's last five bits
// reach (2^-48 of it). Two different whole numbers are never the same.
inline bool nearly_equal(double a, double b) {
  if (a == b) return true;
  const double size_a = std::fabs(a);
  const double size_b = std::fabs(b);
  const double smaller = size_a < size_b ? size_a : size_b;
  const bool close = std::fabs(a - b) < smaller * 0x1p-48;
  return close && !(exactly_whole(a) && exactly_whole(b));
}

// Whether it is one of =, <>, <, <=, > and >=.
bool compares(formula::Operator op);

// a + b, and 0 where they all but cancel.
inline double forgiving_sum(double a, double b) {
  if (((a < 0 && b > 0) || (b < 0 && a > 0)) && nearly_equal(a, -b)) return 0;
  return a + b;
}

inline double forgiving_difference(double a, double b) {
  if (((a < 0 && b < 0) || (a > 0 && b > 0)) && nearly_equal(a, b)) return 0;
  return a - b;
}

// A sum that carries what rounding drops (A. Neumaier, ZAMM 54, 1974), so that the order of the
// terms hardly matters. As in the office, a last term that all but cancels the rest gives 0.
class ExactSum {
 public:
  void add(double term) {
    if (term == 0) return;
    fold(last_);
    last_ = term;
  }
  void add(std::span<const double> terms);
  double value() const {
    const double rest = carried();
    if (last_ == 0) return rest;
    if (rest != 0 && (rest < 0) != (last_ < 0) && nearly_equal(rest, -last_)) return 0;
    ExactSum all = *this;
    all.fold(last_);
    return all.carried();
  }

 private:
  void fold(double term) {
    const double next = sum_ + term;
    lost_ += std::fabs(sum_) >= std::fabs(term) ? (sum_ - next) + term : (term - next) + sum_;
    sum_ = next;
  }
  double carried() const { return std::isfinite(lost_) ? sum_ + lost_ : sum_; }

  double sum_ = 0;
  double lost_ = 0;
  double last_ = 0;  // not in the sum yet
};

// The order of two values in a sheet: numbers before texts; texts without regard to case unless the
// document says otherwise; an empty cell is 0 beside a number and "" beside a text.
std::weak_ordering compare(const Value& a, const Value& b, const sheet::Settings& settings);

// One infix operator on two single values; an error in either is the result (the left one first).
Value apply(formula::Operator op, const Value& a, const Value& b, const sheet::Settings& settings);

// A prefix or postfix operator.
Value apply(formula::Operator op, const Value& a, const sheet::Settings& settings);

// a to the power of b as the office rounds and refuses it.
Value raised(double a, double b);

}  // namespace loftledger::standard
