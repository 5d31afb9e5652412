// What functions of securities share: their arguments, and the worth of a stream of coupons.
#pragma once

#include <cstddef>
#include <optional>

#include "engine/standard/call/call.hpp"
#include "engine/standard/money/coupons.hpp"

namespace loftledger::standard {

// 0 to 4, 0 where it is left out.
Basis basis_argument(Call& call, std::size_t index);

// 1, 2 or 4.
int coupons_argument(Call& call, std::size_t index);

// Settlement and maturity are the first two arguments.
Bond bond_of(Call& call, std::size_t frequency, std::size_t basis);

// Coupons a period apart, the first after a part of a period, and what is repaid with the last;
// for a security of 100.
struct CouponStream {
  double coupon = 0;
  double count = 0;     // of coupons, the first included
  double to_first = 0;  // periods to the first
  double extra = 0;     // what the first coupon pays more than the others
  double redemption = 0;

  // The worth now where money grows by exp(force) in a period.
  double worth(double force) const;
  // The force at which the stream has that worth, near the guess; nothing where there is none.
  std::optional<double> force_of(double wanted, double guess) const;
};

}  // namespace loftledger::standard
