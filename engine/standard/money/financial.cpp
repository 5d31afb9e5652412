// Loans, savings and cash flows (OpenFormula 6.12): the arguments, what is refused, and the
// formulas that are short. The mathematics of level payments is in annuity.cpp, that of internal
// rates in cash_flow.cpp.
#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <limits>
#include <vector>

#include "engine/standard/call/addin.hpp"
#include "engine/standard/call/numbers.hpp"
#include "engine/standard/money/annuity.hpp"
#include "engine/standard/money/cash_flow.hpp"
#include "engine/standard/money/functions.hpp"
#include "engine/standard/money/roots.hpp"
#include "engine/standard/values/arithmetic.hpp"

namespace loftledger::standard {

namespace {

// --- Level payments

// Those of four of the five quantities that give the fifth: rate, two or three more, and whether
// payments fall at the beginning of a period.
template <double (*formula)(double, double, double, double, bool)>
Operand of_level_payments(Call& call) {
  const double rate = call.number(0);
  const double second = call.number(1);
  const double third = call.number(2);
  const double fourth = call.number(3, 0.0);
  const bool in_advance = call.truth(4, false);
  return call.finish(formula(rate, second, third, fourth, in_advance));
}

// The equation of value at a force of interest, over the largest of its three amounts: present
// value plus payments plus what is left over, as of now where money grows and as of the end where
// it shrinks, so that no power overflows.
class RateEquation {
 public:
  RateEquation(double periods, double payment, double present, double future, bool in_advance)
      : periods_(periods), in_advance_(in_advance) {
    const double largest = std::max({std::fabs(payment), std::fabs(present), std::fabs(future)});
    if (largest == 0) return;
    payment_ = payment / largest;
    present_ = present / largest;
    future_ = future / largest;
  }

  // Without money both ways no rate balances it.
  bool both_ways() const {
    return std::max({payment_, present_, future_}) > 0 &&
           std::min({payment_, present_, future_}) < 0;
  }

  double operator()(double force) const {
    const double steps = periods_ * std::fabs(force);
    const double shrunk = std::exp(-steps);
    // The payments at the date of the equation: an annuity, or what has been saved by it.
    const double count =
        force == 0 ? periods_ : std::expm1(-steps) / std::expm1(force) * (force > 0 ? -1 : 1);
    const double payments = payment_ * count * (in_advance_ ? std::exp(force) : 1);
    return force >= 0 ? present_ + payments + future_ * shrunk
                      : present_ * shrunk + payments + future_;
  }

 private:
  double periods_;
  double payment_ = 0;
  double present_ = 0;
  double future_ = 0;
  bool in_advance_;
};

Operand interest_rate(Call& call) {
  const double periods = call.number(0);
  const double payment = call.number(1);
  const double present = call.number(2);
  const double future = call.number(3, 0.0);
  const bool in_advance = call.truth(4, false);
  const double guess = call.number(5, 0.1);
  if (call.failed()) return call.failure();
  if (periods <= 0) return Error(Code::argument, "RATE: the periods must be more than 0", 0);
  const RateEquation equation(periods, payment, present, future, in_advance);
  constexpr double kNoise = 0x1p-48;
  const auto force = equation.both_ways()
                         ? root_near(equation, force_of_guess(guess), kForcesOfInterest, kNoise)
                         : std::nullopt;
  if (!force) return Error(Code::no_convergence, "RATE: no rate balances the payments", 5);
  return call.finish(rate_of(*force));
}

// Rate; one period; periods; present value; future value; in advance.
template <auto part>
Operand of_one_payment(Call& call) {
  Loan loan;
  loan.rate = call.number(0);
  const double period = call.number(1);
  loan.periods = call.number(2);
  loan.present = call.number(3);
  loan.future = call.number(4, 0.0);
  loan.in_advance = call.truth(5, false);
  if (call.failed()) return call.failure();
  if (period < 1 || period > loan.periods) {
    return Error(Code::argument, "the period must be from 1 to the count of periods", 1);
  }
  return call.finish(part(loan, period));
}

double interest_of(const Loan& loan, double period) { return loan.interest(period); }
double principal_of(const Loan& loan, double period) { return loan.principal(period, period); }

// Rate; periods; present value; first period; last period; 1 for payments in advance, else 0.
template <auto part>
Operand of_some_payments(Call& call) {
  Loan loan;
  loan.rate = call.number(0);
  loan.periods = call.number(1);
  loan.present = call.number(2);
  const double first = call.number(3);
  const double last = std::floor(call.number(4));
  const double type = call.given(5) ? call.number(5) : -1;
  if (call.failed()) return call.failure();
  if (type != 0 && type != 1) return Error(Code::argument, "the type must be 0 or 1", 5);
  loan.in_advance = type == 1;
  const bool in_order = 1 <= first && first <= last && last <= loan.periods;
  if (!in_order || loan.rate <= 0 || loan.periods <= 0 || loan.present <= 0) {
    return Code::argument;
  }
  return call.finish(part(loan, std::floor(first), last));
}

double interest_of_some(const Loan& loan, double first, double last) {
  return loan.interest(first, last);
}
double principal_of_some(const Loan& loan, double first, double last) {
  return loan.principal(first, last);
}

// --- Cash flows

// Adds up payments at the end of each period in the order in which they are met.
class PresentValue {
 public:
  explicit PresentValue(double rate) : growth_(1 + rate) {}
  void pay(double amount) { total_ += amount / std::pow(growth_, ++periods_); }
  double total() const { return total_; }

 private:
  double growth_;
  double periods_ = 0;
  double total_ = 0;
};

// Ranges row by row, where texts and empty cells take no place; arrays column by column, where
// texts are refused.
void pay_all(Call& call, std::size_t index, PresentValue& worth) {
  const bool array = call[index].kind == Operand::Kind::matrix;
  const auto take = [&](const Value& value) {
    if (value.is_error()) call.fail(value);
    if (value.is_numeric()) worth.pay(value.number());
    if (value.is_text() && array) call.fail(Code::argument);
    return true;
  };
  for (const Matrix& values : call.matrices(index)) {
    if (array) {
      each_by_column(values, take);
    } else {
      for (const Value& value : values.cells()) take(value);
    }
  }
}

Operand net_present_value(Call& call) {
  PresentValue worth(call.number(0));
  for (std::size_t i = 1; i < call.count() && !call.failed(); ++i) {
    const Operand& operand = call[i];
    if (operand.kind == Operand::Kind::value && operand.value.is_text()) return Code::parameters;
    if (operand.kind == Operand::Kind::missing) worth.pay(0);
    pay_all(call, i, worth);
  }
  return call.finish(worth.total());
}

// The values of a cash flow in order; only a range of cells or an array has them.
std::vector<double> cash_flow(Call& call, std::size_t index) {
  if (call[index].is_cell() || call[index].kind == Operand::Kind::value ||
      call[index].kind == Operand::Kind::missing) {
    call.fail(call[index].is_error() ? call[index].value : Value(Code::parameters));
    return {};
  }
  return numbers_of(call, index);
}

Operand internal_rate(Call& call) {
  const double guess = call.number(1, 0.1);
  const std::vector<double> values = cash_flow(call, 0);
  if (call.failed()) return call.failure();
  const auto rate = CashFlow::in_periods(values).internal_rate(guess);
  if (!rate) return Error(Code::no_convergence, "IRR: no rate balances the payments", 0);
  return call.finish(*rate);
}

// The rate at which what is received, reinvested up to the end, repays what is paid, discounted to
// the beginning (OpenFormula 6.12.27). Both stand here as of the beginning.
Operand modified_internal_rate(Call& call) {
  const double finance = 1 + call.number(1);
  const double reinvest = 1 + call.number(2);
  if (call.failed()) return call.failure();
  std::vector<double> values;
  if (call[0].is_reference() && call[0].range) {
    // The office takes what stands before the first error.
    call.values(0, [&](const Value& value) {
      if (value.is_numeric()) values.push_back(value.number());
      return !value.is_error();
    });
  } else {
    values = cash_flow(call, 0);
  }
  if (call.failed()) return call.failure();
  const double last = static_cast<double>(values.size()) - 1;
  double paid = 0;
  double received = 0;
  for (double period = 0; const double value : values) {
    if (value < 0) paid -= value * std::pow(finance, -period);
    if (value > 0) received += value * std::pow(reinvest, -period);
    ++period;
  }
  if (paid == 0 || received == 0) {
    return Error(Code::argument, "MIRR: there must be payments both out and in", 0);
  }
  return call.finish(std::pow(received / paid * std::pow(reinvest, last), 1 / last) - 1);
}

// Values and their dates, in years of 365 days since the first date given.
std::vector<Payment> dated_payments(Call& call, std::size_t values, std::size_t dates) {
  const std::vector<double> amounts = plain_numbers(call, values);
  const std::vector<double> days = plain_numbers(call, dates);
  std::vector<Payment> out;
  if (call.failed()) return out;
  if (amounts.size() < 2 || amounts.size() != days.size()) {
    call.fail(Error(Code::argument, "there must be as many dates as values, and two at least"));
    return out;
  }
  constexpr double kDaysInYear = 365;
  for (std::size_t i = 0; i < amounts.size(); ++i) {
    const double since = std::floor(days[i]) - std::floor(days[0]);
    out.push_back({since / kDaysInYear, amounts[i]});
  }
  return out;
}

Operand dated_present_value(Call& call) {
  const double rate = call.number(0);
  const std::vector<Payment> payments = dated_payments(call, 1, 2);
  if (call.failed()) return call.failure();
  if (rate <= -1) return Error(Code::argument, "XNPV: the rate must be more than -1", 0);
  const double force = std::log1p(rate);
  double total = 0;
  for (const Payment& payment : payments) total += payment.amount * std::exp(-force * payment.time);
  return call.finish(total);
}

Operand dated_internal_rate(Call& call) {
  const double guess = addin_option(call, 2, 0.1);
  const std::vector<Payment> payments = dated_payments(call, 0, 1);
  if (call.failed()) return call.failure();
  if (guess <= -1) return Error(Code::argument, "XIRR: the guess must be more than -1", 2);
  const auto rate = CashFlow(payments).internal_rate(guess);
  if (!rate) return Error(Code::argument, "XIRR: no rate balances the payments", 0);
  return call.finish(*rate);
}

// --- Rates

// A nominal rate, compounded so many times a year, as the rate of the whole year.
Operand effective(Call& call) {
  const double nominal = call.number(0);
  const double times = floor_as_seen(call.number(1));
  if (call.failed()) return call.failure();
  if (times < 1 || nominal < 0) return Code::argument;
  return call.finish(std::expm1(times * std::log1p(nominal / times)));
}

Operand nominal(Call& call) {
  const double effective_rate = call.number(0);
  const double times = floor_as_seen(call.number(1));
  if (call.failed()) return call.failure();
  if (times < 1 || effective_rate <= 0) return Code::argument;
  return call.finish(times * std::expm1(std::log1p(effective_rate) / times));
}

Operand equivalent_rate(Call& call) {
  const double periods = call.number(0);
  const double now = call.number(1);
  const double then = call.number(2);
  if (call.failed()) return call.failure();
  if (periods <= 0 || now == 0) return Code::argument;
  return call.finish(std::pow(then / now, 1 / periods) - 1);
}

Operand periods_to_grow(Call& call) {
  const double rate = call.number(0);
  const double now = call.number(1);
  const double then = call.number(2);
  if (call.failed()) return call.failure();
  if (rate <= 0 || now <= 0 || then <= 0) return Code::argument;
  return call.finish(std::log(then / now) / std::log1p(rate));
}

// Interest where the same part of the principal is repaid in each period.
Operand straight_interest(Call& call) {
  const double rate = call.number(0);
  const double period = call.number(1);
  const double periods = call.number(2);
  return call.finish(call.number(3) * rate * (period / periods - 1));
}

Operand future_of_schedule(Call& call) {
  double total = call.number(0);
  for (const double rate : plain_numbers(call, 1)) total *= 1 + rate;
  return call.finish(total);
}

// --- Prices in fractions

// The places behind the point count parts: 1.02 in sixteenths is 1 2/16.
struct Quotation {
  double whole = 0;
  double rest = 0;
  double parts = 1;
  double places = 1;  // the power of ten that has room for a count of parts
};

Quotation quotation(Call& call) {
  const double price = call.number(0);
  Quotation out;
  out.parts = std::trunc(call.number(1));
  if (call.failed()) return out;
  constexpr double kMost = std::numeric_limits<std::int32_t>::max();
  if (out.parts <= 0 || out.parts > kMost) {
    call.fail(Code::argument);
    return out;
  }
  while (out.places < out.parts) out.places *= 10;
  out.rest = std::modf(price, &out.whole);
  return out;
}

Operand price_to_decimal(Call& call) {
  const Quotation price = quotation(call);
  return call.finish(price.whole + price.rest * price.places / price.parts);
}

Operand price_to_fraction(Call& call) {
  const Quotation price = quotation(call);
  return call.finish(price.whole + price.rest * price.parts / price.places);
}

constexpr StandardFunction kFunctions[] = {
    {"PV", of_level_payments<present_value>, 3, 5, "v", Group::small},
    {"FV", of_level_payments<future_value>, 3, 5, "v", Group::small},
    {"PMT", of_level_payments<level_payment>, 3, 5, "v", Group::small},
    {"NPER", of_level_payments<payments_needed>, 3, 5, "v", Group::small},
    {"RATE", interest_rate, 3, 6, "v", Group::small},
    {"IPMT", of_one_payment<interest_of>, 4, 6, "v", Group::large},
    {"PPMT", of_one_payment<principal_of>, 4, 6, "v", Group::large},
    {"CUMIPMT", of_some_payments<interest_of_some>, 6, 6, "v", Group::medium},
    {"CUMPRINC", of_some_payments<principal_of_some>, 6, 6, "v", Group::medium},
    {"NPV", net_present_value, 2, -1, "vr", Group::small},
    {"IRR", internal_rate, 1, 2, "rv", Group::small},
    {"MIRR", modified_internal_rate, 3, 3, "rvv", Group::medium},
    {"XNPV", dated_present_value, 3, 3, "ndw", Group::medium, false, 1, Counting::addin},
    {"XIRR", dated_internal_rate, 2, 3, "dwo", Group::medium, false, 1, Counting::addin},
    {"EFFECT", effective, 2, 2, "v", Group::medium},
    {"NOMINAL", nominal, 2, 2, "v", Group::medium},
    {"RRI", equivalent_rate, 3, 3, "v", Group::large},
    {"ZGZ", equivalent_rate, 3, 3, "v"},
    {"PDURATION", periods_to_grow, 3, 3, "v", Group::large},
    {"ISPMT", straight_interest, 4, 4, "v", Group::large},
    {"FVSCHEDULE", future_of_schedule, 2, 2, "nd", Group::large, false, 1, Counting::addin},
    {"DOLLARDE", price_to_decimal, 2, 2, "ni", Group::medium, false, 1, Counting::addin},
    {"DOLLARFR", price_to_fraction, 2, 2, "ni", Group::medium, false, 1, Counting::addin},
};

}  // namespace

StandardFunctions financial_functions() { return kFunctions; }

}  // namespace loftledger::standard
