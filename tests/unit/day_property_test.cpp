// The day against simulations and direct solutions, all from fixed seeds.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <queue>
#include <random>

#include "engine/planning/day/waiting_line.hpp"
#include "tests/support/tables/call_reader.hpp"

namespace loftledger::planning {
namespace {

using Random = std::mt19937_64;

double uniform(Random& random) {
  return (static_cast<double>(random() >> 11) + 0.5) / 9007199254740992.0;
}
double exponential(Random& random, double mean) { return -mean * std::log(uniform(random)); }
int draw(Random& random, int low, int high) {
  return low + static_cast<int>(random() % static_cast<std::uint64_t>(high - low + 1));
}

double number_of(const std::string& formula) {
  const auto value = support::evaluate_one(formula);
  EXPECT_TRUE(value) << formula;
  EXPECT_EQ(value->kind(), Value::Kind::number) << formula << " " << value->error().sentence;
  return value->number();
}

struct Simulated {
  double wait = 0;
  double within = 0;
  double away = 0;
};

// Guests one by one: first come, first served; those who find `room` waiting go away.
Simulated simulate(Random& random, double rate, int stations, int guests, double limit,
                   const std::function<double()>& service, int room = 1 << 30) {
  std::priority_queue<double, std::vector<double>, std::greater<>> free;  // when stations get free
  for (int s = 0; s < stations; ++s) free.push(0);
  std::priority_queue<double, std::vector<double>, std::greater<>> starts;  // of those who wait
  double now = 0;
  Simulated out;
  int served = 0;
  for (int g = 0; g < guests; ++g) {
    now += exponential(random, 1 / rate);
    while (!starts.empty() && starts.top() <= now) starts.pop();
    const double start = std::max(now, free.top());
    if (start > now && static_cast<int>(starts.size()) >= room) {
      out.away += 1;
      continue;
    }
    free.pop();
    if (start > now) starts.push(start);
    free.push(start + service());
    ++served;
    out.wait += start - now;
    out.within += start - now <= limit;
  }
  out.wait /= served;
  out.within /= served;
  out.away /= guests;
  return out;
}

TEST(WaitMinutes, AgreesWithASimulatedShop) {
  Random random(2024);
  struct Shop {
    double guests;
    double minutes;
    int stations;
  };
  for (const Shop& shop : {Shop{45, 5, 5}, Shop{45, 5, 4}, Shop{20, 2, 1}, Shop{10, 15, 3}}) {
    const auto service = [&] { return exponential(random, shop.minutes); };
    const Simulated seen = simulate(random, shop.guests / 60, shop.stations, 1500000, 5, service);
    const std::string shared = fmt::format("{};{};{}", shop.guests, shop.minutes, shop.stations);
    EXPECT_NEAR(number_of("=WAITMINUTES(" + shared + ")") / seen.wait, 1, 0.03) << shared;
    EXPECT_NEAR(number_of("=SERVEDINTIME(" + shared + ";5)"), seen.within, 0.006) << shared;
  }
}

TEST(WaitMinutes, AgreesWithASimulatedStationOfAnyVariation) {
  Random random(77);
  // Always the same, uniform from 1 to 5 (deviation 2/root 3), and the sum of two exponentials.
  const auto same = [] { return 3.0; };
  const auto even = [&] { return 1 + 4 * uniform(random); };
  const auto sum = [&] { return exponential(random, 1.5) + exponential(random, 1.5); };
  EXPECT_NEAR(
      number_of("=WAITMINUTES(15;3;1;0)") / simulate(random, 0.25, 1, 1500000, 5, same).wait, 1,
      0.02);
  EXPECT_NEAR(number_of(fmt::format("=WAITMINUTES(15;3;1;{})", 2 / std::sqrt(3.0) / 3)) /
                  simulate(random, 0.25, 1, 1500000, 5, even).wait,
              1, 0.02);
  EXPECT_NEAR(number_of(fmt::format("=WAITMINUTES(15;3;1;{})", std::sqrt(0.5))) /
                  simulate(random, 0.25, 1, 1500000, 5, sum).wait,
              1, 0.03);
  // With several stations the formula is an approximation.
  EXPECT_NEAR(number_of("=WAITMINUTES(45;5;5;0)") /
                  simulate(random, 0.75, 5, 1500000, 5, [] { return 5.0; }).wait,
              1, 0.1);
}

TEST(WaitingRoom, AgreesWithASimulatedShop) {
  Random random(4);
  const auto service = [&] { return exponential(random, 5); };
  for (double guests : {40.0, 60.0}) {
    const Simulated seen = simulate(random, guests / 60, 4, 600000, 5, service, 3);
    EXPECT_NEAR(number_of(fmt::format("=TURNEDAWAY({};5;4;3)", guests)), seen.away, 0.004);
    EXPECT_NEAR(number_of(fmt::format("=WAITMINUTES({};5;4;;3)", guests)) / seen.wait, 1, 0.02);
  }
}

TEST(WaitingRoom, AgreesWithTheBalanceOfEveryState) {
  Random random(12);
  for (int i = 0; i < 200; ++i) {
    const int stations = draw(random, 1, 12);
    const int waiting = draw(random, 0, 25);
    const double load = 0.05 * draw(random, 1, 600);
    std::vector<double> chance{1.0};
    for (int n = 1; n <= stations + waiting; ++n) {
      chance.push_back(chance.back() * load / std::min(n, stations));
    }
    double all = 0;
    double queue = 0;
    for (int n = 0; n <= stations + waiting; ++n) {
      all += chance[n];
      queue += std::max(0, n - stations) * chance[n];
    }
    const RoomResult room = with_room({load, 1, stations}, waiting);
    EXPECT_NEAR(room.turned_away, chance.back() / all, 1e-12);
    EXPECT_NEAR(room.waiting, queue / all, 1e-10 * (1 + queue / all));
    EXPECT_NEAR(room.mean_wait * load * (1 - room.turned_away), room.waiting,
                1e-10 * (1 + room.waiting));
    if (load < stations) {
      // An endless room is the plain queue.
      const Queue q{load, 1, stations};
      const RoomResult endless = with_room(q, 200000);
      EXPECT_NEAR(endless.mean_wait, mean_wait(q), 1e-9 * (1 + mean_wait(q)));
    }
  }
}

TEST(StationsNeeded, IsTheFewestThatSuffice) {
  Random random(8);
  for (int i = 0; i < 300; ++i) {
    const double rate = 0.02 * draw(random, 1, 200);
    const double service = 0.5 * draw(random, 1, 30);
    const double limit = draw(random, 0, 12);
    const double share = 0.01 * draw(random, 1, 99);
    const std::int64_t fewest = stations_for(rate, service, limit, share);
    const Queue q{rate, service, fewest};
    ASSERT_TRUE(q.steady());
    EXPECT_GE(share_within(q, limit), share - 1e-12);
    const Queue fewer{rate, service, fewest - 1};
    if (fewest > 1 && fewer.steady()) {
      EXPECT_LT(share_within(fewer, limit), share);
    }
  }
}

TEST(WaitsByHour, SettlesToTheSteadyQueue) {
  const std::vector<Hour> day(60, Hour{0.75, 5});
  const auto results = follow_day(day, 5, 5, 60);
  ASSERT_TRUE(results);
  const Queue q{0.75, 5, 5};
  EXPECT_NEAR(results->back().mean_wait, mean_wait(q), 1e-6);
  EXPECT_NEAR(results->back().share_within, share_within(q, 5), 1e-7);
  EXPECT_NEAR(results->back().waiting, mean_wait(q) * 0.75, 1e-6);
  EXPECT_LT(results->front().mean_wait, results->back().mean_wait);
}

TEST(WaitsByHour, AgreesWithSimulatedDays) {
  Random random(321);
  // The third hour has more guests than its stations serve.
  const std::vector<Hour> day{{0.3, 3}, {0.6, 3}, {0.9, 4}, {0.5, 4}, {0.2, 2}};
  constexpr double kService = 5;
  constexpr int kDays = 60000;
  std::vector<double> guests(day.size(), 0.0);
  std::vector<double> wait(day.size(), 0.0);
  std::vector<double> left(day.size(), 0.0);
  for (int d = 0; d < kDays; ++d) {
    int inside = 0;
    for (std::size_t h = 0; h < day.size(); ++h) {
      const int stations = static_cast<int>(day[h].stations);
      double now = 0;
      while (true) {
        const double pace = day[h].rate + std::min(inside, stations) / kService;
        now += exponential(random, 1 / pace);
        if (now > 60) break;
        if (uniform(random) * pace < day[h].rate) {
          guests[h] += 1;
          wait[h] += std::max(0, inside - stations + 1) * kService / stations;
          ++inside;
        } else {
          --inside;
        }
      }
      left[h] += std::max(0, inside - stations);
    }
  }
  const auto results = follow_day(day, kService, 5, 60);
  ASSERT_TRUE(results);
  for (std::size_t h = 0; h < day.size(); ++h) {
    EXPECT_NEAR((*results)[h].mean_wait, wait[h] / guests[h], 0.02 * wait[h] / guests[h] + 0.01)
        << h;
    EXPECT_NEAR((*results)[h].waiting, left[h] / kDays, 0.02 * left[h] / kDays + 0.01) << h;
  }
}

TEST(WaitsByHour, RefusesWhatItCannotFollow) {
  EXPECT_FALSE(follow_day(std::vector<Hour>(100, Hour{500, 3000}), 5, 5, 60));
}

TEST(StationsByHour, RowsAreTheScalarFunctions) {
  const auto answer = support::evaluate("=STATIONSBYHOUR({12;25;;45};5;4;90%)");
  ASSERT_TRUE(answer);
  const Matrix& m = std::get<Matrix>(*answer);
  ASSERT_EQ(m.rows(), 6u);
  ASSERT_EQ(m.columns(), 6u);
  double hours = 0;
  double guests = 0;
  double wait = 0;
  for (std::size_t r = 1; r <= 4; ++r) {
    const double come = m.at(r, 1).number();
    const double stations = m.at(r, 2).number();
    hours += stations;
    guests += come;
    wait += come * m.at(r, 4).number();
    if (come == 0) {
      EXPECT_EQ(stations, 0);
      continue;
    }
    EXPECT_EQ(stations, number_of(fmt::format("=STATIONSNEEDED({};5;4;90%)", come)));
    EXPECT_EQ(m.at(r, 4).number(), number_of(fmt::format("=WAITMINUTES({};5;{})", come, stations)));
    EXPECT_EQ(m.at(r, 5).number(),
              number_of(fmt::format("=SERVEDINTIME({};5;{};4)", come, stations)));
  }
  EXPECT_EQ(m.at(5, 0).text(), "day");
  EXPECT_EQ(m.at(5, 2).number(), hours);
  EXPECT_NEAR(m.at(5, 4).number(), wait / guests, 1e-12);
}

// Minute by minute: opening begins that early, and the opened fibre never runs out; a little later,
// and it does.
TEST(OpenAheadHours, IsJustEarlyEnough) {
  Random random(64);
  for (int i = 0; i < 100; ++i) {
    std::vector<int> bodies;
    for (int h = draw(random, 1, 9); h > 0; --h) bodies.push_back(draw(random, 0, 160));
    const int per_case = draw(random, 20, 80);
    const int minutes = draw(random, 5, 40);
    const double opened = 0.5 * draw(random, 0, 6);
    const double share = 0.25 * draw(random, 0, 4);
    const double start =
        number_of(fmt::format("=OPENAHEADHOURS({{{}}};{};{};{};{})", fmt::join(bodies, ";"),
                              per_case, minutes, opened, share));
    const auto lowest = [&](double ahead) {
      double least = 1e300;
      double used = 0;
      for (std::size_t h = 0; h < bodies.size(); ++h) {
        for (int m = 1; m <= 60; ++m) {
          used += bodies[h] / 60.0 / per_case;
          const double worked = ahead * 60 + share * (static_cast<double>(h) * 60 + m);
          least = std::min(least, opened + worked / minutes - used);
        }
      }
      return least;
    };
    EXPECT_GE(lowest(start), -1e-9);
    if (start > 0) {
      EXPECT_NEAR(lowest(start), 0, 1e-9);
    }
  }
}

TEST(LiftLimit, FallsWithEveryBurden) {
  Random random(6);
  const auto limit = [](double h, double v, double d, double a, double f, double t, const char* c) {
    return number_of(fmt::format("=LIFTLIMIT({};{};{};{};{};{};\"{}\")", h, v, d, a, f, t, c));
  };
  for (int i = 0; i < 100; ++i) {
    const double h = draw(random, 20, 60);
    const double v = draw(random, 75, 160);
    const double d = draw(random, 20, 150);
    const double a = draw(random, 0, 120);
    const double f = 0.1 * draw(random, 0, 50);
    const double t = 0.5 * draw(random, 1, 12);
    const double base = limit(h, v, d, a, f, t, "good");
    EXPECT_GT(base, 0);
    EXPECT_LE(base, 23);
    EXPECT_LE(limit(h + 3, v, d, a, f, t, "good"), base);
    EXPECT_LE(limit(h, v + 3, d, a, f, t, "good"), base);
    EXPECT_LE(limit(h, v, d + 3, a, f, t, "good"), base);
    EXPECT_LE(limit(h, v, d, a + 3, f, t, "good"), base);
    EXPECT_LE(limit(h, v, d, a, f + 1, t, "good"), base);
    EXPECT_LE(limit(h, v, d, a, f, t + 2, "good"), base);
    EXPECT_LE(limit(h, v, d, a, f, t, "poor"), base);
  }
}

}  // namespace
}  // namespace loftledger::planning
