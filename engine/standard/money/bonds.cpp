// The arguments of securities, and their present value: the coupons as an annuity-due at the first
// of them, in closed form (F. J. Fabozzi, Bond Markets, Analysis and Strategies, the chapter on the
// pricing of bonds; S. G. Kellison, The Theory of Interest, on annuities).
#include "engine/standard/money/bonds.hpp"

#include <cmath>

#include "engine/standard/call/addin.hpp"
#include "engine/standard/call/serial.hpp"
#include "engine/standard/money/annuity.hpp"
#include "engine/standard/money/roots.hpp"

namespace loftledger::standard {

Basis basis_argument(Call& call, std::size_t index) {
  const auto basis = basis_of(addin_option(call, index, 0));
  if (!basis) {
    call.fail(Error(Code::argument, "the basis is 0 to 4", static_cast<int>(index)));
  }
  return basis.value_or(Basis::american);
}

int coupons_argument(Call& call, std::size_t index) {
  const double coupons = std::trunc(call.number(index));
  if (coupons == 1 || coupons == 2 || coupons == 4) return static_cast<int>(coupons);
  call.fail(Error(Code::argument, "the coupons a year are 1, 2 or 4", static_cast<int>(index)));
  return 1;
}

Bond bond_of(Call& call, std::size_t frequency, std::size_t basis) {
  Bond bond;
  bond.settlement = day_argument(call, 0);
  bond.maturity = day_argument(call, 1);
  bond.basis = basis_argument(call, basis);
  bond.coupons_a_year = coupons_argument(call, frequency);
  if (bond.settlement >= bond.maturity) {
    call.fail(Error(Code::argument, "the settlement must be before the maturity", 0));
  }
  return bond;
}

double CouponStream::worth(double force) const {
  const double last = redemption * std::exp(-force * (to_first + count - 1));
  if (coupon == 0 && extra == 0) return last;
  const double coupons = coupon * annuity_due(count, force) + extra;
  return coupons * std::exp(-force * to_first) + last;
}

std::optional<double> CouponStream::force_of(double wanted, double guess) const {
  // The worth falls as the force rises, from beyond all bounds towards nothing.
  return root_near([&](double force) { return worth(force) - wanted; }, guess, kForcesOfInterest,
                   0);
}

}  // namespace loftledger::standard
