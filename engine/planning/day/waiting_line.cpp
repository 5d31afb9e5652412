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

// So many events, and hardly ever more, come where `mean` are expected.
double most_of(double mean) { return mean + 12 * std::sqrt(mean) + 30; }

// The chances of 0, 1, 2 … events where `mean` are expected, until the rest is negligible.
std::vector<double> poisson_chances(double mean) {
  const std::size_t last = static_cast<std::size_t>(std::ceil(most_of(mean)));
  std::vector<double> chances(last + 1);
  for (std::size_t k = 0; k <= last; ++k) {
    const double count = static_cast<double>(k);
    chances[k] = std::exp(count * std::log(mean) - mean - std::lgamma(count + 1));
  }
  return chances;
}

// The chances of every number of guests in the shop, from hour to hour (uniformisation: events come
// at one pace, whether or not they change anything).
class Guests {
 public:
  // From an empty shop; no more than `most` guests are in it at any time.
  Guests(std::size_t most, double service, double limit, double length)
      : service_(service),
        limit_(limit),
        length_(length),
        now_(most + 1, 0.0),
        next_(most + 1, 0.0),
        end_(most + 1),
        during_(most + 1) {
    now_[0] = 1;
  }

  HourResult pass(const Hour& hour) {
    const Weights weights = spread(hour);
    const HourResult out = result(hour, weights);
    begin_next(weights.end);
    return out;
  }

 private:
  // What the chances of all numbers add up to.
  struct Weights {
    double end = 0;
    double during = 0;
  };

  // The chances at the hour's end, and on average during it.
  Weights spread(const Hour& hour) {
    const double pace = hour.rate + static_cast<double>(hour.stations) / service_;
    const std::vector<double> chances = poisson_chances(pace * length_);
    // From the far end, so that the small terms keep their digits.
    std::vector<double> later(chances.size(), 0.0);
    for (std::size_t k = chances.size() - 1; k > 0; --k) later[k - 1] = later[k] + chances[k];

    std::fill(end_.begin(), end_.end(), 0.0);
    std::fill(during_.begin(), during_.end(), 0.0);
    Weights out;
    for (std::size_t k = 0; k < chances.size(); ++k) {
      out.end += chances[k];
      out.during += later[k];
      for (std::size_t n = 0; n < reached_; ++n) {
        end_[n] += chances[k] * now_[n];
        during_[n] += later[k] * now_[n];
      }
      if (k + 1 < chances.size()) take_event(hour, pace);
    }
    return out;
  }

  // The chances behind one event more: somebody comes, or is served, or neither.
  void take_event(const Hour& hour, double pace) {
    const std::size_t states = now_.size();
    const double stations = static_cast<double>(hour.stations);
    reached_ = std::min(states, reached_ + 1);
    for (std::size_t n = 0; n < reached_; ++n) {
      const double busy = std::min(static_cast<double>(n), stations);
      double chance = now_[n] * (stations - busy) / service_;
      if (n > 0) chance += now_[n - 1] * hour.rate;
      if (n + 1 < states) {
        chance += now_[n + 1] * std::min(static_cast<double>(n + 1), stations) / service_;
      } else {
        chance += now_[n] * hour.rate;
      }
      next_[n] = chance / pace;
    }
    std::swap(now_, next_);
  }

  HourResult result(const Hour& hour, const Weights& weights) const {
    const double stations = static_cast<double>(hour.stations);
    HourResult out;
    double wait = 0;
    double within = 0;
    for (std::size_t n = 0; n < reached_; ++n) {
      const std::int64_t ahead = static_cast<std::int64_t>(n) - hour.stations + 1;
      if (ahead <= 0) {
        within += during_[n];
        continue;
      }
      wait += during_[n] * static_cast<double>(ahead) * service_ / stations;
      within += during_[n] * (1 - chance_fewer(ahead, stations * limit_ / service_));
      out.waiting += end_[n] * static_cast<double>(ahead - 1) / weights.end;
    }
    if (hour.rate > 0) {
      out.mean_wait = wait / weights.during;
      out.share_within = within / weights.during;
    }
    return out;
  }

  // The end of one hour is the beginning of the next.
  void begin_next(double weight) {
    std::fill(now_.begin(), now_.end(), 0.0);
    std::fill(next_.begin(), next_.end(), 0.0);
    while (reached_ > 1 && end_[reached_ - 1] < kNothing) --reached_;
    for (std::size_t n = 0; n < reached_; ++n) now_[n] = end_[n] / weight;
  }

  double service_;
  double limit_;
  double length_;
  // By the number of guests:
  std::vector<double> now_;
  std::vector<double> next_;
  std::vector<double> end_;
  std::vector<double> during_;
  std::size_t reached_ = 1;  // how many of them can hold anybody by now
};

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
    jumps += most_of(mean);
  }
  // More guests than this do not come in a day, so no state beyond is ever reached.
  const double most = std::ceil(most_of(guests));
  if (!(most * jumps <= kMostSteps)) return std::nullopt;

  Guests followed(static_cast<std::size_t>(most), service, limit, length);
  std::vector<HourResult> out;
  for (const Hour& hour : hours) out.push_back(followed.pass(hour));
  return out;
}

}  // namespace loftledger::planning
