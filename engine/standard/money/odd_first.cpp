// Bonds whose first coupon covers an odd period (OpenFormula 6.12.31 and 6.12.32). The office knows
// the names and answers all of them with #VALUE!; these are the values of the Standard Securities
// Calculation Methods, with the odd period counted in quasi-coupon periods.
#include <boost/math/tools/roots.hpp>
#include <cmath>
#include <cstdint>
#include <utility>

#include "engine/standard/call/numbers.hpp"
#include "engine/standard/call/serial.hpp"
#include "engine/standard/money/bonds.hpp"
#include "engine/standard/money/coupons.hpp"
#include "engine/standard/money/functions.hpp"

namespace loftledger::standard {

namespace {

struct OddBond {
  double coupons_a_year = 1;
  double rate = 0;
  double redemption = 0;
  double odd = 0;       // periods from the issue to the first coupon
  double accrued = 0;   // periods from the issue to the settlement
  double to_first = 0;  // periods from the settlement to the first coupon
  double coupons = 0;   // after the first one
};

// Settlement, maturity, issue, first coupon, rate; redemption, coupons a year and basis come last.
OddBond odd_bond(Call& call) {
  const std::int64_t issue = day_argument(call, 2);
  const std::int64_t first = day_argument(call, 3);
  const Bond whole = bond_of(call, 7, 8);
  OddBond out{.coupons_a_year = static_cast<double>(whole.coupons_a_year),
              .rate = call.number(4),
              .redemption = call.number(6)};
  if (call.failed()) return out;
  const bool in_order =
      issue < whole.settlement && whole.settlement < first && first < whole.maturity;
  if (!in_order || out.rate < 0 || out.redemption <= 0) {
    call.fail(
        Error(Code::argument, "issue, settlement, first coupon and maturity follow in order"));
    return out;
  }
  const auto to_first = [&](std::int64_t day) {
    const Bond bond{day, first, whole.coupons_a_year, whole.basis};
    return coupons_left(bond) - 1 + days_after_settlement(bond) / days_of_period(bond);
  };
  out.odd = to_first(issue);
  out.to_first = to_first(whole.settlement);
  out.accrued = out.odd - out.to_first;
  out.coupons = coupons_left({first, whole.maturity, whole.coupons_a_year, whole.basis});
  return out;
}

double price_at(const OddBond& bond, double yield) {
  const double coupon = 100 * bond.rate / bond.coupons_a_year;
  const double growth = 1 + yield / bond.coupons_a_year;
  double price = bond.redemption / std::pow(growth, bond.to_first + bond.coupons);
  price += coupon * bond.odd / std::pow(growth, bond.to_first);
  for (double k = 1; k <= bond.coupons; ++k) price += coupon / std::pow(growth, bond.to_first + k);
  return price - coupon * bond.accrued;
}

Operand price(Call& call) {
  const OddBond bond = odd_bond(call);
  const double yield = call.number(5);
  if (!call.failed() && yield < 0) return Error(Code::argument, "the yield is negative", 5);
  return call.finish(call.failed() ? 0 : price_at(bond, yield));
}

Operand yield_of(Call& call) {
  const OddBond bond = odd_bond(call);
  const double wanted = call.number(5);
  if (call.failed()) return call.failure();
  if (wanted <= 0) return Error(Code::argument, "the price must be above 0", 5);
  // The price falls as the yield rises.
  const auto over = [&](double yield) { return price_at(bond, yield) - wanted; };
  constexpr double kLeast = -0.99;
  double low = over(0) >= 0 ? 0 : kLeast * bond.coupons_a_year;
  double high = 1;
  constexpr double kMost = 1e6;
  while (over(high) > 0 && high < kMost) low = std::exchange(high, high * 2);
  if (over(low) < 0 || over(high) > 0) return Code::argument;
  std::uintmax_t steps = 200;
  const auto span = boost::math::tools::toms748_solve(
      over, low, high, boost::math::tools::eps_tolerance<double>(), steps);
  return call.finish((span.first + span.second) / 2);
}

constexpr StandardFunction kFunctions[] = {
    {"ODDFPRICE", price, 8, 9, "iiiinnnio", Group::medium, false, 1, Counting::addin},
    {"ODDFYIELD", yield_of, 8, 9, "iiiinnnio", Group::medium, false, 1, Counting::addin},
};

}  // namespace

StandardFunctions odd_first_functions() { return kFunctions; }

}  // namespace loftledger::standard
