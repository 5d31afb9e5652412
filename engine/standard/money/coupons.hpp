// The coupon dates of securities, and the days between them.
#pragma once

#include <cstdint>

#include "engine/standard/dates/day_count.hpp"

namespace loftledger::standard {

// A security with regular coupons. Coupon k lies k periods before the maturity, on the same day of
// the month, or on the month's last day where it has no such day; where the maturity is the last
// day of its month all coupons are. Coupon 0 is the maturity itself.
struct Bond {
  std::int64_t settlement = 0;  // days; before the maturity
  std::int64_t maturity = 0;
  int coupons_a_year = 1;  // 1, 2 or 4
  Basis basis = Basis::american;
};

// The last coupon day up to the settlement, and the first after it.
std::int64_t coupon_before(const Bond& bond);
std::int64_t coupon_after(const Bond& bond);
// How many coupons are still to be paid.
double coupons_left(const Bond& bond);
// Days from the last coupon to the settlement, from there to the next, and from one to the other.
double days_before_settlement(const Bond& bond);
double days_after_settlement(const Bond& bond);
double days_of_period(const Bond& bond);

}  // namespace loftledger::standard
