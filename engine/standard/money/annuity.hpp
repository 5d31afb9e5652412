// Level payments, shared by the functions of loans, savings and bonds.
#pragma once

namespace loftledger::standard {

// Signs as everywhere among these: money received is positive, money paid negative. What cannot be
// is NaN or infinite; Call::finish answers it with an error.
double present_value(double rate, double periods, double payment, double future, bool in_advance);
double future_value(double rate, double periods, double payment, double present, bool in_advance);
double level_payment(double rate, double periods, double present, double future, bool in_advance);

// How many payments lead from the one value to the other.
double payments_needed(double rate, double payment, double present, double future, bool in_advance);

// A loan that is repaid in level payments, or savings that grow by them.
struct Loan {
  double rate = 0;
  double periods = 0;
  double present = 0;
  double future = 0;
  bool in_advance = false;

  double payment() const { return level_payment(rate, periods, present, future, in_advance); }
  // The interest within one payment, and in the payments of so many periods together.
  double interest(double period) const;
  double interest(double first, double last) const;
  // What the payments from the first to the last take off the debt.
  double principal(double first, double last) const;
};

// The worth of `count` payments of 1, a period apart, at the time of the first, where money grows
// by exp(force) in a period.
double annuity_due(double count, double force);

}  // namespace loftledger::standard
