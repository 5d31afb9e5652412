#include "engine/planning/day/waiting_line.hpp"

#include <algorithm>
#include <cmath>

#include "engine/planning/common/chance.hpp"

namespace loftledger::planning {

namespace {

// Keeps the following of a day below a second, whatever the day.
constexpr double kMostSteps = 1e8;
// Chances below this are dropped from the far end of a distribution after each hour.
constexpr double kNothing = 1e-18;

// The chances of 0, 1, 2 … events where `mean` are expected, until the rest is negligible.
std::vector<double> poisson_chances(double mean) {
  const std::size_t last = static_cast<std::size_t>(std::ceil(mean + 12 * std::sqrt(mean) + 30));
  std::vector<double> chances(last + 1);
  for (std::size_t k = 0; k <= last; ++k) {
    const double count = static_cast<double>(k);
    chances[k] = std::exp(count * std::log(mean) - mean - std::lgamma(count + 1));
  }
  return chances;
}

}  // namespace

double erlang_b(double load, std::int64_t stations) {
  double blocked = 1;
  for (std::int64_t n = 1; n <= stations; ++n) {
    const double offered = load * blocked;
    blocked = offered / (static_cast<double>(n) + offered);
  }
  return blocked;
}

double erlang_c(double load, std::int64_t stations) {
  const double blocked = erlang_b(load, stations);
  return blocked / (1 - load / static_cast<double>(stations) * (1 - blocked));
}

double mean_wait(const Queue& q) {
  if (q.load() <= 0) return 0;
  return erlang_c(q.load(), q.stations) * q.service / (static_cast<double>(q.stations) - q.load());
}

double share_within(const Queue& q, double limit) {
  if (q.load() <= 0) return 1;
  const double spare = static_cast<double>(q.stations) - q.load();
  return 1 - erlang_c(q.load(), q.stations) * std::exp(-spare * limit / q.service);
}

std::int64_t stations_for(double rate, double service, double limit, double share) {
  const double load = rate * service;
  if (load <= 0) return 0;
  double blocked = 1;
  for (std::int64_t n = 1;; ++n) {
    const double stations = static_cast<double>(n);
    const double offered = load * blocked;
    blocked = offered / (stations + offered);
    if (load >= stations) continue;
    const double wait = blocked / (1 - load / stations * (1 - blocked));
    if (1 - wait * std::exp(-(stations - load) * limit / service) >= share) return n;
  }
}

RoomResult with_room(const Queue& q, std::int64_t waiting) {
  RoomResult out;
  const double load = q.load();
  if (load <= 0) return out;
  const double ratio = load / static_cast<double>(q.stations);
  const double blocked = erlang_b(load, q.stations);
  // Chances with 0, 1 … `waiting` guests waiting run as powers of the ratio. They are summed from
  // the larger end, in units of the largest, so that nothing overflows. `rest` is the chance of a
  // free station in the same units.
  double sum = 0;
  double queue = 0;
  double term = 1;
  double full = 0;
  double rest = 0;
  if (ratio <= 1) {
    for (std::int64_t n = 0; n <= waiting; ++n) {
      sum += term;
      queue += static_cast<double>(n) * term;
      full = term;
      term *= ratio;
    }
    rest = (1 - blocked) / blocked;
  } else {
    full = term;
    for (std::int64_t n = waiting; n >= 0; --n) {
      sum += term;
      queue += static_cast<double>(n) * term;
      if (n > 0) term /= ratio;
    }
    rest = term * (1 - blocked) / blocked;
  }
  const double all = sum + rest;
  out.turned_away = full / all;
  out.waiting = queue / all;
  out.mean_wait = out.waiting / (q.rate * (1 - out.turned_away));
  return out;
}

std::optional<std::vector<HourResult>> follow_day(std::span<const Hour> hours, double service,
                                                  double limit, double length) {
  double guests = 0;
  double jumps = 0;
  for (const Hour& hour : hours) {
    guests += hour.rate * length;
    const double mean = (hour.rate + static_cast<double>(hour.stations) / service) * length;
    jumps += mean + 12 * std::sqrt(mean) + 30;
  }
  // More guests than this do not come in a day, so no state beyond is ever reached.
  const double most = std::ceil(guests + 12 * std::sqrt(guests) + 30);
  if (!(most * jumps <= kMostSteps)) return std::nullopt;

  const std::size_t states = static_cast<std::size_t>(most) + 1;
  std::vector<double> now(states, 0.0);
  now[0] = 1;
  std::size_t reached = 1;  // states that can hold anybody by now
  std::vector<double> next(states, 0.0);
  std::vector<double> end(states);
  std::vector<double> during(states);
  std::vector<HourResult> out;
  for (const Hour& hour : hours) {
    const double stations = static_cast<double>(hour.stations);
    const double pace = hour.rate + stations / service;  // of all events together
    const std::vector<double> chances = poisson_chances(pace * length);
    // From the far end, so that the small terms keep their digits.
    std::vector<double> later(chances.size(), 0.0);
    for (std::size_t k = chances.size() - 1; k > 0; --k) later[k - 1] = later[k] + chances[k];

    std::fill(end.begin(), end.end(), 0.0);
    std::fill(during.begin(), during.end(), 0.0);
    double end_weight = 0;
    double during_weight = 0;
    for (std::size_t k = 0; k < chances.size(); ++k) {
      end_weight += chances[k];
      during_weight += later[k];
      for (std::size_t n = 0; n < reached; ++n) {
        end[n] += chances[k] * now[n];
        during[n] += later[k] * now[n];
      }
      if (k + 1 == chances.size()) break;
      reached = std::min(states, reached + 1);
      for (std::size_t n = 0; n < reached; ++n) {
        const double busy = std::min(static_cast<double>(n), stations);
        double chance = now[n] * (stations - busy) / service;
        if (n > 0) chance += now[n - 1] * hour.rate;
        if (n + 1 < states) {
          chance += now[n + 1] * std::min(static_cast<double>(n + 1), stations) / service;
        } else {
          chance += now[n] * hour.rate;
        }
        next[n] = chance / pace;
      }
      std::swap(now, next);
    }

    HourResult result;
    double wait = 0;
    double within = 0;
    for (std::size_t n = 0; n < reached; ++n) {
      const std::int64_t ahead = static_cast<std::int64_t>(n) - hour.stations + 1;
      if (ahead <= 0) {
        within += during[n];
        continue;
      }
      wait += during[n] * static_cast<double>(ahead) * service / stations;
      within += during[n] * (1 - chance_fewer(ahead, stations * limit / service));
      result.waiting += end[n] * static_cast<double>(ahead - 1) / end_weight;
    }
    if (hour.rate > 0) {
      result.mean_wait = wait / during_weight;
      result.share_within = within / during_weight;
    }
    out.push_back(result);
    std::fill(now.begin(), now.end(), 0.0);
    std::fill(next.begin(), next.end(), 0.0);
    while (reached > 1 && end[reached - 1] < kNothing) --reached;
    for (std::size_t n = 0; n < reached; ++n) now[n] = end[n] / end_weight;
  }
  return out;
}

}  // namespace loftledger::planning
