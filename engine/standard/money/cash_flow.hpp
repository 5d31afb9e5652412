// Payments at given times, and the rate at which they balance.
#pragma once

#include <optional>
#include <vector>

namespace loftledger::standard {

struct Payment {
  double time = 0;
  double amount = 0;
};

class CashFlow {
 public:
  // In any order; payments of the same time count together.
  explicit CashFlow(std::vector<Payment> payments);
  // One payment in each period, the first now.
  static CashFlow in_periods(const std::vector<double>& amounts);

  // The rate of interest a unit of time at which the payments are worth nothing together: of
  // several the one nearest to the guess, in terms of ln(1 + rate). Nothing where there is none.
  std::optional<double> internal_rate(double guess) const;

 private:
  // The worth at a force of interest, over that of the largest payment; at the first payment where
  // money grows and at the last where it shrinks, so that no power overflows. Its zeros are those
  // of the present value.
  double balance(double force) const;
  bool changes_sign() const;

  std::vector<Payment> payments_;  // by time, none of them 0, the largest 1 or -1
};

// A rate as the force of interest, ln(1 + rate); a rate that loses everything or more is 10 %.
double force_of_guess(double rate);

// The rate at a force; 0 where the growth in a unit of time is 1 to the last bit.
double rate_of(double force);

}  // namespace loftledger::standard
