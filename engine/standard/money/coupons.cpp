#include "engine/standard/money/coupons.hpp"

#include <algorithm>
#include <utility>

namespace loftledger::standard {

namespace {

// A day that keeps its place in the month when months are added: the 31st, or the last day of any
// month, falls on the last day of each. On a basis of thirty days a month the last is the 30th.
class CouponDay {
 public:
  CouponDay(std::int64_t days, Basis basis)
      : thirty_(basis == Basis::american || basis == Basis::european),
        american_(basis == Basis::american) {
    const Date date = date_of(days);
    year_ = date.year;
    month_ = date.month;
    original_ = date.day;
    last_ = original_ >= days_in_month(year_, month_);
    place();
  }

  std::int64_t year() const { return year_; }
  std::int32_t month() const { return month_; }

  void set_year(std::int64_t year) {
    year_ = year;
    place();
  }

  void add_months(std::int32_t months) {
    const std::int64_t from_zero = year_ * 12 + (month_ - 1) + months;
    year_ = from_zero / 12;
    month_ = static_cast<std::int32_t>(from_zero % 12) + 1;
    place();
  }

  std::int64_t days() const {
    const std::int32_t end = days_in_month(year_, month_);
    return days_of({year_, month_, last_ ? end : std::min(end, original_)});
  }

  bool operator<(const CouponDay& other) const {
    if (year_ != other.year_) return year_ < other.year_;
    if (month_ != other.month_) return month_ < other.month_;
    if (day_ != other.day_) return day_ < other.day_;
    if (last_ || other.last_) return !last_ && other.last_;
    return original_ < other.original_;
  }

  // The days from one to the other, whichever is the earlier.
  static double between(const CouponDay& a, const CouponDay& b) {
    if (b < a) return between(b, a);
    const std::int32_t from = a.first_day();
    const std::int32_t to = b.last_day(a);
    if (a.thirty_) {
      const std::int64_t months = (b.year_ - a.year_) * 12 + (b.month_ - a.month_);
      return static_cast<double>(std::max<std::int64_t>(months * 30 + to - from, 0));
    }
    return static_cast<double>(days_of({b.year_, b.month_, to}) -
                               days_of({a.year_, a.month_, from}));
  }

 private:
  void place() {
    const std::int32_t end = days_in_month(year_, month_);
    if (thirty_) {
      day_ = last_ || std::min(original_, 30) >= end ? 30 : std::min(original_, 30);
    } else {
      day_ = last_ ? end : std::min(original_, end);
    }
  }

  // In Europe the last day of February stays what it is, at either end of a span.
  std::int32_t first_day() const {
    const bool february = thirty_ && !american_ && month_ == 2 && day_ == 30;
    return february ? days_in_month(year_, 2) : day_;
  }

  std::int32_t last_day(const CouponDay& first) const {
    if (!thirty_ || !american_) return first_day();
    // In the USA a span that begins before the 30th ends on a 31st.
    if ((first.month_ == 2 || first.day_ < 30) && original_ == 31) return 31;
    if (month_ == 2 && last_) return days_in_month(year_, 2);
    return day_;
  }

  std::int64_t year_ = 0;
  std::int32_t month_ = 1;
  std::int32_t original_ = 1;
  std::int32_t day_ = 1;
  bool last_ = false;
  bool thirty_ = false;
  bool american_ = false;
};

std::int32_t months_between_coupons(const Bond& bond) { return 12 / bond.coupons_a_year; }

CouponDay settlement(const Bond& bond) { return {bond.settlement, bond.basis}; }

CouponDay before(const Bond& bond) {
  CouponDay day(bond.maturity, bond.basis);
  const CouponDay settled = settlement(bond);
  day.set_year(settled.year());
  if (day < settled) day.set_year(day.year() + 1);
  while (settled < day) day.add_months(-months_between_coupons(bond));
  return day;
}

CouponDay after(const Bond& bond) {
  CouponDay day(bond.maturity, bond.basis);
  const CouponDay settled = settlement(bond);
  day.set_year(settled.year());
  if (settled < day) day.set_year(day.year() - 1);
  while (!(settled < day)) day.add_months(months_between_coupons(bond));
  return day;
}

}  // namespace

std::int64_t coupon_before(const Bond& bond) { return before(bond).days(); }

std::int64_t coupon_after(const Bond& bond) { return after(bond).days(); }

double coupons_left(const Bond& bond) {
  const CouponDay first = before(bond);
  const CouponDay last(bond.maturity, bond.basis);
  const std::int64_t months = (last.year() - first.year()) * 12 + last.month() - first.month();
  return static_cast<double>(months * bond.coupons_a_year / 12);
}

double days_before_settlement(const Bond& bond) {
  return CouponDay::between(before(bond), settlement(bond));
}

double days_after_settlement(const Bond& bond) {
  const bool thirty = bond.basis == Basis::american || bond.basis == Basis::european;
  if (thirty) return days_of_period(bond) - days_before_settlement(bond);
  return CouponDay::between(settlement(bond), after(bond));
}

double days_of_period(const Bond& bond) {
  if (bond.basis == Basis::actual) {
    const CouponDay first = before(bond);
    CouponDay next = first;
    next.add_months(months_between_coupons(bond));
    return CouponDay::between(first, next);
  }
  const double year = bond.basis == Basis::actual_365 ? 365 : 360;
  return year / bond.coupons_a_year;
}

}  // namespace loftledger::standard
