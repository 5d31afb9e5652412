// Stations and the guests who wait for them.
#include <fmt/format.h>

#include <array>

#include "engine/base/number_text.hpp"
#include "engine/catalogue/describe.hpp"
#include "engine/planning/areas.hpp"
#include "engine/planning/common/clock.hpp"
#include "engine/planning/day/waiting_line.hpp"

namespace loftledger::planning {

using namespace catalogue;

namespace {

constexpr double kHour = 60;  // minutes
constexpr double kMostLoad = 1e5;
constexpr double kMostPlaces = 1e6;

constexpr Parameter kGuestsParameter{.name = "guests per hour",
                                     .text =
                                         "Guests who come to have a body filled in an hour, on "
                                         "average.",
                                     .rule = Rule::not_negative};
constexpr Parameter kMinutesParameter{.name = "minutes per body",
                                      .text =
                                          "Mean time that a guest takes up a station, in "
                                          "minutes (0.05 or more); changing over included.",
                                      .rule = Rule::positive,
                                      .bare = kMinutes};
constexpr Parameter kStationsParameter{
    .name = "stations",
    .text = "Stations that are open and staffed, 1,000,000 at most.",
    .rule = Rule::whole_positive};
constexpr Parameter kLimitParameter{.name = "longest wait",
                                    .text =
                                        "The wait that is still in time, in minutes; 0: served "
                                        "at once.",
                                    .rule = Rule::not_negative};
constexpr Parameter kShareParameter{.name = "share in time",
                                    .text =
                                        "Share of guests who are to be served in time, such as "
                                        "90%.",
                                    .rule = Rule::open_share};

constexpr std::string_view kModel =
    "Guests are taken to come at random and to be served in the order in which they come; serving "
    "times are taken to vary as an exponential distribution, which is on the safe side for work "
    "that varies less. Guests who come in groups wait longer than this says.";

Result<Queue> queue_of(Rate guests, Time minutes, double stations,
                       std::string_view name = "guests per hour") {
  const Queue queue{guests.value / kHour, minutes.value, static_cast<std::int64_t>(stations)};
  if (queue.load() > kMostLoad || stations > kMostPlaces) {
    return refuse(0, fmt::format("{} is {}: with {} minutes each, or with {} stations, that is too "
                                 "many to reckon with",
                                 name, plain_number(guests.value), plain_number(minutes.value),
                                 plain_number(stations)));
  }
  return queue;
}

Error overloaded(const Queue& q) {
  return refuse(
      2, fmt::format("stations is {}, which serve {} guests an hour; {} an hour come, so "
                     "the queue would grow for ever",
                     q.stations, plain_number(static_cast<double>(q.stations) * kHour / q.service),
                     plain_number(q.rate * kHour)));
}

// --- STATIONSNEEDED

Result<Count> stations_needed(Rate guests, Time minutes, Time limit, Ratio share) {
  const Result<Queue> q = queue_of(guests, minutes, 1);
  if (!q) return q.error();
  return Count{static_cast<double>(stations_for(q->rate, q->service, limit.value, share.value))};
}

constexpr Parameter kStationsNeededParameters[] = {kGuestsParameter, kMinutesParameter,
                                                   kLimitParameter, kShareParameter};
constexpr Example kStationsNeededExamples[] = {
    {"=STATIONSNEEDED(45;5;5;90%)", 6.0},
    {"=STATIONSNEEDED(45;5;5;100%)", Code::argument, "no number of stations is sure to suffice"},
};
constexpr Function kStationsNeeded = describe<stations_needed>(
    {.id = "stationsNeeded",
     .name = "STATIONSNEEDED",
     .group = Group::day,
     .summary = "The fewest stations that serve a share of the guests within the longest wait.",
     .returns = "a whole number of stations",
     .source = "Erlang's delay formula (M/M/c); Cooper, Introduction to Queueing Theory, 1981",
     .detail = kModel},
    kStationsNeededParameters, kStationsNeededExamples);

// --- WAITMINUTES and GUESTSWAITING

struct Waiting {
  double guests;  // waiting, on average
  double minutes;
};

Result<Waiting> waiting_of(Rate guests, Time minutes, Count stations, Number variation,
                           const std::optional<Count>& places) {
  const Result<Queue> q = queue_of(guests, minutes, stations.value);
  if (!q) return q.error();
  if (places) {
    if (variation.value != 1) {
      return refuse(3, fmt::format("variation is {}; with a number of waiting places it must be 1",
                                   plain_number(variation.value)));
    }
    if (places->value > kMostPlaces) {
      return refuse(4, fmt::format("waiting places is {}; it must be {} at most",
                                   plain_number(places->value), plain_number(kMostPlaces)));
    }
    const RoomResult room = with_room(*q, static_cast<std::int64_t>(places->value));
    return Waiting{room.waiting, room.mean_wait};
  }
  if (!q->steady()) return overloaded(*q);
  const double wait = mean_wait(*q) * (1 + variation.value * variation.value) / 2;
  return Waiting{wait * q->rate, wait};
}

constexpr Parameter kVariationParameter{
    .name = "variation",
    .text =
        "Standard deviation of the serving time over its mean: 0 for always the same, 1 for an "
        "exponential distribution.",
    .rule = Rule::not_negative,
    .fallback = 1.0};
constexpr Parameter kPlacesParameter{
    .name = "waiting places",
    .text =
        "Room for guests who wait; those who find it full go away. Left out: all wait. "
        "1,000,000 at most.",
    .rule = Rule::whole};
constexpr std::string_view kWaitDetail =
    "Guests are taken to come at random and to be served in the order in which they come. With one "
    "station and any variation the result is exact (Pollaczek and Khinchine); with more stations "
    "and a variation other than 1 it is the usual approximation, Erlang's wait x (1 + variation "
    "squared) / 2. With waiting places it is the wait of those who come in.";

Result<Time> wait_minutes(Rate guests, Time minutes, Count stations, Number variation,
                          const std::optional<Count>& places) {
  const Result<Waiting> waiting = waiting_of(guests, minutes, stations, variation, places);
  if (!waiting) return waiting.error();
  return Time{waiting->minutes};
}

constexpr Parameter kWaitParameters[] = {kGuestsParameter, kMinutesParameter, kStationsParameter,
                                         kVariationParameter, kPlacesParameter};
constexpr Example kWaitMinutesExamples[] = {
    {"=WAITMINUTES(30;1.5;1)", 4.5},
    {"=WAITMINUTES(45;5;4)", 17.300594630952373},
    {"=WAITMINUTES(45;5;3)", Code::argument, "three stations serve 36 an hour"},
};
constexpr Function kWaitMinutes = describe<wait_minutes>(
    {.id = "waitMinutes",
     .name = "WAITMINUTES",
     .group = Group::day,
     .summary = "Mean time that a guest waits before a station is free.",
     .returns = "minutes",
     .source = "Erlang's delay formula (M/M/c); Pollaczek and Khinchine for one station (Cooper, "
               "Introduction to Queueing Theory, 1981); M/M/c/K with waiting places",
     .detail = kWaitDetail},
    kWaitParameters, kWaitMinutesExamples);

Result<Count> guests_waiting(Rate guests, Time minutes, Count stations, Number variation,
                             const std::optional<Count>& places) {
  const Result<Waiting> waiting = waiting_of(guests, minutes, stations, variation, places);
  if (!waiting) return waiting.error();
  return Count{waiting->guests};
}

constexpr Example kGuestsWaitingExamples[] = {
    {"=GUESTSWAITING(30;1.5;1)", 2.25},
    {"=GUESTSWAITING(45;5;3)", Code::argument},
};
constexpr Function kGuestsWaiting = describe<guests_waiting>(
    {.id = "guestsWaiting",
     .name = "GUESTSWAITING",
     .group = Group::day,
     .summary = "Mean number of guests who wait for a station, those being served not counted.",
     .returns = "a number of guests",
     .source = "Little's law on the wait of WAITMINUTES",
     .detail = kWaitDetail},
    kWaitParameters, kGuestsWaitingExamples);

// --- SERVEDINTIME

Result<Ratio> served_in_time(Rate guests, Time minutes, Count stations, Time limit) {
  const Result<Queue> q = queue_of(guests, minutes, stations.value);
  if (!q) return q.error();
  if (!q->steady()) return overloaded(*q);
  return Ratio{share_within(*q, limit.value)};
}

constexpr Parameter kServedInTimeParameters[] = {kGuestsParameter, kMinutesParameter,
                                                 kStationsParameter, kLimitParameter};
constexpr Example kServedInTimeExamples[] = {
    {"=SERVEDINTIME(45;5;5;5)", 0.8676952481022446},
    {"=SERVEDINTIME(45;5;3;5)", Code::argument},
};
constexpr Function kServedInTime = describe<served_in_time>(
    {.id = "servedInTime",
     .name = "SERVEDINTIME",
     .group = Group::day,
     .summary = "The share of guests who wait no longer than the longest wait.",
     .returns = "a share from 0 to 1",
     .source = "Erlang's delay formula (M/M/c)",
     .detail = kModel},
    kServedInTimeParameters, kServedInTimeExamples);

// --- TURNEDAWAY

Result<Ratio> turned_away(Rate guests, Time minutes, Count stations, Count places) {
  const Result<Queue> q = queue_of(guests, minutes, stations.value);
  if (!q) return q.error();
  if (places.value > kMostPlaces) {
    return refuse(3, fmt::format("waiting places is {}; it must be {} at most",
                                 plain_number(places.value), plain_number(kMostPlaces)));
  }
  return Ratio{with_room(*q, static_cast<std::int64_t>(places.value)).turned_away};
}

constexpr Parameter kTurnedAwayParameters[] = {
    kGuestsParameter,
    kMinutesParameter,
    kStationsParameter,
    {.name = "waiting places",
     .text = "Room for guests who wait; 0 where nobody waits; 1,000,000 at most.",
     .rule = Rule::whole},
};
constexpr Example kTurnedAwayExamples[] = {
    {"=TURNEDAWAY(120;5;10;0)", 0.2145823431},
    {"=TURNEDAWAY(120;5;0;10)", Code::argument},
};
constexpr Function kTurnedAway = describe<turned_away>(
    {.id = "turnedAway",
     .name = "TURNEDAWAY",
     .group = Group::day,
     .summary = "The share of guests who find every station and every waiting place taken.",
     .returns = "a share from 0 to 1; with no waiting places Erlang's loss formula",
     .source = "Erlang's loss formula (M/M/c/c) and M/M/c/K",
     .detail = kModel},
    kTurnedAwayParameters, kTurnedAwayExamples);

// --- STATIONSBYHOUR and WAITSBYHOUR

constexpr std::size_t kMostHours = 168;

Result<std::vector<double>> hourly(const Series<Rate>& guests) {
  if (guests.values.size() > kMostHours) {
    return refuse(0, fmt::format("guests by hour has {} cells; {} at most (a week)",
                                 guests.values.size(), kMostHours));
  }
  std::vector<double> out;
  for (const std::optional<double>& cell : guests.values) out.push_back(cell.value_or(0.0));
  return out;
}

constexpr Parameter kGuestsByHourParameter{
    .name = "guests by hour",
    .text =
        "Guests expected in each hour of the day, in order; an empty cell is none. 168 hours (a "
        "week) at most.",
    .rule = Rule::not_negative};

// Rows of the result, with a heading and a last row for the day. The shares and waits of the day
// are those of its guests, so each hour counts by its guests.
template <std::size_t N>
Matrix hour_table(const std::array<const char*, N>& headings,
                  const std::vector<std::array<double, N>>& rows,
                  const std::array<double, N>& day) {
  Matrix out(rows.size() + 2, N);
  for (std::size_t c = 0; c < N; ++c) {
    out.at(0, c) = Value(headings[c]);
    for (std::size_t r = 0; r < rows.size(); ++r) out.at(r + 1, c) = Value(rows[r][c]);
    out.at(rows.size() + 1, c) = Value(day[c]);
  }
  out.at(rows.size() + 1, 0) = Value("day");
  return out;
}

Result<Matrix> stations_by_hour(const Series<Rate>& guests, Time minutes, Time limit, Ratio share) {
  const Result<std::vector<double>> hours = hourly(guests);
  if (!hours) return hours.error();
  std::vector<std::array<double, 6>> rows;
  std::array<double, 6> day{0, 0, 0, 0, 0, 1};
  double busy_hours = 0;
  double waits = 0;
  double late = 0;
  for (std::size_t h = 0; h < hours->size(); ++h) {
    const double come = (*hours)[h];
    Result<Queue> q = queue_of({come}, minutes, 1, "guests by hour");
    if (!q) return std::move(q).error();
    q->stations = stations_for(q->rate, q->service, limit.value, share.value);
    const double stations = static_cast<double>(q->stations);
    const double busy = stations > 0 ? q->load() / stations : 0;
    const double wait = mean_wait(*q);
    const double within = share_within(*q, limit.value);
    rows.push_back({static_cast<double>(h + 1), come, stations, busy, wait, within});
    day[1] += come;
    day[2] += stations;
    busy_hours += q->load();
    waits += come * wait;
    late += come * (1 - within);
  }
  if (day[2] > 0) {
    day[3] = busy_hours / day[2];
    day[4] = waits / day[1];
    day[5] = 1 - late / day[1];
  }
  return hour_table({"hour", "guests", "stations", "busy share", "mean wait", "in time"}, rows,
                    day);
}

constexpr Parameter kStationsByHourParameters[] = {kGuestsByHourParameter, kMinutesParameter,
                                                   kLimitParameter, kShareParameter};
constexpr Example kStationsByHourExamples[] = {
    {"=STATIONSBYHOUR({12;25;45;30};5;5;90%)", "hour", "the first heading of the array"},
    {"=STATIONSBYHOUR({12;25;-45;30};5;5;90%)", Code::argument},
};
constexpr Function kStationsByHour = describe<stations_by_hour>(
    {.id = "stationsByHour",
     .name = "STATIONSBYHOUR",
     .group = Group::day,
     .summary = "The stations to open in each hour of a day, so that a share of the guests is "
                "served within the longest wait.",
     .returns = "an array: a row of headings, a row for each hour (hour, guests, stations, busy "
                "share, mean wait in minutes, share in time), and a row for the day, whose "
                "stations are station hours",
     .source = "Erlang's delay formula, hour by hour (the stationary approach of staffing studies: "
               "Green, Kolesar and Soares, Operations Research 49 (2001) 549-564)",
     .detail = "Each hour is taken by itself, as if its guests came all day. Where guests are "
               "served slowly or the hours differ much, the queue of one hour burdens the next: "
               "check the result with WAITSBYHOUR. An hour without guests needs no station. Enter "
               "it as an array formula over hours + 2 rows and 6 columns."},
    kStationsByHourParameters, kStationsByHourExamples);

Result<Matrix> waits_by_hour(const Series<Rate>& guests, Time minutes,
                             const Series<Count>& stations, Time limit) {
  const Result<std::vector<double>> hours = hourly(guests);
  if (!hours) return hours.error();
  if (stations.values.size() != hours->size()) {
    return refuse(
        2, fmt::format("stations by hour has {} and guests by hour has {}; they must have as many",
                       counted(stations.values.size(), "cell"), hours->size()));
  }
  std::vector<Hour> plan;
  for (std::size_t h = 0; h < hours->size(); ++h) {
    if (!stations.values[h]) {
      return refuse(2, fmt::format("stations by hour is empty in hour {}", h + 1));
    }
    const Result<Queue> q = queue_of({(*hours)[h]}, minutes, *stations.values[h], "guests by hour");
    if (!q) return q.error();
    plan.push_back({q->rate, q->stations});
  }
  const auto results = follow_day(plan, minutes.value, limit.value, kHour);
  if (!results) {
    return refuse(0,
                  "guests by hour and stations by hour come to more than can be followed guest "
                  "by guest; take fewer hours");
  }
  std::vector<std::array<double, 6>> rows;
  std::array<double, 6> day{0, 0, 0, 0, 1, 0};
  double waits = 0;
  double late = 0;
  for (std::size_t h = 0; h < plan.size(); ++h) {
    const double come = (*hours)[h];
    const HourResult& r = (*results)[h];
    rows.push_back({static_cast<double>(h + 1), come, static_cast<double>(plan[h].stations),
                    r.mean_wait, r.share_within, r.waiting});
    day[1] += come;
    day[2] += static_cast<double>(plan[h].stations);
    waits += come * r.mean_wait;
    late += come * (1 - r.share_within);
    day[5] = r.waiting;
  }
  if (day[1] > 0) {
    day[3] = waits / day[1];
    day[4] = 1 - late / day[1];
  }
  return hour_table({"hour", "guests", "stations", "mean wait", "in time", "waiting at end"}, rows,
                    day);
}

constexpr Parameter kWaitsByHourParameters[] = {
    kGuestsByHourParameter,
    kMinutesParameter,
    {.name = "stations by hour",
     .text = "Stations open in each hour, side by side with the guests.",
     .rule = Rule::whole_positive},
    kLimitParameter};
constexpr Example kWaitsByHourExamples[] = {
    {"=WAITSBYHOUR({12;25;45;30};5;{2;4;5;4};5)", "hour", "the first heading of the array"},
    {"=WAITSBYHOUR({12;25;45;30};5;{2;4;5};5)", Code::argument},
};
constexpr Function kWaitsByHour = describe<waits_by_hour>(
    {.id = "waitsByHour",
     .name = "WAITSBYHOUR",
     .group = Group::day,
     .summary = "Waits through a day with the stations as planned, the queue of one hour carried "
                "into the next.",
     .returns = "an array: a row of headings, a row for each hour (hour, guests, stations, mean "
                "wait in minutes, share in time, guests waiting at the hour's end), and a row for "
                "the day, whose stations are station hours",
     .source = "transient M/M/c queue by uniformisation (Jensen's method; Tijms, A First Course in "
               "Stochastic Models)",
     .detail = "The day begins with an empty shop. An hour may have more guests than its stations "
               "serve: the queue grows and is carried on. A guest's wait is reckoned with the "
               "stations of the hour of arrival. Enter it as an array formula over hours + 2 rows "
               "and 6 columns."},
    kWaitsByHourParameters, kWaitsByHourExamples);

constexpr Function kFunctions[] = {kStationsNeeded, kWaitMinutes,    kGuestsWaiting, kServedInTime,
                                   kTurnedAway,     kStationsByHour, kWaitsByHour};

}  // namespace

Functions queue_functions() { return kFunctions; }

}  // namespace loftledger::planning
