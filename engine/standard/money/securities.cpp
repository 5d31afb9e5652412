// Bonds, bills and other securities (OpenFormula 6.12), as the office's analysis add-in reckons.
#include <cmath>
#include <cstddef>
#include <cstdint>

#include "engine/standard/call/addin.hpp"
#include "engine/standard/call/numbers.hpp"
#include "engine/standard/call/serial.hpp"
#include "engine/standard/dates/day_count.hpp"
#include "engine/standard/money/bonds.hpp"
#include "engine/standard/money/coupons.hpp"
#include "engine/standard/money/functions.hpp"
#include "engine/standard/values/arithmetic.hpp"

namespace loftledger::standard {

Basis basis_argument(Call& call, std::size_t index) {
  const double basis = std::trunc(addin_option(call, index, 0));
  if (!(basis >= 0 && basis <= 4)) {
    call.fail(Error(Code::argument, "the basis is 0 to 4", static_cast<int>(index)));
    return Basis::american;
  }
  return static_cast<Basis>(static_cast<int>(basis));
}

Bond bond_of(Call& call, std::size_t frequency, std::size_t basis) {
  Bond bond;
  bond.settlement = day_argument(call, 0);
  bond.maturity = day_argument(call, 1);
  const double coupons = std::trunc(call.number(frequency));
  bond.basis = basis_argument(call, basis);
  if (coupons != 1 && coupons != 2 && coupons != 4) {
    call.fail(
        Error(Code::argument, "the coupons a year are 1, 2 or 4", static_cast<int>(frequency)));
    return bond;
  }
  bond.coupons_a_year = static_cast<int>(coupons);
  if (bond.settlement >= bond.maturity) {
    call.fail(Error(Code::argument, "the settlement must be before the maturity", 0));
  }
  return bond;
}

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

double price_at(const Bond& bond, double rate, double yield, double redemption) {
  const double frequency = bond.coupons_a_year;
  const double period = days_of_period(bond);
  const double to_next = days_after_settlement(bond) / period;
  const double count = coupons_left(bond);
  const double coupon = 100 * rate / frequency;
  const double growth = 1 + yield / frequency;
  double price = redemption / std::pow(growth, count - 1 + to_next);
  price -= coupon * days_before_settlement(bond) / period;
  for (double k = 0; k < count; ++k) price += coupon / std::pow(growth, k + to_next);
  return price;
}

Operand price(Call& call) {
  const Bond bond = bond_of(call, 5, 6);
  const double rate = call.number(2);
  const double yield = call.number(3);
  const double redemption = call.number(4);
  if (call.failed()) return call.failure();
  if (yield < 0 || rate < 0 || redemption <= 0) return refused();
  return call.finish(price_at(bond, rate, yield, redemption));
}

Operand yield_of(Call& call) {
  const Bond bond = bond_of(call, 5, 6);
  const double rate = call.number(2);
  const double wanted = call.number(3);
  const double redemption = call.number(4);
  if (call.failed()) return call.failure();
  if (rate < 0 || wanted <= 0 || redemption <= 0) return refused();
  const auto at = [&](double yield) { return price_at(bond, rate, yield, redemption); };
  // The price falls as the yield rises: widen the span until it holds the price, then interpolate.
  constexpr int kMost = 100;
  double low = 0;
  double high = 1;
  double low_price = at(low);
  double high_price = at(high);
  double yield = (high - low) / 2;
  double found = 0;
  for (int i = 0; i < kMost && !nearly_equal(found, wanted); ++i) {
    found = at(yield);
    if (nearly_equal(wanted, low_price)) return low;
    if (nearly_equal(wanted, high_price)) return high;
    if (nearly_equal(wanted, found)) return yield;
    if (wanted < high_price) {
      high *= 2;
      high_price = at(high);
      yield = (high - low) / 2;
      continue;
    }
    if (wanted < found) {
      low = yield;
      low_price = found;
    } else {
      high = yield;
      high_price = found;
    }
    yield = high - (high - low) * ((wanted - high_price) / (low_price - high_price));
  }
  if (std::fabs(wanted - found) > wanted / 100) return refused();
  return call.finish(yield);
}

// Macaulay's duration in years.
double duration_of(const Bond& bond, double rate, double yield) {
  const double frequency = bond.coupons_a_year;
  const double years =
      share_of_year(bond.settlement, bond.maturity, static_cast<std::int64_t>(bond.basis));
  const double count = coupons_left(bond);
  const double offset = years * frequency - count;
  const double coupon = rate * 100 / frequency;
  const double growth = 1 + yield / frequency;
  double weighted = 0;
  double total = 0;
  for (double t = 1; t <= count; ++t) {
    const double paid = t == count ? coupon + 100 : coupon;
    const double worth = paid / std::pow(growth, t + offset);
    weighted += (t + offset) * worth;
    total += worth;
  }
  return weighted / total / frequency;
}

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

// --- Interest and discount without coupons

// The time between two days as interest accrues: unlike share_of_year, the days of thirty-day
// months are not moved to the ends of months, and actual years are as long as the first.
double accrued_years(std::int64_t first, std::int64_t last, Basis basis) {
  if (first > last) return -accrued_years(last, first, basis);
  const auto actual = static_cast<double>(last - first);
  const Date from = date_of(first);
  const Date to = date_of(last);
  switch (basis) {
    case Basis::actual:
      return actual / (leap_year(from.year) ? 366 : 365);
    case Basis::actual_360:
      return actual / 360;
    case Basis::actual_365:
      return actual / 365;
    default:
      break;
  }
  std::int64_t days =
      (to.year - from.year) * 360 + (to.month - from.month) * 30 + (to.day - from.day);
  if (basis == Basis::american && from.month == 2 && to.month != 2 && from.year == to.year) {
    days -= leap_year(from.year) ? 1 : 2;
  }
  return static_cast<double>(days) / 360;
}

double years_between(std::int64_t a, std::int64_t b, Basis basis) {
  return share_of_year(a, b, static_cast<std::int64_t>(basis));
}

// ACCRINT: issue; first interest; settlement; rate; par; coupons a year; basis.
Operand accrued_interest(Call& call) {
  const std::int64_t issue = day_argument(call, 0);
  const std::int64_t settlement = day_argument(call, 2);
  const double rate = call.number(3);
  const double par = addin_option(call, 4, 1000);
  const double coupons = std::trunc(call.number(5));
  const Basis basis = basis_argument(call, 6);
  if (call.failed()) return call.failure();
  if (rate <= 0 || par <= 0 || (coupons != 1 && coupons != 2 && coupons != 4) ||
      issue >= settlement) {
    return refused();
  }
  return call.finish(par * rate * accrued_years(issue, settlement, basis));
}

Operand accrued_at_maturity(Call& call) {
  const std::int64_t issue = day_argument(call, 0);
  const std::int64_t settlement = day_argument(call, 1);
  const double rate = call.number(2);
  const double par = addin_option(call, 3, 1000);
  const Basis basis = basis_argument(call, 4);
  if (call.failed()) return call.failure();
  if (rate <= 0 || par <= 0 || issue >= settlement) return refused();
  return call.finish(par * rate * accrued_years(issue, settlement, basis));
}

// Settlement; maturity; two positive numbers; basis.
struct Discounted {
  std::int64_t settlement = 0;
  std::int64_t maturity = 0;
  double first = 0;
  double second = 0;
  Basis basis = Basis::american;

  double accrued() const { return accrued_years(settlement, maturity, basis); }
  double years() const { return years_between(settlement, maturity, basis); }
};

Discounted discounted(Call& call) {
  Discounted out{day_argument(call, 0), day_argument(call, 1), call.number(2), call.number(3),
                 basis_argument(call, 4)};
  if (!call.failed() && (out.first <= 0 || out.second <= 0 || out.settlement >= out.maturity)) {
    call.fail(Code::argument);
  }
  return out;
}

Operand received(Call& call) {
  const Discounted d = discounted(call);
  return call.finish(d.first / (1 - d.second * d.accrued()));
}
Operand discount(Call& call) {
  const Discounted d = discounted(call);
  return call.finish((1 - d.first / d.second) / d.years());
}
Operand invested_rate(Call& call) {
  const Discounted d = discounted(call);
  return call.finish((d.second / d.first - 1) / d.accrued());
}
Operand discounted_price(Call& call) {
  const Discounted d = discounted(call);
  return call.finish(d.second * (1 - d.first * d.accrued()));
}
Operand discounted_yield(Call& call) {
  const Discounted d = discounted(call);
  return call.finish((d.second / d.first - 1) / d.years());
}

// Interest paid at maturity. Settlement; maturity; issue; rate; yield or price; basis.
Operand at_maturity(Call& call, bool for_price) {
  const std::int64_t settlement = day_argument(call, 0);
  const std::int64_t maturity = day_argument(call, 1);
  const std::int64_t issue = day_argument(call, 2);
  const double rate = call.number(3);
  const double given = call.number(4);
  const Basis basis = basis_argument(call, 5);
  if (call.failed()) return call.failure();
  if (rate < 0 || (for_price ? given < 0 : given <= 0) || settlement >= maturity ||
      (!for_price && issue > settlement)) {
    return refused();
  }
  const double whole = years_between(issue, maturity, basis);
  const double past = years_between(issue, settlement, basis);
  const double left = years_between(settlement, maturity, basis);
  if (for_price) {
    return call.finish(((1 + whole * rate) / (1 + left * given) - past * rate) * 100);
  }
  return call.finish(((1 + whole * rate) / (given / 100 + past * rate) - 1) / left);
}
Operand price_at_maturity(Call& call) { return at_maturity(call, true); }
Operand yield_at_maturity(Call& call) { return at_maturity(call, false); }

// --- Treasury bills

// The days to maturity, the day of maturity included, in months of thirty days.
double bill_days(std::int64_t settlement, std::int64_t maturity) {
  return years_between(settlement, maturity + 1, Basis::american) * 360;
}

Operand bill_price(Call& call) {
  const std::int64_t settlement = day_argument(call, 0);
  const std::int64_t maturity = day_argument(call, 1);
  const double rate = call.number(2);
  if (call.failed()) return call.failure();
  const double years = bill_days(settlement, maturity) / 360;
  if (rate <= 0 || settlement > maturity || years == std::floor(years)) return refused();
  return call.finish(100 * (1 - rate * years));
}

Operand bill_equivalent(Call& call) {
  const std::int64_t settlement = day_argument(call, 0);
  const std::int64_t maturity = day_argument(call, 1);
  const double rate = call.number(2);
  if (call.failed()) return call.failure();
  const double days = bill_days(settlement, maturity);
  if (rate <= 0 || settlement > maturity || days > 360) return refused();
  return call.finish(365 * rate / (360 - rate * days));
}

Operand bill_yield(Call& call) {
  const std::int64_t settlement = day_argument(call, 0);
  const std::int64_t maturity = day_argument(call, 1);
  const double paid = call.number(2);
  if (call.failed()) return call.failure();
  const double days = years_between(settlement, maturity, Basis::american) * 360 + 1;
  if (paid <= 0 || settlement >= maturity || days > 360) return refused();
  return call.finish((100 / paid - 1) / days * 360);
}

// --- Odd last periods

// Settlement; maturity; last coupon; rate; yield or price; redemption; coupons a year; basis.
Operand odd_last(Call& call, bool for_price) {
  Bond bond = bond_of(call, 6, 7);
  const std::int64_t last_coupon = day_argument(call, 2);
  const double rate = call.number(3);
  const double given = call.number(4);
  const double redemption = call.number(5);
  if (call.failed()) return call.failure();
  if (rate <= 0 || given < 0 || (given == 0 && !for_price) || redemption <= 0 ||
      last_coupon >= bond.settlement) {
    return refused();
  }
  const double frequency = bond.coupons_a_year;
  const auto periods = [&](std::int64_t a, std::int64_t b) {
    return years_between(a, b, bond.basis) * frequency;
  };
  const double coupon = 100 * rate / frequency;
  const double worth = redemption + periods(last_coupon, bond.maturity) * coupon;
  const double accrued = periods(last_coupon, bond.settlement) * coupon;
  const double left = periods(bond.settlement, bond.maturity);
  if (for_price) return call.finish(worth / (left * given / frequency + 1) - accrued);
  return call.finish((worth / (given + accrued) - 1) * frequency / left);
}
Operand odd_last_price(Call& call) { return odd_last(call, true); }
Operand odd_last_yield(Call& call) { return odd_last(call, false); }

// --- French depreciation

struct Amortized {
  double cost = 0;
  double salvage = 0;
  double period = 0;
  double rate = 0;
  double first_years = 0;  // from the purchase to the end of the first period
};

Amortized amortized(Call& call) {
  Amortized out;
  out.cost = call.number(0);
  const std::int64_t bought = day_argument(call, 1);
  const std::int64_t first_end = day_argument(call, 2);
  out.salvage = call.number(3);
  out.period = std::floor(call.number(4));
  out.rate = call.number(5);
  const Basis basis = basis_argument(call, 6);
  if (call.failed()) return out;
  if (bought > first_end || out.rate <= 0 || out.cost <= 0 || out.salvage < 0 ||
      out.salvage > out.cost || out.period < 0) {
    call.fail(Code::argument);
  }
  out.first_years = years_between(bought, first_end, basis);
  return out;
}

Operand amortized_linear(Call& call) {
  const Amortized a = amortized(call);
  if (call.failed()) return call.failure();
  const double each = a.cost * a.rate;
  const double first = a.rate * a.first_years * a.cost;
  const double full = std::trunc((a.cost - a.salvage - first) / each);
  double out = 0;
  if (a.period == 0) {
    out = first;
  } else if (a.period <= full) {
    out = each;
  } else if (a.period == full + 1) {
    out = a.cost - a.salvage - each * full - first;
  }
  return call.finish(std::fmax(out, 0));
}

Operand amortized_declining(Call& call) {
  const Amortized a = amortized(call);
  if (call.failed()) return call.failure();
  const double life = 1 / a.rate;
  const double factor = life < 3 ? 1 : life < 5 ? 1.5 : life <= 6 ? 2 : 2.5;
  const double rate = a.rate * factor;
  double written_off = std::round(a.first_years * rate * a.cost);
  double cost = a.cost - written_off;
  double rest = cost - a.salvage;
  for (double period = 0; period < a.period; ++period) {
    written_off = std::round(rate * cost);
    rest -= written_off;
    // The last two periods take half of what is left.
    if (rest < 0) return a.period - period <= 1 ? std::round(cost * 0.5) : 0.0;
    cost -= written_off;
  }
  return call.finish(written_off);
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
    {"RECEIVED", received, 4, 5, "iinno", Group::medium, false, 1, Counting::addin},
    {"DISC", discount, 4, 5, "iinno", Group::medium, false, 1, Counting::addin},
    {"INTRATE", invested_rate, 4, 5, "iinno", Group::medium, false, 1, Counting::addin},
    {"PRICEDISC", discounted_price, 4, 5, "iinno", Group::large, false, 1, Counting::addin},
    {"YIELDDISC", discounted_yield, 4, 5, "iinno", Group::medium, false, 1, Counting::addin},
    {"PRICEMAT", price_at_maturity, 5, 6, "iiinno", Group::medium, false, 1, Counting::addin},
    {"YIELDMAT", yield_at_maturity, 5, 6, "iiinno", Group::medium, false, 1, Counting::addin},
    {"TBILLPRICE", bill_price, 3, 3, "iin", Group::medium, false, 1, Counting::addin},
    {"TBILLEQ", bill_equivalent, 3, 3, "iin", Group::medium, false, 1, Counting::addin},
    {"TBILLYIELD", bill_yield, 3, 3, "iin", Group::medium, false, 1, Counting::addin},
    {"ODDLPRICE", odd_last_price, 7, 8, "iiinnnio", Group::medium, false, 1, Counting::addin},
    {"ODDLYIELD", odd_last_yield, 7, 8, "iiinnnio", Group::medium, false, 1, Counting::addin},
    {"AMORLINC", amortized_linear, 6, 7, "niinnno", Group::large, false, 1, Counting::addin},
    {"AMORDEGRC", amortized_declining, 6, 7, "niinnno", Group::office, false, 1, Counting::addin},
};

}  // namespace

StandardFunctions security_functions() { return kFunctions; }

}  // namespace loftledger::standard
