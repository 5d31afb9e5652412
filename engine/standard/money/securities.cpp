// Bonds, bills and other securities, after the formulas of OpenFormula 6.12: coupons, prices,
// yields and durations (F. Macaulay's, as in F. J. Fabozzi, Bond Markets, Analysis and Strategies),
// interest and discount without coupons (J. J. Lynch, J. H. Mayle, Standard Securities Calculation
// Methods).
#include <cmath>
#include <cstdint>

#include "engine/standard/call/addin.hpp"
#include "engine/standard/call/serial.hpp"
#include "engine/standard/dates/day_count.hpp"
#include "engine/standard/money/bonds.hpp"
#include "engine/standard/money/cash_flow.hpp"
#include "engine/standard/money/coupons.hpp"
#include "engine/standard/money/functions.hpp"

namespace loftledger::standard {

namespace {

Operand refused() { return Code::argument; }

// --- Coupons

template <auto days>
Operand coupon_days(Call& call) {
  const Bond bond = bond_of(call, 2, 3);
  return call.failed() ? call.failure() : call.finish(days(bond));
}

template <auto day>
Operand coupon_date(Call& call) {
  const Bond bond = bond_of(call, 2, 3);
  return call.failed() ? call.failure() : call.finish(serial_of(call, day(bond)));
}

// --- Bonds with coupons

// What a buyer of the bond gets, and the interest since the last coupon that the price leaves out.
struct Offer {
  CouponStream stream;
  double accrued = 0;
};

Offer offer_of(const Bond& bond, double rate, double redemption) {
  const double period = days_of_period(bond);
  Offer out;
  out.stream.coupon = 100 * rate / bond.coupons_a_year;
  out.stream.count = coupons_left(bond);
  out.stream.to_first = days_after_settlement(bond) / period;
  out.stream.redemption = redemption;
  out.accrued = out.stream.coupon * days_before_settlement(bond) / period;
  return out;
}

// Settlement; maturity; rate; yield or price; redemption; coupons a year; basis.
Operand price(Call& call) {
  const Bond bond = bond_of(call, 5, 6);
  const double rate = call.number(2);
  const double yield = call.number(3);
  const double redemption = call.number(4);
  if (call.failed()) return call.failure();
  if (yield < 0 || rate < 0 || redemption <= 0) return refused();
  const Offer offer = offer_of(bond, rate, redemption);
  return call.finish(offer.stream.worth(std::log1p(yield / bond.coupons_a_year)) - offer.accrued);
}

Operand yield_of(Call& call) {
  const Bond bond = bond_of(call, 5, 6);
  const double rate = call.number(2);
  const double price = call.number(3);
  const double redemption = call.number(4);
  if (call.failed()) return call.failure();
  if (rate < 0 || price <= 0 || redemption <= 0) return refused();
  const Offer offer = offer_of(bond, rate, redemption);
  // At par the yield is the rate.
  const auto force =
      offer.stream.force_of(price + offer.accrued, std::log1p(rate / bond.coupons_a_year));
  return force ? call.finish(rate_of(*force) * bond.coupons_a_year) : refused();
}

// Macaulay's duration in years: the mean time of the payments, each weighted by its worth. Times
// are counted back from the maturity, worths from the first payment, where none is too small.
double duration_of(const Bond& bond, double rate, double yield) {
  const double to_maturity =
      share_of_year(bond.settlement, bond.maturity, bond.basis) * bond.coupons_a_year;
  if (rate == 0) return to_maturity / bond.coupons_a_year;
  const double force = std::log1p(yield / bond.coupons_a_year);
  const double coupon = 100 * rate / bond.coupons_a_year;
  const double last = coupons_left(bond) - 1;
  double worth = 100 * std::exp(-force * last);
  double weighted = worth * to_maturity;
  for (double number = last; number >= 0; --number) {
    const double each = coupon * std::exp(-force * (last - number));
    worth += each;
    weighted += each * (to_maturity - number);
  }
  return weighted / worth / bond.coupons_a_year;
}

// Settlement; maturity; rate; yield; coupons a year; basis.
Operand duration(Call& call, bool modified) {
  const Bond bond = bond_of(call, 4, 5);
  const double rate = call.number(2);
  const double yield = call.number(3);
  if (call.failed()) return call.failure();
  if (rate < 0 || yield < 0) return refused();
  const double out = duration_of(bond, rate, yield);
  return call.finish(modified ? out / (1 + yield / bond.coupons_a_year) : out);
}
Operand macaulay_duration(Call& call) { return duration(call, false); }
Operand modified_duration(Call& call) { return duration(call, true); }

// --- Interest paid once

// The interest on the par value from the issue to the settlement.
struct Accrual {
  std::int64_t issue = 0;
  std::int64_t settlement = 0;
  double rate = 0;
  double par = 0;
  Basis basis = Basis::american;
};

Operand accrued(Call& call, const Accrual& interest) {
  if (call.failed()) return call.failure();
  const auto& [issue, settlement, rate, par, basis] = interest;
  if (rate <= 0 || par <= 0 || issue >= settlement) return refused();
  return call.finish(par * rate * accrued_years(issue, settlement, basis));
}

constexpr double kUsualPar = 1000;

// Issue; first interest, which changes nothing; settlement; rate; par; coupons a year; basis.
Operand accrued_interest(Call& call) {
  const Accrual interest{day_argument(call, 0), day_argument(call, 2), call.number(3),
                         addin_option(call, 4, kUsualPar), basis_argument(call, 6)};
  coupons_argument(call, 5);
  return accrued(call, interest);
}

// Issue; settlement; rate; par; basis.
Operand accrued_at_maturity(Call& call) {
  return accrued(call, {day_argument(call, 0), day_argument(call, 1), call.number(2),
                        addin_option(call, 3, kUsualPar), basis_argument(call, 4)});
}

// Bought once and repaid once. Settlement; maturity; two amounts or rates, both positive; basis.
// The formula has the years between the days and these two.
template <auto years, auto formula>
Operand repaid_once(Call& call) {
  const std::int64_t settlement = day_argument(call, 0);
  const std::int64_t maturity = day_argument(call, 1);
  const double one = call.number(2);
  const double other = call.number(3);
  const Basis basis = basis_argument(call, 4);
  if (call.failed()) return call.failure();
  if (one <= 0 || other <= 0 || settlement >= maturity) return refused();
  return call.finish(formula(years(settlement, maturity, basis), one, other));
}

double received(double years, double invested, double discount) {
  return invested / (1 - discount * years);
}
double discount_rate(double years, double price, double redemption) {
  return (redemption - price) / redemption / years;
}
double simple_yield(double years, double price, double redemption) {
  return (redemption - price) / price / years;
}
double discounted_price(double years, double discount, double redemption) {
  return redemption * (1 - discount * years);
}

// --- Interest paid at maturity

// Interest runs from the issue, and a buyer pays for what has run by the settlement.
struct AtMaturity {
  double rate = 0;
  double given = 0;  // the yield or the price
  double whole = 0;  // years from the issue to the maturity
  double past = 0;   // from the issue to the settlement
  double left = 0;   // from the settlement to the maturity
};

// Settlement; maturity; issue; rate; yield or price; basis.
AtMaturity at_maturity(Call& call) {
  const std::int64_t settlement = day_argument(call, 0);
  const std::int64_t maturity = day_argument(call, 1);
  const std::int64_t issue = day_argument(call, 2);
  const Basis basis = basis_argument(call, 5);
  if (settlement >= maturity) call.fail(Code::argument);
  return {call.number(3), call.number(4), share_of_year(issue, maturity, basis),
          share_of_year(issue, settlement, basis), share_of_year(settlement, maturity, basis)};
}

Operand price_at_maturity(Call& call) {
  const AtMaturity security = at_maturity(call);
  if (call.failed()) return call.failure();
  if (security.rate < 0 || security.given < 0) return refused();
  const double repaid = 1 + security.rate * security.whole;
  const double accrued = security.rate * security.past;
  return call.finish(100 * (repaid / (1 + security.given * security.left) - accrued));
}

Operand yield_at_maturity(Call& call) {
  const AtMaturity security = at_maturity(call);
  if (call.failed()) return call.failure();
  const bool issued = day_argument(call, 2) <= day_argument(call, 0);
  if (security.rate < 0 || security.given <= 0 || !issued) return refused();
  const double repaid = 1 + security.rate * security.whole;
  const double paid = security.given / 100 + security.rate * security.past;
  return call.finish((repaid / paid - 1) / security.left);
}

// --- Treasury bills

// A bill: settlement; maturity; discount or price.
struct Bill {
  std::int64_t settlement = 0;
  std::int64_t maturity = 0;
  double given = 0;
};

Bill bill_of(Call& call) {
  Bill out{day_argument(call, 0), day_argument(call, 1), call.number(2)};
  if (out.given <= 0 || out.settlement > out.maturity) call.fail(Code::argument);
  return out;
}

constexpr double kBillYear = 360;

// The office counts the day of maturity in, and months of thirty days, where the standard has
// actual days; and it refuses bills that then run whole years.
Operand bill_price(Call& call) {
  const Bill bill = bill_of(call);
  if (call.failed()) return call.failure();
  const double days =
      static_cast<double>(days_between(bill.settlement, bill.maturity + 1, Basis::american));
  if (std::fmod(days, kBillYear) == 0) return refused();
  return call.finish(100 * (1 - bill.given * (days / kBillYear)));
}

// The bill's return on its price, over 365 days; the days as DAYS360 counts them.
Operand bill_equivalent(Call& call) {
  const Bill bill = bill_of(call);
  if (call.failed()) return call.failure();
  const auto days = static_cast<double>(days_360(bill.settlement, bill.maturity + 1));
  if (days > kBillYear) return refused();
  return call.finish(365 * bill.given / (kBillYear - bill.given * days));
}

Operand bill_yield(Call& call) {
  const Bill bill = bill_of(call);
  if (call.failed()) return call.failure();
  const double days =
      static_cast<double>(days_between(bill.settlement, bill.maturity, Basis::american)) + 1;
  if (bill.settlement == bill.maturity || days > kBillYear) return refused();
  return call.finish(simple_yield(days / kBillYear, bill.given, 100));
}

// --- Odd last periods

// From the last coupon to the maturity interest is simple (OpenFormula 6.12.33 and 6.12.34).
struct OddLast {
  double given = 0;    // the yield or the price
  double repaid = 0;   // with the interest since the last coupon
  double accrued = 0;  // interest by the settlement
  double years = 0;    // from the settlement to the maturity
};

// Settlement; maturity; last coupon; rate; yield or price; redemption; coupons a year; basis.
OddLast odd_last(Call& call) {
  const Bond bond = bond_of(call, 6, 7);
  const std::int64_t last_coupon = day_argument(call, 2);
  const double rate = call.number(3);
  const double redemption = call.number(5);
  OddLast out{.given = call.number(4)};
  if (rate <= 0 || out.given < 0 || redemption <= 0 || last_coupon >= bond.settlement) {
    call.fail(Code::argument);
  }
  const auto interest = [&](std::int64_t day) {
    return 100 * rate * share_of_year(last_coupon, day, bond.basis);
  };
  out.repaid = redemption + interest(bond.maturity);
  out.accrued = interest(bond.settlement);
  out.years = share_of_year(bond.settlement, bond.maturity, bond.basis);
  return out;
}

Operand odd_last_price(Call& call) {
  const OddLast bond = odd_last(call);
  return call.finish(bond.repaid / (1 + bond.given * bond.years) - bond.accrued);
}

Operand odd_last_yield(Call& call) {
  const OddLast bond = odd_last(call);
  if (call.failed()) return call.failure();
  if (bond.given == 0) return refused();
  return call.finish(simple_yield(bond.years, bond.given + bond.accrued, bond.repaid));
}

constexpr StandardFunction kFunctions[] = {
    {"COUPDAYBS", coupon_days<days_before_settlement>, 3, 4, "iiio", Group::medium, false, 1,
     Counting::addin},
    {"COUPDAYS", coupon_days<days_of_period>, 3, 4, "iiio", Group::medium, false, 1,
     Counting::addin},
    {"COUPDAYSNC", coupon_days<days_after_settlement>, 3, 4, "iiio", Group::medium, false, 1,
     Counting::addin},
    {"COUPNUM", coupon_days<coupons_left>, 3, 4, "iiio", Group::medium, false, 1, Counting::addin},
    {"COUPNCD", coupon_date<coupon_after>, 3, 4, "iiio", Group::medium, false, 1, Counting::addin},
    {"COUPPCD", coupon_date<coupon_before>, 3, 4, "iiio", Group::medium, false, 1, Counting::addin},
    {"PRICE", price, 6, 7, "iinnnio", Group::medium, false, 1, Counting::addin},
    {"YIELD", yield_of, 6, 7, "iinnnio", Group::medium, false, 1, Counting::addin},
    {"DURATION", macaulay_duration, 5, 6, "iinnio", Group::medium, false, 1, Counting::addin},
    {"MDURATION", modified_duration, 5, 6, "iinnio", Group::medium, false, 1, Counting::addin},
    {"ACCRINT", accrued_interest, 6, 7, "iiinoio", Group::medium, false, 1, Counting::addin},
    {"ACCRINTM", accrued_at_maturity, 3, 5, "iinoo", Group::medium, false, 1, Counting::addin},
    {"RECEIVED", repaid_once<accrued_years, received>, 4, 5, "iinno", Group::medium, false, 1,
     Counting::addin},
    {"DISC", repaid_once<share_of_year, discount_rate>, 4, 5, "iinno", Group::medium, false, 1,
     Counting::addin},
    {"INTRATE", repaid_once<accrued_years, simple_yield>, 4, 5, "iinno", Group::medium, false, 1,
     Counting::addin},
    {"PRICEDISC", repaid_once<accrued_years, discounted_price>, 4, 5, "iinno", Group::large, false,
     1, Counting::addin},
    {"YIELDDISC", repaid_once<share_of_year, simple_yield>, 4, 5, "iinno", Group::medium, false, 1,
     Counting::addin},
    {"PRICEMAT", price_at_maturity, 5, 6, "iiinno", Group::medium, false, 1, Counting::addin},
    {"YIELDMAT", yield_at_maturity, 5, 6, "iiinno", Group::medium, false, 1, Counting::addin},
    {"TBILLPRICE", bill_price, 3, 3, "iin", Group::medium, false, 1, Counting::addin},
    {"TBILLEQ", bill_equivalent, 3, 3, "iin", Group::medium, false, 1, Counting::addin},
    {"TBILLYIELD", bill_yield, 3, 3, "iin", Group::medium, false, 1, Counting::addin},
    {"ODDLPRICE", odd_last_price, 7, 8, "iiinnnio", Group::medium, false, 1, Counting::addin},
    {"ODDLYIELD", odd_last_yield, 7, 8, "iiinnnio", Group::medium, false, 1, Counting::addin},
};

}  // namespace

StandardFunctions security_functions() { return kFunctions; }

}  // namespace loftledger::standard
