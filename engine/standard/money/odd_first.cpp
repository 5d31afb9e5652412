// Bonds whose first coupon covers an odd period (OpenFormula 6.12.31 and 6.12.32). The office knows
// the names and answers all of them with #VALUE!; these are the values of the Standard Securities
// Calculation Methods (J. J. Lynch, J. H. Mayle), with the odd period counted in quasi-coupon
// periods back from the first coupon.
#include <cmath>
#include <cstdint>

#include "engine/standard/call/serial.hpp"
#include "engine/standard/money/bonds.hpp"
#include "engine/standard/money/cash_flow.hpp"
#include "engine/standard/money/coupons.hpp"
#include "engine/standard/money/functions.hpp"

namespace loftledger::standard {

namespace {

struct OddBond {
  CouponStream stream;
  double coupons_a_year = 1;
  double accrued = 0;  // interest since the issue
};

// Settlement, maturity, issue, first coupon, rate; redemption, coupons a year and basis come last.
OddBond odd_bond(Call& call) {
  const std::int64_t issue = day_argument(call, 2);
  const std::int64_t first = day_argument(call, 3);
  const Bond whole = bond_of(call, 7, 8);
  const double rate = call.number(4);
  OddBond out;
  out.coupons_a_year = whole.coupons_a_year;
  out.stream.redemption = call.number(6);
  if (call.failed()) return out;
  const bool in_order =
      issue < whole.settlement && whole.settlement < first && first < whole.maturity;
  if (!in_order || rate < 0 || out.stream.redemption <= 0) {
    call.fail(
        Error(Code::argument, "issue, settlement, first coupon and maturity follow in order"));
    return out;
  }
  const auto periods_to_first = [&](std::int64_t day) {
    const Bond bond{day, first, whole.coupons_a_year, whole.basis};
    return coupons_left(bond) - 1 + days_after_settlement(bond) / days_of_period(bond);
  };
  const double odd = periods_to_first(issue);
  out.stream.coupon = 100 * rate / out.coupons_a_year;
  out.stream.to_first = periods_to_first(whole.settlement);
  out.stream.extra = out.stream.coupon * (odd - 1);
  out.stream.count = 1 + coupons_left({first, whole.maturity, whole.coupons_a_year, whole.basis});
  out.accrued = out.stream.coupon * (odd - out.stream.to_first);
  return out;
}

Operand price(Call& call) {
  const OddBond bond = odd_bond(call);
  const double yield = call.number(5);
  if (call.failed()) return call.failure();
  if (yield < 0) return Error(Code::argument, "the yield is negative", 5);
  return call.finish(bond.stream.worth(std::log1p(yield / bond.coupons_a_year)) - bond.accrued);
}

Operand yield_of(Call& call) {
  const OddBond bond = odd_bond(call);
  const double price = call.number(5);
  if (call.failed()) return call.failure();
  if (price <= 0) return Error(Code::argument, "the price must be above 0", 5);
  constexpr double kUsual = 0.05;
  const auto force =
      bond.stream.force_of(price + bond.accrued, std::log1p(kUsual / bond.coupons_a_year));
  if (!force) return Error(Code::argument, "no yield leads to the price", 5);
  return call.finish(rate_of(*force) * bond.coupons_a_year);
}

constexpr StandardFunction kFunctions[] = {
    {"ODDFPRICE", price, 8, 9, "iiiinnnio", Group::medium, false, 1, Counting::addin},
    {"ODDFYIELD", yield_of, 8, 9, "iiiinnnio", Group::medium, false, 1, Counting::addin},
};

}  // namespace

StandardFunctions odd_first_functions() { return kFunctions; }

}  // namespace loftledger::standard
