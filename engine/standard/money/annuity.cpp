// The equation of value of level payments (OpenFormula 6.12: PV, FV, PMT, NPER, IPMT, PPMT, CUMIPMT
// and CUMPRINC) and what an amortised loan owes after each payment (S. G. Kellison, The Theory of
// Interest, the chapters on annuities and on amortization), in closed form. With the force of
// interest d = ln(1 + rate) all powers are exponentials, and 1 - v^n is -expm1(-n d), which keeps
// its digits at small rates.
#include "engine/standard/money/annuity.hpp"

#include <cmath>

namespace loftledger::standard {

namespace {

// (1 + rate)^n, and what it is more than 1. A rate of -1 or less has no force of interest; whole
// powers exist all the same.
struct Growth {
  double factor = 1;
  double gain = 0;
};

Growth growth(double rate, double n) {
  if (rate <= -1) {
    const double factor = std::pow(1 + rate, n);
    return {factor, factor - 1};
  }
  const double exponent = n * std::log1p(rate);
  return {std::exp(exponent), std::expm1(exponent)};
}

// A payment in advance is worth one period's interest more.
double due(double rate, bool in_advance) { return in_advance ? 1 + rate : 1; }

// (1 - e^(-part d)) / (1 - e^(-whole d)): the share of a debt that payments still to come repay.
double share(double part, double whole, double force) {
  if (force == 0) return part / whole;
  const double size = std::fabs(force);
  const double out = std::expm1(-part * size) / std::expm1(-whole * size);
  return force > 0 ? out : out * std::exp((part - whole) * size);
}

}  // namespace

double present_value(double rate, double periods, double payment, double future, bool in_advance) {
  if (rate == 0) return -(future + payment * periods);
  const Growth discount = growth(rate, -periods);
  return payment * due(rate, in_advance) * (discount.gain / rate) - future * discount.factor;
}

double future_value(double rate, double periods, double payment, double present, bool in_advance) {
  if (rate == 0) return -(present + payment * periods);
  const Growth growing = growth(rate, periods);
  return -(payment * due(rate, in_advance) * (growing.gain / rate) + present * growing.factor);
}

double level_payment(double rate, double periods, double present, double future, bool in_advance) {
  if (rate == 0) return -(present + future) / periods;
  const double exponent = periods * std::log1p(rate);
  // Each value over the annuity that repays it: from now on, and up to then.
  const double repaying = rate / std::expm1(-exponent);
  const double saving = rate / std::expm1(exponent);
  return (present * repaying - future * saving) / due(rate, in_advance);
}

double payments_needed(double rate, double payment, double present, double future,
                       bool in_advance) {
  if (present + future == 0) return 0;
  if (rate == 0) return -(present + future) / payment;
  const double each = payment * due(rate, in_advance);
  // What an endless annuity is worth more than the values: their quotient is the growth that the
  // payments take, and near 1 only its distance from 1 has digits.
  const double now = present * rate + each;
  const double gain = -rate * (present + future) / now;
  const double exponent =
      std::fabs(gain) < 0.5 ? std::log1p(gain) : std::log((each - future * rate) / now);
  return exponent / std::log1p(rate);
}

double Loan::interest(double period) const {
  // The first payment in advance falls on the day of the loan.
  if (in_advance && period == 1) return 0;
  const double paid = period - 1;
  const double force = std::log1p(rate);
  // The debt before a payment goes from the present value to the future one.
  const double debt =
      present * share(periods - paid, periods, force) - future * share(paid, periods, -force);
  return -debt * rate / due(rate, in_advance);
}

double Loan::interest(double first, double last) const {
  // Beyond so many terms what the difference below loses is less than the sum would.
  constexpr double kTerms = 1000;
  if (last - first >= kTerms) {
    return payment() * (last - first + 1) - principal(first, last);
  }
  double total = 0;
  for (double after = 0; after <= last - first; ++after) total += interest(first + after);
  return total;
}

double Loan::principal(double first, double last) const {
  if (in_advance && first == 1) return payment() + (last > 1 ? principal(2, last) : 0);
  // What payments take off the debt grows from each to the next by the interest.
  const double force = std::log1p(rate);
  const double repaid =
      std::exp(-(periods - last) * force) * share(last - first + 1, periods, force);
  return -(present + future) * repaid / due(rate, in_advance);
}

double annuity_due(double count, double force) {
  return force == 0 ? count : std::expm1(-count * force) / std::expm1(-force);
}

}  // namespace loftledger::standard
