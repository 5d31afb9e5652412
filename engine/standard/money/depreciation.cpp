// Depreciation (OpenFormula 6.12).
#include <algorithm>
#include <cmath>

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

Operand straight_line(Call& call) {
  const Asset asset = asset_of(call);
  if (call.failed()) return call.failure();
  if (asset.life == 0) return Error(Code::division, "SLN: the life is 0", 2);
  return call.finish((asset.cost - asset.salvage) / asset.life);
}

Operand sum_of_years(Call& call) {
  const Asset asset = asset_of(call);
  const double period = call.number(3);
  return call.finish((asset.cost - asset.salvage) * (asset.life - period + 1) /
                     (asset.life * (asset.life + 1) / 2));
}

// By a fixed rate that is rounded to three decimals; the first year may be short.
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
  const double first = asset.cost * rate * months / 12;
  if (floor_as_seen(period) == 1) return call.finish(first);
  double written_off = first;
  double last = 0;
  const double full_years = floor_as_seen(std::min(asset.life, period));
  for (double year = 2; year <= full_years; ++year) {
    last = (asset.cost - written_off) * rate;
    written_off += last;
  }
  if (period > asset.life) last = (asset.cost - written_off) * rate * (12 - months) / 12;
  return call.finish(last);
}

// One period of the double-declining balance.
double declining(const Asset& asset, double period, double factor) {
  const double rate = std::min(factor / asset.life, 1.0);
  double before = asset.cost * std::pow(1 - rate, period - 1);
  if (rate == 1) before = period == 1 ? asset.cost : 0;
  const double after = std::max(asset.cost * std::pow(1 - rate, period), asset.salvage);
  return std::max(before - after, 0.0);
}

Operand double_declining(Call& call) {
  const Asset asset = asset_of(call);
  const double period = call.number(3);
  const double factor = call.number(4, 2.0);
  if (call.failed()) return call.failure();
  if (asset.cost < 0 || asset.salvage < 0 || factor <= 0 || asset.salvage > asset.cost ||
      period < 1 || period > asset.life) {
    return Code::argument;
  }
  return call.finish(declining(asset, period, factor));
}

// From the start up to `end`, going over to the straight line over what is left of `life_left` as
// soon as that writes off more.
double declining_or_straight(const Asset& asset, double life_left, double end, double factor) {
  const double last = ceiling_as_seen(end);
  double to_write_off = asset.cost - asset.salvage;
  double straight = 0;
  bool switched = false;
  double total = 0;
  for (double period = 1; period <= last; ++period) {
    double part = straight;
    if (!switched) {
      part = declining(asset, period, factor);
      straight = to_write_off / (life_left - (period - 1));
      if (straight > part) {
        part = straight;
        switched = true;
      } else {
        to_write_off -= part;
      }
    }
    total += period == last ? part * (end + 1 - last) : part;
  }
  return total;
}

// What the whole period writes off in which a part of one begins or ends.
double within_period(const Asset& asset, double period_start, double factor) {
  Asset rest = asset;
  rest.cost -= declining_or_straight(asset, asset.life, period_start, factor);
  return declining_or_straight(rest, asset.life - period_start, 1, factor);
}

double without_switch(const Asset& asset, double start, double end, double factor) {
  const double first = floor_as_seen(start);
  const double last = ceiling_as_seen(end);
  double total = 0;
  for (double period = first + 1; period <= last; ++period) {
    double part = declining(asset, period, factor);
    if (period == first + 1) {
      part *= std::min(end, first + 1) - start;
    } else if (period == last) {
      part *= end + 1 - last;
    }
    total += part;
  }
  return total;
}

double with_switch(const Asset& asset, double start, double end, double factor) {
  const double first = floor_as_seen(start);
  const double last = ceiling_as_seen(end);
  double outside = 0;
  if (!nearly_equal(start, first)) outside += (start - first) * within_period(asset, first, factor);
  if (!nearly_equal(end, last)) outside += (last - end) * within_period(asset, last - 1, factor);
  Asset rest = asset;
  rest.cost -= declining_or_straight(asset, asset.life, first, factor);
  return declining_or_straight(rest, asset.life - first, last - first, factor) - outside;
}

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
  return call.finish(no_switch ? without_switch(asset, start, end, factor)
                               : with_switch(asset, start, end, factor));
}

constexpr StandardFunction kFunctions[] = {
    {"SLN", straight_line, 3, 3, "v", Group::small},
    {"SYD", sum_of_years, 4, 4, "v", Group::small},
    {"DB", fixed_declining, 4, 5, "v", Group::medium},
    {"DDB", double_declining, 4, 5, "v", Group::small},
    {"VDB", variable_declining, 5, 7, "v", Group::medium},
};

}  // namespace

StandardFunctions depreciation_functions() { return kFunctions; }

}  // namespace loftledger::standard
