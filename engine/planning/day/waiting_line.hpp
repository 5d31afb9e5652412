// Guests who wait for a station: numbers only, in one unit of time throughout.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <vector>

namespace loftledger::planning {

// Guests arrive at random at `rate`; each of `stations` serves one at a time in `service` on
// average, for an exponentially distributed time. The load is rate x service.
struct Queue {
  double rate = 0;
  double service = 0;
  std::int64_t stations = 1;

  double load() const { return rate * service; }
  // Without it the queue grows for ever.
  bool steady() const { return load() < static_cast<double>(stations); }
};

// Erlang's loss formula: the chance that all stations are taken and a guest is turned away.
double erlang_b(double load, std::int64_t stations);
// Erlang's delay formula: the chance that a guest has to wait. Needs load < stations.
double erlang_c(double load, std::int64_t stations);

// Mean wait before a station is free. Needs a steady queue.
double mean_wait(const Queue& queue);
// The chance that the wait is `limit` at most. Needs a steady queue.
double share_within(const Queue& queue, double limit);
// The fewest stations that serve that share within the limit; 0 where nobody comes.
std::int64_t stations_for(double rate, double service, double limit, double share);

// With room for `waiting` guests beside those being served; others go away. Any load.
struct RoomResult {
  double turned_away = 0;  // the share of guests who find it full
  double waiting = 0;      // mean number waiting
  double mean_wait = 0;    // of those who come in
};
RoomResult with_room(const Queue& queue, std::int64_t waiting);

// One hour of a day in which rate and stations change by the hour.
struct Hour {
  double rate = 0;
  std::int64_t stations = 1;
};
struct HourResult {
  double mean_wait = 0;     // of the guests who come in this hour
  double share_within = 1;  // of them, within the limit
  double waiting = 0;       // mean number waiting at its end
};

// The hours one after the other, from an empty shop: the queue that one hour leaves is the next
// one's start. The chances of every number of guests are followed exactly (uniformisation); a
// guest's wait is reckoned with the stations of the hour of arrival. `length` is that of an hour.
// Nothing where the day is too large to follow.
std::optional<std::vector<HourResult>> follow_day(std::span<const Hour> hours, double service,
                                                  double limit, double length);

}  // namespace loftledger::planning
