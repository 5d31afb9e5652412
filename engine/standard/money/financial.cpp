// Loans, savings and cash flows (OpenFormula 6.12).
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <limits>
#include <vector>

#include "engine/standard/call/addin.hpp"
#include "engine/standard/call/numbers.hpp"
#include "engine/standard/money/annuity.hpp"
#include "engine/standard/money/functions.hpp"
#include "engine/standard/values/arithmetic.hpp"

namespace loftledger::standard {

double present_value(double rate, double periods, double payment, double future, bool in_advance) {
  if (rate == 0) return -(future + payment * periods);
  const double discount = std::pow(1 + rate, -periods);
  const double due = in_advance ? 1 + rate : 1;
  return -(future * discount + payment * due * (1 - discount) / rate);
}

double future_value(double rate, double periods, double payment, double present, bool in_advance) {
  if (rate == 0) return -(present + payment * periods);
  const double growth = std::pow(1 + rate, periods);
  const double due = in_advance ? 1 + rate : 1;
  return -(present * growth + payment * due * (growth - 1) / rate);
}

double level_payment(double rate, double periods, double present, double future, bool in_advance) {
  if (rate == 0) return -(present + future) / periods;
  const double growth = periods * std::log1p(rate);
  const double due = in_advance ? 1 + rate : 1;
  return -(future + present * std::exp(growth)) * rate / (due * std::expm1(growth));
}

double interest_part(double rate, double period, double periods, double present, double future,
                     bool in_advance) {
  const double payment = level_payment(rate, periods, present, future, in_advance);
  if (period == 1) return in_advance ? 0 : -present * rate;
  // What is owed before the payment bears the interest.
  if (in_advance) return (future_value(rate, period - 2, payment, present, true) - payment) * rate;
  return future_value(rate, period - 1, payment, present, false) * rate;
}

namespace {

Operand present(Call& call) {
  const double rate = call.number(0);
  return call.finish(present_value(rate, call.number(1), call.number(2), call.number(3, 0.0),
                                   call.truth(4, false)));
}

Operand future(Call& call) {
  const double rate = call.number(0);
  return call.finish(future_value(rate, call.number(1), call.number(2), call.number(3, 0.0),
                                  call.truth(4, false)));
}

Operand payment(Call& call) {
  const double rate = call.number(0);
  return call.finish(level_payment(rate, call.number(1), call.number(2), call.number(3, 0.0),
                                   call.truth(4, false)));
}

Operand periods(Call& call) {
  const double rate = call.number(0);
  const double each = call.number(1);
  const double now = call.number(2);
  const double then = call.number(3, 0.0);
  const bool in_advance = call.truth(4, false);
  if (call.failed()) return call.failure();
  if (now + then == 0) return 0.0;
  if (rate == 0) return call.finish(-(now + then) / each);
  const double due = in_advance ? each * (1 + rate) : each;
  return call.finish(std::log(-(rate * then - due) / (rate * now + due)) / std::log1p(rate));
}

// One loan whose rate is sought.
struct Loan {
  double periods = 0;
  double payment = 0;
  double present = 0;
  double future = 0;
};

// Newton's method from a guess, with the office's steps and limits, so that the digits beyond its
// tolerance are the same. False where it does not settle.
bool settle_rate(const Loan& loan, double& rate) {
  constexpr int kMost = 150;
  constexpr double kFlat = 1e-14;
  constexpr double kStill = 1e-7;
  const bool whole = loan.periods == std::round(loan.periods);
  double x = whole ? rate : std::fmax(rate, -1.0);
  bool found = false;
  for (int i = 0; i < kMost && !found; ++i) {
    // Growth over all periods and over all but one, and the sum of the geometric series.
    const double but_one = std::pow(1 + x, loan.periods - 1);
    const double growth = whole ? but_one * (1 + x) : std::pow(1 + x, loan.periods);
    double series = loan.periods;
    double series_slope = loan.periods * (loan.periods - 1) / 2;
    if (x != 0) {
      series = (growth - 1) / x;
      series_slope = loan.periods * but_one / x - series / x;
    }
    const double value = loan.future + loan.present * growth + loan.payment * series;
    const double slope = loan.present * loan.periods * but_one + loan.payment * series_slope;
    if (std::fabs(value) < kFlat) {
      found = true;
      break;
    }
    const double next = slope == 0 ? x + 1.1 * kStill : x - value / slope;
    found = std::fabs(next - x) < kStill;
    x = next;
    if (!whole && !(x >= -1)) return false;
  }
  rate = x;
  return found && (!whole || x > -1);
}

Operand interest_rate(Call& call) {
  Loan loan{call.number(0), call.number(1), call.number(2), call.number(3, 0.0)};
  const bool in_advance = call.truth(4, false);
  const double guess = call.number(5, 0.1);
  if (call.failed()) return call.failure();
  if (loan.periods <= 0) return Error(Code::argument, "RATE: the periods must be more than 0", 0);
  if (in_advance) {
    loan.future -= loan.payment;
    loan.present += loan.payment;
  }
  double rate = guess;
  bool found = settle_rate(loan, rate);
  for (int step = 2; step <= 10 && !found && !call.given(5); ++step) {
    rate = guess * step;
    found = settle_rate(loan, rate);
    if (found) break;
    rate = guess / step;
    found = settle_rate(loan, rate);
  }
  if (!found) return Error(Code::no_convergence, "RATE: no rate was found; try another guess", 5);
  return call.finish(rate);
}

struct Period {
  double rate = 0;
  double period = 0;
  double periods = 0;
  double present = 0;
  double future = 0;
  bool in_advance = false;
};

Period period_of(Call& call) {
  Period p{call.number(0), call.number(1),      call.number(2),
           call.number(3), call.number(4, 0.0), call.truth(5, false)};
  if (!call.failed() && (p.period < 1 || p.period > p.periods)) {
    call.fail(Error(Code::argument, "the period must be from 1 to the count of periods", 1));
  }
  return p;
}

Operand interest(Call& call) {
  const Period p = period_of(call);
  return call.finish(interest_part(p.rate, p.period, p.periods, p.present, p.future, p.in_advance));
}

Operand principal(Call& call) {
  const Period p = period_of(call);
  return call.finish(level_payment(p.rate, p.periods, p.present, p.future, p.in_advance) -
                     interest_part(p.rate, p.period, p.periods, p.present, p.future, p.in_advance));
}

// Interest or principal of the periods from one to another together.
Operand cumulated(Call& call, bool of_interest) {
  const double rate = call.number(0);
  const double periods = call.number(1);
  const double present = call.number(2);
  const double first = call.number(3);
  const double last = std::floor(call.number(4));
  const double when = call.given(5) ? call.number(5) : -1;
  const bool in_advance = when == 1;
  if (call.failed()) return call.failure();
  if (when != 0 && when != 1) return Error(Code::argument, "the type must be 0 or 1", 5);
  if (rate <= 0 || periods <= 0 || present <= 0 || first < 1 || last < first || last > periods) {
    return Code::argument;
  }
  const double each = level_payment(rate, periods, present, 0, in_advance);
  double total = 0;
  for (double period = std::floor(first); period <= std::floor(last); ++period) {
    const double part = interest_part(rate, period, periods, present, 0, in_advance);
    total += of_interest ? part : each - part;
  }
  return call.finish(total);
}
Operand cumulated_interest(Call& call) { return cumulated(call, true); }
Operand cumulated_principal(Call& call) { return cumulated(call, false); }

Operand net_present_value(Call& call) {
  const double rate = call.number(0);
  double total = 0;
  double count = 0;
  const auto add = [&](double value) { total += value / std::pow(1 + rate, ++count); };
  for (std::size_t i = 1; i < call.count() && !call.failed(); ++i) {
    const Operand& operand = call[i];
    if (operand.kind == Operand::Kind::value && operand.value.is_text()) return Code::parameters;
    if (operand.kind == Operand::Kind::missing) add(0);
    // Ranges row by row, where texts and empty cells take no place; arrays column by column, where
    // texts are refused.
    const bool array = operand.kind == Operand::Kind::matrix;
    const auto take = [&](const Value& value) {
      if (value.is_error()) call.fail(value);
      if (value.is_numeric()) add(value.number());
      if (value.is_text() && array) call.fail(Code::argument);
      return true;
    };
    for (const Matrix& values : call.matrices(i)) {
      if (array) {
        each_by_column(values, take);
      } else {
        for (const Value& value : values.cells()) take(value);
      }
    }
  }
  return call.finish(total);
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
  constexpr int kMost = 20;
  constexpr double kStill = 1e-7;
  double x = guess == -1 ? 0.1 : guess;
  double step = 1;
  for (int i = 0; i < kMost && step > kStill; ++i) {
    ExactSum value;
    ExactSum slope;
    double count = 0;
    for (const double flow : values) {
      value.add(flow / std::pow(1 + x, count));
      slope.add(-count * flow / std::pow(1 + x, count + 1));
      ++count;
    }
    const double next = x - value.value() / slope.value();
    step = std::fabs(next - x);
    x = next;
  }
  if (guess == 0 && std::fabs(x) < kStill) x = 0;
  if (!(step < kStill)) {
    return Error(Code::no_convergence, "IRR: no rate was found; try another guess", 1);
  }
  return call.finish(x);
}

Operand modified_internal_rate(Call& call) {
  const double invest = call.number(1) + 1;
  const double reinvest = call.number(2) + 1;
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
  double paid = 0;
  double received = 0;
  double paid_discount = 1;
  double received_discount = 1;
  for (const double value : values) {
    if (value > 0) received += value * received_discount;
    if (value < 0) paid += value * paid_discount;
    paid_discount /= invest;
    received_discount /= reinvest;
  }
  if (paid == 0 || received == 0) {
    return Error(Code::argument, "MIRR: there must be payments both out and in", 0);
  }
  const auto last = static_cast<double>(values.size()) - 1;
  return call.finish(std::pow(-received / paid * std::pow(reinvest, last), 1 / last) - 1);
}

struct DatedFlow {
  std::vector<double> values;
  std::vector<double> years;  // since the first date, of 365 days
};

DatedFlow dated_flow(Call& call, std::size_t values, std::size_t dates) {
  DatedFlow out{plain_numbers(call, values), plain_numbers(call, dates)};
  if (call.failed()) return out;
  if (out.values.size() < 2 || out.values.size() != out.years.size()) {
    call.fail(Error(Code::argument, "there must be as many dates as values, and two at least"));
    return out;
  }
  const double start = std::floor(out.years[0]);
  for (double& date : out.years) date = (std::floor(date) - start) / 365;
  return out;
}

// The value of the flow at that rate, from its second payment on, and its slope.
double dated_value(const DatedFlow& flow, double rate) {
  double total = flow.values[0];
  for (std::size_t i = 1; i < flow.values.size(); ++i) {
    total += flow.values[i] / std::pow(rate + 1, flow.years[i]);
  }
  return total;
}
double dated_slope(const DatedFlow& flow, double rate) {
  double total = 0;
  for (std::size_t i = 1; i < flow.values.size(); ++i) {
    total -= flow.years[i] * flow.values[i] / std::pow(rate + 1, flow.years[i] + 1);
  }
  return total;
}

Operand dated_present_value(Call& call) {
  const double rate = call.number(0);
  const DatedFlow flow = dated_flow(call, 1, 2);
  if (call.failed()) return call.failure();
  if (rate <= -1) return Error(Code::argument, "XNPV: the rate must be more than -1", 0);
  return call.finish(dated_value(flow, rate));
}

// Newton's method from the guess; where that does not settle, from -0.99, -0.98 and so on.
Operand dated_internal_rate(Call& call) {
  const double guess = addin_option(call, 2, 0.1);
  const DatedFlow flow = dated_flow(call, 0, 1);
  if (call.failed()) return call.failure();
  if (guess <= -1) return Error(Code::argument, "XIRR: the guess must be more than -1", 2);
  constexpr int kMost = 50;
  constexpr int kScans = 200;
  constexpr double kStill = 1e-10;
  for (int scan = 0; scan < kScans; ++scan) {
    double rate = scan == 0 ? guess : -0.99 + (scan - 1) * 0.01;
    double value = 0;
    bool moving = true;
    for (int i = 0; i < kMost && moving; ++i) {
      value = dated_value(flow, rate);
      const double next = rate - value / dated_slope(flow, rate);
      moving = std::fabs(next - rate) > kStill && std::fabs(value) > kStill;
      rate = next;
    }
    if (!moving && std::isfinite(rate) && std::isfinite(value)) return call.finish(rate);
  }
  return Error(Code::argument, "XIRR: no rate was found", 0);
}

Operand effective(Call& call) {
  const double nominal = call.number(0);
  const double periods = floor_as_seen(call.number(1));
  if (call.failed()) return call.failure();
  if (periods < 1 || nominal < 0) return Code::argument;
  return call.finish(nominal == 0 ? 0 : std::pow(1 + nominal / periods, periods) - 1);
}

Operand nominal(Call& call) {
  const double effective_rate = call.number(0);
  const double periods = floor_as_seen(call.number(1));
  if (call.failed()) return call.failure();
  if (periods < 1 || effective_rate <= 0) return Code::argument;
  return call.finish((std::pow(effective_rate + 1, 1 / periods) - 1) * periods);
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

// Prices in fractions: 1.02 in sixteenths is 1 2/16.
Operand fraction_price(Call& call, bool to_decimal) {
  const double price = call.number(0);
  const double parts = std::trunc(call.number(1));
  if (call.failed()) return call.failure();
  constexpr double kMost = std::numeric_limits<std::int32_t>::max();
  if (parts <= 0 || parts > kMost) return Code::argument;
  const double scale = std::pow(10.0, std::ceil(std::log10(parts)));
  const double whole = std::trunc(price);
  const double rest = price - whole;
  return call.finish(whole + (to_decimal ? rest / parts * scale : rest * parts / scale));
}
Operand price_to_decimal(Call& call) { return fraction_price(call, true); }
Operand price_to_fraction(Call& call) { return fraction_price(call, false); }

constexpr StandardFunction kFunctions[] = {
    {"PV", present, 3, 5, "v", Group::small},
    {"FV", future, 3, 5, "v", Group::small},
    {"PMT", payment, 3, 5, "v", Group::small},
    {"NPER", periods, 3, 5, "v", Group::small},
    {"RATE", interest_rate, 3, 6, "v", Group::small},
    {"IPMT", interest, 4, 6, "v", Group::large},
    {"PPMT", principal, 4, 6, "v", Group::large},
    {"CUMIPMT", cumulated_interest, 6, 6, "v", Group::medium},
    {"CUMPRINC", cumulated_principal, 6, 6, "v", Group::medium},
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
