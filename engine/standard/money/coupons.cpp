// Coupon schedules as the Standard Securities Calculation Methods (J. J. Lynch, J. H. Mayle) and
// OpenFormula 6.12 (COUPDAYBS to COUPPCD) define them. A coupon's date is a function of its number;
// the number of the one before the settlement follows from the months up to the maturity.
#include "engine/standard/money/coupons.hpp"

#include <algorithm>

#include "engine/format/calendar.hpp"

namespace loftledger::standard {

namespace {

// A month, counted from January of the year 0. Unlike std::chrono's years these have no last one.
struct Month {
  explicit Month(std::int64_t count) : number(count) {}
  explicit Month(const Date& date) : number(date.year * 12 + date.month - 1) {}

  Date first() const {
    const std::int64_t in_year = (number % 12 + 12) % 12;
    return {(number - in_year) / 12, static_cast<std::int32_t>(in_year) + 1, 1};
  }
  std::int32_t length() const { return days_in_month(first().year, first().month); }

  std::int64_t number;
};

std::int64_t months_of_period(const Bond& bond) { return 12 / bond.coupons_a_year; }

std::int64_t coupon_date(const Bond& bond, std::int64_t number) {
  const Date maturity = date_of(bond.maturity);
  const Month last(maturity);
  const Month month(last.number - number * months_of_period(bond));
  const bool stays_last = maturity.day == last.length();
  const std::int32_t day = stays_last ? month.length() : std::min(maturity.day, month.length());
  return days_of(month.first()) + day - 1;
}

// The number of the last coupon up to the settlement. Of those that fall into the settlement's
// month or later, the earliest is that coupon or the one after it.
std::int64_t number_before(const Bond& bond) {
  const std::int64_t months =
      Month(date_of(bond.maturity)).number - Month(date_of(bond.settlement)).number;
  const std::int64_t earliest = months / months_of_period(bond);
  return coupon_date(bond, earliest) <= bond.settlement ? earliest : earliest + 1;
}

}  // namespace

std::int64_t coupon_before(const Bond& bond) { return coupon_date(bond, number_before(bond)); }

std::int64_t coupon_after(const Bond& bond) { return coupon_date(bond, number_before(bond) - 1); }

double coupons_left(const Bond& bond) { return static_cast<double>(number_before(bond)); }

double days_before_settlement(const Bond& bond) {
  return static_cast<double>(days_between(coupon_before(bond), bond.settlement, bond.basis));
}

double days_after_settlement(const Bond& bond) {
  // With months of thirty days the two parts of a period make up the whole.
  if (counts_thirties(bond.basis)) return days_of_period(bond) - days_before_settlement(bond);
  return static_cast<double>(coupon_after(bond) - bond.settlement);
}

double days_of_period(const Bond& bond) {
  if (bond.basis == Basis::actual) {
    return static_cast<double>(coupon_after(bond) - coupon_before(bond));
  }
  return days_in_year(bond.basis) / bond.coupons_a_year;
}

}  // namespace loftledger::standard
