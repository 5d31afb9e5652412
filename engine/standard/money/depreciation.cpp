// Depreciation (OpenFormula 6.12): straight line, sum of the years' digits, declining balance and
// the two schedules of the French code. A schedule is what is left of the cost after so much time,
// or what a whole period writes off; parts of a period take their share of it.
#include <algorithm>
#include <cmath>
#include <cstdint>

#include "engine/standard/call/serial.hpp"
#include "engine/standard/dates/day_count.hpp"
#include "engine/standard/money/bonds.hpp"
#include "engine/standard/money/functions.hpp"
#include "engine/standard/values/arithmetic.hpp"

namespace loftledger::standard {

namespace {

struct Asset {
  double cost = 0;
  double salvage = 0;
  double life = 0;
};

Asset asset_of(Call& call) { return {call.number(0), call.number(1), call.number(2)}; }

// What a rate of decline leaves of 1 after so many periods; a rate of 1 leaves nothing of any.
double remaining(double rate, double periods) {
  if (rate == 1) return periods == 0 ? 1 : 0;
  return std::exp(periods * std::log1p(-rate));
}

Operand straight_line(Call& call) {
  const Asset asset = asset_of(call);
  if (call.failed()) return call.failure();
  if (asset.life == 0) return Error(Code::division, "SLN: the life is 0", 2);
  return call.finish((asset.cost - asset.salvage) / asset.life);
}

Operand sum_of_years(Call& call) {
  const Asset asset = asset_of(call);
  const double period = call.number(3);
  const double digits = asset.life * (asset.life + 1) / 2;
  return call.finish((asset.cost - asset.salvage) * (asset.life + 1 - period) / digits);
}

// --- DB

// By a fixed rate, rounded to three decimals, that would leave the salvage after the whole life.
// The first year has so many months, and the year beyond the life those that it lacks.
Operand fixed_declining(Call& call) {
  const Asset asset = asset_of(call);
  const double period = call.number(3);
  const double months = floor_as_seen(call.number(4, 12.0));
  if (call.failed()) return call.failure();
  constexpr double kLongest = 1200;
  if (months < 1 || months > 12 || asset.life > kLongest || asset.life <= 0 || period <= 0 ||
      period > asset.life + 1 || asset.salvage < 0 || asset.salvage > asset.cost ||
      asset.cost <= 0) {
    return Code::argument;
  }
  const double exact = 1 - std::pow(asset.salvage / asset.cost, 1 / asset.life);
  const double rate = floor_as_seen(exact * 1000 + 0.5) / 1000;
  const double first_year = rate * months / 12;
  const double year = floor_as_seen(period);
  if (year == 1) return call.finish(asset.cost * first_year);
  // What is left at the beginning of that year of full length.
  const auto left = [&](double before) {
    return asset.cost * (1 - first_year) * remaining(rate, std::max(before - 2, 0.0));
  };
  if (period > asset.life) {
    return call.finish(left(floor_as_seen(asset.life) + 1) * rate * (12 - months) / 12);
  }
  return call.finish(year < 1 ? 0 : left(year) * rate);
}

// --- DDB and VDB

// The balance declines by a constant rate, but not below the salvage.
class DecliningBalance {
 public:
  DecliningBalance(const Asset& asset, double factor)
      : asset_(asset), rate_(std::min(factor / asset.life, 1.0)) {}

  double before(double period) const { return floored(unbounded(period - 1)); }

  // What the period writes off.
  double charge(double period) const {
    const double balance = unbounded(period - 1);
    return std::max(std::min(balance * rate_, balance - asset_.salvage), 0.0);
  }

  // The same of the periods from the first to the last together.
  double charges(double first, double last) const {
    return last < first ? 0 : before(first) - before(last + 1);
  }

 private:
  double unbounded(double periods) const { return asset_.cost * remaining(rate_, periods); }
  double floored(double balance) const { return std::max(balance, asset_.salvage); }

  Asset asset_;
  double rate_;
};

Operand double_declining(Call& call) {
  const Asset asset = asset_of(call);
  const double period = call.number(3);
  const double factor = call.number(4, 2.0);
  if (call.failed()) return call.failure();
  if (asset.cost < 0 || asset.salvage < 0 || factor <= 0 || asset.salvage > asset.cost ||
      period < 1 || period > asset.life) {
    return Code::argument;
  }
  return call.finish(DecliningBalance(asset, factor).charge(period));
}

// The declining balance, which goes over to the straight line for what is then left of the life as
// soon as that writes off more. From there on it always does (the line's share of the balance grows
// from period to period, the decline's stays), so that halving finds the period.
class SwitchingBalance {
 public:
  SwitchingBalance(const Asset& asset, double factor, bool switches)
      : asset_(asset), declining_(asset, factor), first_straight_(std::ceil(asset.life) + 1) {
    if (!switches) return;
    double before = 0;
    while (first_straight_ - before > 1) {
      const double middle = std::floor(before + (first_straight_ - before) / 2);
      // Beyond 2^53 there are no periods between.
      if (middle == before || middle == first_straight_) break;
      (straight(middle) > declining_.charge(middle) ? first_straight_ : before) = middle;
    }
    each_ = straight(first_straight_);
  }

  double charge(double period) const {
    return period < first_straight_ ? declining_.charge(period) : each_;
  }

  double charges(double first, double last) const {
    if (last < first) return 0;
    const double straight_ones = std::max(last - std::max(first, first_straight_) + 1, 0.0);
    return declining_.charges(first, std::min(last, first_straight_ - 1)) +
           (straight_ones > 0 ? each_ * straight_ones : 0);
  }

 private:
  double straight(double period) const {
    return (declining_.before(period) - asset_.salvage) / (asset_.life - (period - 1));
  }

  Asset asset_;
  DecliningBalance declining_;
  double first_straight_;
  double each_ = 0;
};

Operand variable_declining(Call& call) {
  const Asset asset = asset_of(call);
  const double start = call.number(3);
  const double end = call.number(4);
  const double factor = call.number(5, 2.0);
  const bool no_switch = call.truth(6, false);
  if (call.failed()) return call.failure();
  if (start < 0 || end < start || end > asset.life || asset.cost < 0 ||
      asset.salvage > asset.cost || factor <= 0) {
    return Code::argument;
  }
  if (start == end) return 0.0;
  const SwitchingBalance schedule(asset, factor, !no_switch);
  // The periods that begin before the start and that end after the end count in part.
  const double first = std::min(floor_as_seen(start) + 1, std::ceil(asset.life));
  const double last = ceiling_as_seen(end);
  if (last <= first) return call.finish(schedule.charge(first) * (end - start));
  return call.finish(schedule.charge(first) * (first - start) +
                     schedule.charges(first + 1, last - 1) +
                     schedule.charge(last) * (end - (last - 1)));
}

// --- The French schedules

struct Amortized {
  double cost = 0;
  double salvage = 0;
  double period = 0;       // from 0 on
  double rate = 0;         // of the straight line
  double first_years = 0;  // from the purchase to the end of the first period
};

// Cost; purchase; end of the first period; salvage; period; rate; basis.
Amortized amortized(Call& call) {
  const std::int64_t bought = day_argument(call, 1);
  const std::int64_t first_end = day_argument(call, 2);
  const Basis basis = basis_argument(call, 6);
  const Amortized out{call.number(0), call.number(3), std::floor(call.number(4)), call.number(5),
                      share_of_year(bought, first_end, basis)};
  if (bought > first_end || out.rate <= 0 || out.cost <= 0 || out.salvage < 0 ||
      out.salvage > out.cost || out.period < 0) {
    call.fail(Code::argument);
  }
  return out;
}

// The same amount in each period, less in the first, which may be short, and what is left in the
// last.
Operand amortized_linear(Call& call) {
  const Amortized asset = amortized(call);
  if (call.failed()) return call.failure();
  const double each = asset.cost * asset.rate;
  const double first = each * asset.first_years;
  if (asset.period == 0) return call.finish(first);
  const double left = asset.cost - asset.salvage - first - each * (asset.period - 1);
  return call.finish(std::clamp(left, 0.0, each));
}

// The coefficient of the French declining balance (amortissement dégressif, Code général des
// impôts, article 39 A) by the length of the life in years: the older ones, which the office has.
double declining_coefficient(double life) {
  if (life > 6) return 2.5;
  if (life >= 5) return 2;
  return life >= 3 ? 1.5 : 1;
}

// Whole amounts. The first that would go below the salvage is half of what is left instead, and the
// last.
Operand amortized_declining(Call& call) {
  const Amortized asset = amortized(call);
  if (call.failed()) return call.failure();
  const double rate = asset.rate * declining_coefficient(1 / asset.rate);
  double balance = asset.cost;
  double charge = std::round(balance * rate * asset.first_years);
  constexpr double kMostPeriods = 10'000'000;
  for (double period = 1; period <= asset.period; ++period) {
    if (period > kMostPeriods) return Error(Code::argument, "AMORDEGRC: too many periods", 4);
    balance -= charge;
    charge = std::round(balance * rate);
    if (balance - charge < asset.salvage) {
      return call.finish(period == asset.period ? std::round(balance / 2) : 0);
    }
    if (charge == 0) return 0.0;
  }
  return call.finish(charge);
}

constexpr StandardFunction kFunctions[] = {
    {"SLN", straight_line, 3, 3, "v", Group::small},
    {"SYD", sum_of_years, 4, 4, "v", Group::small},
    {"DB", fixed_declining, 4, 5, "v", Group::medium},
    {"DDB", double_declining, 4, 5, "v", Group::small},
    {"VDB", variable_declining, 5, 7, "v", Group::medium},
    {"AMORLINC", amortized_linear, 6, 7, "niinnno", Group::large, false, 1, Counting::addin},
    {"AMORDEGRC", amortized_declining, 6, 7, "niinnno", Group::office, false, 1, Counting::addin},
};

}  // namespace

StandardFunctions depreciation_functions() { return kFunctions; }

}  // namespace loftledger::standard
