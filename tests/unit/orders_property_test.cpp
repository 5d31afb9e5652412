// Orders against brute force, enumeration and simulation, all from fixed seeds.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <limits>
#include <numeric>
#include <random>

#include "engine/planning/common/chance.hpp"
#include "engine/planning/orders/lot_sizing.hpp"
#include "engine/planning/orders/seasonal_indices.hpp"
#include "tests/support/tables/call_reader.hpp"

namespace loftledger::planning {
namespace {

using Random = std::mt19937_64;

// Drawn by hand, so that every standard library gives the same cases.
int draw(Random& random, int low, int high) {
  return low + static_cast<int>(random() % static_cast<std::uint64_t>(high - low + 1));
}
double uniform(Random& random) {
  return (static_cast<double>(random() >> 11) + 0.5) / 9007199254740992.0;
}

constexpr double kNever = std::numeric_limits<double>::infinity();

// What a plan of arrivals costs, or infinity where it does not work; written apart from the engine.
double cost_of(const LotProblem& p, const std::vector<std::int64_t>& arrivals) {
  double stock = p.on_hand;
  double cost = 0;
  for (std::size_t t = 0; t < p.periods(); ++t) {
    const std::int64_t q = arrivals[t];
    if (!p.arriving.empty()) stock += p.arriving[t];
    if (q > 0) {
      if (t < p.lead_time || q < p.steps[0].first) return kNever;
      std::size_t k = p.steps.size();
      while (q < p.steps[k - 1].first) --k;
      const ChargeStep& step = p.steps[k - 1];
      cost += p.order_cost[t - p.lead_time] + step.freight_order +
              (step.price + step.freight_case) * static_cast<double>(q);
      stock += static_cast<double>(q);
      if (p.storage && stock > *p.storage + 1e-9) return kNever;
    }
    stock -= p.demand[t];
    if (stock < p.lowest - 1e-9) return kNever;
    cost += p.holding_cost[t] * stock;
  }
  return cost;
}

double least_by_brute_force(const LotProblem& p, std::int64_t most) {
  std::vector<std::int64_t> arrivals(p.periods(), 0);
  double least = kNever;
  std::function<void(std::size_t)> search = [&](std::size_t t) {
    if (t == p.periods()) {
      least = std::min(least, cost_of(p, arrivals));
      return;
    }
    for (std::int64_t q = 0; q <= (t < p.lead_time ? 0 : most); ++q) {
      arrivals[t] = q;
      search(t + 1);
    }
    arrivals[t] = 0;
  };
  search(0);
  return least;
}

double cost_of_orders(const LotProblem& p, const std::vector<std::int64_t>& orders) {
  std::vector<std::int64_t> arrivals(p.periods(), 0);
  for (std::size_t t = p.lead_time; t < p.periods(); ++t) arrivals[t] = orders[t - p.lead_time];
  return cost_of(p, arrivals);
}

LotProblem small_problem(Random& random) {
  LotProblem p;
  const int n = draw(random, 1, 4);
  const bool fractions = draw(random, 0, 1) == 1;
  for (int t = 0; t < n; ++t) {
    p.demand.push_back(draw(random, 0, 3) + (fractions ? 0.25 * draw(random, 0, 3) : 0.0));
    p.order_cost.push_back(draw(random, 0, 30));
    p.holding_cost.push_back(0.5 * draw(random, 0, 8));
  }
  p.on_hand = draw(random, 0, 2) == 0 ? 0.0 : 0.5 * draw(random, 0, 8);
  if (draw(random, 0, 3) == 0) p.lowest = draw(random, 0, 2);
  if (draw(random, 0, 3) == 0) {
    for (int t = 0; t < n; ++t) p.arriving.push_back(draw(random, 0, 2));
  }
  if (draw(random, 0, 2) == 0) p.storage = 2 + 0.5 * draw(random, 0, 12);
  if (draw(random, 0, 3) == 0) p.lead_time = static_cast<std::size_t>(draw(random, 0, 2));
  std::int64_t first = draw(random, 0, 4) == 0 ? draw(random, 2, 3) : 1;
  const int steps = draw(random, 1, 4);
  for (int k = 0; k < steps; ++k) {
    if (k > 0) p.steps.back().last = first - 1;
    p.steps.push_back({first, kNoLastCase, 0.5 * draw(random, 0, 20),
                       static_cast<double>(draw(random, 0, 12)), 0.5 * draw(random, 0, 4)});
    first += draw(random, 1, 4);
  }
  return p;
}

std::string described(const LotProblem& p) {
  std::string out =
      fmt::format("demand {} on hand {} lowest {} lead {} storage {}\n", fmt::join(p.demand, " "),
                  p.on_hand, p.lowest, p.lead_time, p.storage.value_or(-1));
  out += fmt::format("arriving {} order cost {} holding {}\n", fmt::join(p.arriving, " "),
                     fmt::join(p.order_cost, " "), fmt::join(p.holding_cost, " "));
  for (const ChargeStep& s : p.steps) {
    out += fmt::format("from {}: {} {} {}\n", s.first, s.price, s.freight_order, s.freight_case);
  }
  return out;
}

// Ties and rounding apart, the engine's plan costs what the best of all plans costs.
TEST(OrderCalendar, IsAsGoodAsBruteForceWithEveryConstraint) {
  Random random(20240601);
  int feasible = 0;
  int refused = 0;
  for (int i = 0; i < 3000; ++i) {
    const LotProblem p = small_problem(random);
    SCOPED_TRACE(fmt::format("case {}\n{}", i, described(p)));
    // No plan needs an order beyond all demand and the last step's start.
    double need = p.lowest - p.on_hand;
    for (double d : p.demand) need += d;
    const auto most =
        static_cast<std::int64_t>(std::max(0.0, std::ceil(need))) + p.steps.back().first;
    const double least = least_by_brute_force(p, most);
    for (const auto& lots : {best_lots(p), lots_by_states(p)}) {
      ASSERT_EQ(lots.ok(), least < kNever) << (lots ? "" : lots.error().sentence);
      if (!lots) continue;
      ASSERT_NEAR(cost_of_orders(p, *lots), least, 1e-9 * (1 + least));
      const auto periods = run_plan(p, *lots);
      ASSERT_TRUE(periods) << periods.error().sentence;
      ASSERT_NEAR(total_cost(*periods), least, 1e-9 * (1 + least));
    }
    ++(least < kNever ? feasible : refused);
  }
  EXPECT_GT(feasible, 1000);
  EXPECT_GT(refused, 200);
}

// A plain dynamic program over every order from every stock, far beyond what can be of use.
double least_by_plain_search(const LotProblem& p, std::int64_t most) {
  std::vector<double> least(static_cast<std::size_t>(most) + 1, kNever);
  least[0] = 0;
  double base = p.on_hand;
  for (std::size_t t = 0; t < p.periods(); ++t) {
    std::vector<double> next(least.size(), kNever);
    for (std::size_t x = 0; x < least.size(); ++x) {
      for (std::size_t y = x; y < least.size(); ++y) {
        const auto q = static_cast<std::int64_t>(y - x);
        if (q > 0 && (t < p.lead_time || q < p.steps[0].first)) continue;
        const double full = base + static_cast<double>(y);
        if (q > 0 && p.storage && full > *p.storage + 1e-9) continue;
        const double stock = full - p.demand[t];
        if (stock < p.lowest - 1e-9) continue;
        double cost = least[x] + p.holding_cost[t] * stock;
        if (q > 0) {
          std::size_t k = p.steps.size();
          while (q < p.steps[k - 1].first) --k;
          cost += p.order_cost[t - p.lead_time] + p.steps[k - 1].cost(static_cast<double>(q));
        }
        next[y] = std::min(next[y], cost);
      }
    }
    base -= p.demand[t];
    least = next;
  }
  return *std::min_element(least.begin(), least.end());
}

TEST(OrderCalendar, IsAsGoodAsAPlainSearchOverManyPeriods) {
  Random random(555);
  int over = 0;
  for (int i = 0; i < 200; ++i) {
    LotProblem p;
    double need = 0;
    for (int t = 0; t < 12; ++t) {
      p.demand.push_back(draw(random, 0, 9) + 0.5 * draw(random, 0, 1));
      need += p.demand.back();
      p.order_cost.push_back(draw(random, 5, 40));
      p.holding_cost.push_back(0.25 * draw(random, 0, 6));
    }
    if (draw(random, 0, 1) == 1) p.storage = draw(random, 12, 40);
    std::int64_t first = draw(random, 0, 5) == 0 ? draw(random, 2, 9) : 1;
    for (int k = draw(random, 1, 4); k > 0; --k) {
      if (!p.steps.empty()) p.steps.back().last = first - 1;
      p.steps.push_back({first, kNoLastCase, 0.5 * draw(random, 0, 20),
                         static_cast<double>(draw(random, 0, 60)), 0.5 * draw(random, 0, 4)});
      first += draw(random, 1, 30);
    }
    const double least =
        least_by_plain_search(p, static_cast<std::int64_t>(need) + 1 + 2 * p.steps.back().first);
    const auto lots = best_lots(p);
    ASSERT_EQ(lots.ok(), least < kNever) << described(p);
    if (!lots) continue;
    ASSERT_NEAR(cost_of_orders(p, *lots), least, 1e-9 * (1 + least)) << described(p);
    over += static_cast<double>(std::accumulate(lots->begin(), lots->end(), std::int64_t{0})) >=
            need + 1;
  }
  EXPECT_GT(over, 5) << "some plans buy more than is needed for the sake of a lower price";
}

LotProblem plain_problem(Random& random, int periods, int most_demand) {
  LotProblem p;
  for (int t = 0; t < periods; ++t) {
    p.demand.push_back(draw(random, 0, 4) == 0 ? 0.0 : draw(random, 0, most_demand));
    p.order_cost.push_back(draw(random, 20, 120));
    p.holding_cost.push_back(0.25 * draw(random, 1, 8));
  }
  p.on_hand = draw(random, 0, 2) == 0 ? draw(random, 0, most_demand) : 0;
  p.steps = {{1, kNoLastCase, 3, 5, 0.5}};
  return p;
}

// Every choice of the periods in which to order, with each order lasting until the next.
double least_over_subsets(const LotProblem& p) {
  const std::size_t n = p.periods();
  double least = kNever;
  for (std::uint32_t chosen = 0; chosen < (1u << n); ++chosen) {
    std::vector<std::int64_t> arrivals(n, 0);
    double asked = -p.on_hand;
    std::int64_t ordered = 0;
    for (std::size_t t = 0; t < n; ++t) {
      if (chosen >> t & 1) {
        double until = asked + p.demand[t];
        for (std::size_t s = t + 1; s < n && !(chosen >> s & 1); ++s) until += p.demand[s];
        arrivals[t] =
            std::max<std::int64_t>(0, static_cast<std::int64_t>(std::ceil(until)) - ordered);
        ordered += arrivals[t];
      }
      asked += p.demand[t];
    }
    least = std::min(least, cost_of(p, arrivals));
  }
  return least;
}

TEST(OrderCalendar, RecursionIsAsGoodAsEverySetOfOrderPeriods) {
  Random random(7);
  for (int i = 0; i < 60; ++i) {
    const LotProblem p = plain_problem(random, 11, 60);
    const auto lots = lots_by_recursion(p);
    ASSERT_TRUE(lots);
    const double least = least_over_subsets(p);
    EXPECT_NEAR(cost_of_orders(p, *lots), least, 1e-9 * (1 + least)) << described(p);
  }
}

TEST(OrderCalendar, BothRoadsAgreeOverTwoYearsOfWeeks) {
  Random random(11);
  for (int i = 0; i < 12; ++i) {
    LotProblem p = plain_problem(random, 104, 20);
    p.lead_time = static_cast<std::size_t>(i % 3);
    p.on_hand = 45;
    for (double& d : p.demand) d += 0.1 * draw(random, 0, 9);
    const auto by_recursion = lots_by_recursion(p);
    const auto by_states = lots_by_states(p);
    ASSERT_TRUE(by_recursion);
    ASSERT_TRUE(by_states);
    const double cost = cost_of_orders(p, *by_recursion);
    EXPECT_NEAR(cost_of_orders(p, *by_states), cost, 1e-9 * cost);
  }
}

// A limit that is met only by ordering before the stock is used up: no plan that orders on an empty
// store can be the best, which is where the classical property fails.
TEST(OrderCalendar, OrdersIntoAFullerStoreWhereTheLimitMakesThatBest) {
  LotProblem p;
  p.demand = {3, 5, 5};
  p.order_cost = {1, 1, 100};
  p.holding_cost = {1, 1, 1};
  p.steps = {{1, kNoLastCase, 0, 0, 0}};
  p.storage = 10;
  const auto lots = best_lots(p);
  ASSERT_TRUE(lots);
  EXPECT_EQ(*lots, (std::vector<std::int64_t>{3, 10, 0}));
  p.storage = 8;
  const auto tight = best_lots(p);
  ASSERT_TRUE(tight);
  EXPECT_NEAR(cost_of_orders(p, *tight), least_by_brute_force(p, 13), 1e-12);
}

TEST(OrderCalendar, ArrayAddsUp) {
  const auto answer = support::evaluate(
      "=ORDERCALENDAR({4.5;7;3;9.25;12;6;2;8};5;25;0.4;{1;60|10;57|24;54};{1;0;18|8;150;0|25;300;0}"
      ";"
      "40;1;1;{3;0;0;0;0;0;0;0})");
  ASSERT_TRUE(answer);
  ASSERT_TRUE(std::holds_alternative<Matrix>(*answer)) << std::get<Value>(*answer).error().sentence;
  const Matrix& m = std::get<Matrix>(*answer);
  ASSERT_EQ(m.rows(), 10u);
  ASSERT_EQ(m.columns(), 10u);
  double stock = 5;
  std::vector<double> totals(10, 0.0);
  for (std::size_t r = 1; r <= 8; ++r) {
    stock += m.at(r, 3).number() - m.at(r, 1).number();
    EXPECT_NEAR(m.at(r, 4).number(), stock, 1e-9);
    EXPECT_GE(stock, 1 - 1e-9);
    EXPECT_NEAR(
        m.at(r, 9).number(),
        m.at(r, 5).number() + m.at(r, 6).number() + m.at(r, 7).number() + m.at(r, 8).number(),
        1e-9);
    const double placed = r == 1 ? 3 : m.at(r - 1, 2).number();
    EXPECT_EQ(m.at(r, 3).number(), placed) << "what was placed a period ago arrives";
    for (std::size_t c = 1; c < 10; ++c) totals[c] += m.at(r, c).number();
  }
  for (std::size_t c : {1, 2, 3, 5, 6, 7, 8, 9}) EXPECT_NEAR(m.at(9, c).number(), totals[c], 1e-9);
  EXPECT_EQ(m.at(9, 0).text(), "total");
  EXPECT_EQ(m.at(9, 4).number(), m.at(8, 4).number());
}

TEST(OrderCalendar, RefusesASearchThatIsTooLarge) {
  LotProblem p;
  p.demand.assign(1000, 1000.0);
  p.order_cost.assign(1000, 100.0);
  p.holding_cost.assign(1000, 1.0);
  p.steps = {{1, 99, 2, 0, 0}, {100, kNoLastCase, 1.9, 0, 0}};
  const auto lots = best_lots(p);
  ASSERT_FALSE(lots);
  EXPECT_NE(lots.error().sentence.find("too many to search"), std::string::npos);
  // Without the price break the same demand needs no search.
  p.steps = {{1, kNoLastCase, 2, 0, 0}};
  EXPECT_TRUE(best_lots(p));
}

// As a user asks for it, in one cell, with whole cases, price breaks and freight steps; how long it
// takes is the benchmark's business.
TEST(OrderCalendar, PlansTwoYearsOfWeeksInOneCell) {
  Random random(104);
  std::string demand;
  double whole = 0;
  for (int t = 0; t < 104; ++t) {
    const double week = 0.1 * draw(random, 40, 160);
    whole += week;
    demand += fmt::format("{}{}", t == 0 ? "" : ";", week);
  }
  const auto value = support::evaluate_one(
      "=SUM(INDEX(ORDERCALENDAR({" + demand +
      "};0;20;0.3;{1;60|10;57|25;54};{1;0;18|8;150;0|25;300;0|49;450;0});0;3))");
  ASSERT_TRUE(value);
  ASSERT_EQ(value->kind(), Value::Kind::number) << value->error().sentence;
  EXPECT_GE(value->number(), whole);
}

TEST(BestOrderQuantity, IsAsGoodAsEveryQuantity) {
  Random random(31);
  for (int i = 0; i < 200; ++i) {
    const double demand = draw(random, 10, 3000);
    const double order_cost = draw(random, 0, 60);
    const double rate = 0.01 * draw(random, 5, 60);
    std::string prices;
    std::string freight;
    std::vector<std::pair<int, double>> price_steps;
    std::vector<std::array<double, 3>> freight_steps;
    int from = draw(random, 0, 3) == 0 ? draw(random, 2, 9) : 1;
    for (int k = draw(random, 1, 4); k > 0; --k) {
      price_steps.emplace_back(from, 0.5 * draw(random, 20, 130));
      prices += fmt::format("{}{};{}", prices.empty() ? "" : "|", from, price_steps.back().second);
      from += draw(random, 1, 150);
    }
    from = 1;
    for (int k = draw(random, 1, 5); k > 0; --k) {
      freight_steps.push_back(
          {double(from), double(draw(random, 0, 200)), double(draw(random, 0, 20))});
      freight += fmt::format("{}{};{};{}", freight.empty() ? "" : "|", from,
                             freight_steps.back()[1], freight_steps.back()[2]);
      from += draw(random, 1, 60);
    }
    double least = kNever;
    for (int q = price_steps.front().first; q <= 6000; ++q) {
      double price = 0;
      for (const auto& [first, each] : price_steps) {
        if (first <= q) price = each;
      }
      double charge = 0;
      double each_case = 0;
      for (const auto& step : freight_steps) {
        if (step[0] <= q) std::tie(charge, each_case) = std::pair(step[1], step[2]);
      }
      least = std::min(least, demand * (price + each_case) + demand / q * (order_cost + charge) +
                                  rate * price * q / 2);
    }
    const std::string rest =
        fmt::format("{};{};{};{{{}}};{{{}}}", demand, order_cost, rate, prices, freight);
    const auto cost =
        support::evaluate_one(fmt::format("=ORDERINGCOST(BESTORDERQUANTITY({});{})", rest, rest));
    ASSERT_TRUE(cost) << cost.error().sentence;
    ASSERT_EQ(cost->kind(), Value::Kind::number) << cost->error().sentence;
    EXPECT_NEAR(cost->number(), least, 1e-10 * least) << rest;
  }
}

TEST(Chance, PoissonAgreesWithItsSum) {
  Random random(5);
  for (int i = 0; i < 200; ++i) {
    const double mean = 0.1 * draw(random, 1, 400);
    const double stock = 0.25 * draw(random, 0, 200);
    double above = 0;
    double beyond = 0;
    double chance = std::exp(-mean);
    double cumulated = 0;
    const double share = 0.01 * draw(random, 1, 99);
    double quantile = -1;
    for (int k = 0; k < 400; ++k) {
      if (k > stock) {
        above += chance;
        beyond += (k - stock) * chance;
      }
      cumulated += chance;
      if (quantile < 0 && cumulated >= share) quantile = k;
      chance *= mean / (k + 1);
    }
    const Demand demand{mean, std::nullopt};
    EXPECT_NEAR(demand.chance_above(stock), above, 1e-12);
    EXPECT_NEAR(demand.mean_above(stock), beyond, 1e-11 * (1 + mean));
    EXPECT_EQ(demand.quantile(share), quantile);
  }
}

TEST(Chance, NormalLossAgreesWithSimulation) {
  Random random(99);
  const Demand demand{50, 8.0};
  double sum = 0;
  double above = 0;
  constexpr int kTrials = 400000;
  for (int i = 0; i < kTrials; ++i) {
    const double asked =
        50 + 8 * std::sqrt(-2 * std::log(uniform(random))) * std::cos(2 * M_PI * uniform(random));
    sum += std::max(0.0, asked - 56);
    above += asked > 56;
  }
  EXPECT_NEAR(demand.mean_above(56), sum / kTrials, 0.02);
  EXPECT_NEAR(demand.chance_above(56), above / kTrials, 0.004);
}

TEST(EventBodies, AgreesWithEnumeration) {
  Random random(3);
  for (int i = 0; i < 100; ++i) {
    const int parties = draw(random, 1, 9);
    std::vector<int> sizes;
    for (int k = 0; k < parties; ++k) sizes.push_back(draw(random, 0, 9));
    const double show = 0.01 * draw(random, 1, 99);
    const double confidence = 0.001 * draw(random, 1, 999);
    const int all = std::accumulate(sizes.begin(), sizes.end(), 0);
    std::vector<double> together(all + 1, 0.0);
    for (unsigned come = 0; come < (1u << parties); ++come) {
      double chance = 1;
      int guests = 0;
      for (int k = 0; k < parties; ++k) {
        const bool here = come >> k & 1;
        chance *= here ? show : 1 - show;
        guests += here ? sizes[k] : 0;
      }
      together[guests] += chance;
    }
    std::vector<double> alone(all + 1, 0.0);
    alone[0] = 1;
    for (int g = 1; g <= all; ++g) {
      for (int n = g; n >= 0; --n) {
        alone[n] = alone[n] * (1 - show) + (n > 0 ? alone[n - 1] * show : 0.0);
      }
    }
    for (const auto* chances : {&together, &alone}) {
      double cumulated = 0;
      int least = -1;
      bool close = false;
      for (int n = 0; n <= all; ++n) {
        cumulated += (*chances)[n];
        if (std::abs(cumulated - confidence) < 1e-12) close = true;
        if (least < 0 && cumulated >= confidence) least = n;
      }
      if (close) continue;
      const std::string call =
          fmt::format("=EVENTBODIES({{{}}};{};{};{})", fmt::join(sizes, ";"), show, confidence,
                      chances == &together ? "TRUE" : "FALSE");
      const auto bodies = support::evaluate_one(call);
      ASSERT_TRUE(bodies);
      EXPECT_EQ(bodies->number(), least) << call;
    }
  }
}

History shaped(const std::vector<double>& index, std::size_t length, double level, double slope) {
  History out;
  for (std::size_t i = 0; i < length; ++i) {
    out.push_back((level + slope * static_cast<double>(i)) * index[i % index.size()]);
  }
  return out;
}

TEST(Season, FindsTheIndexOfALevelHistoryThroughGaps) {
  Random random(17);
  for (int i = 0; i < 100; ++i) {
    const std::size_t periods = static_cast<std::size_t>(draw(random, 2, 13));
    std::vector<double> index;
    double sum = 0;
    for (std::size_t s = 0; s < periods; ++s) sum += index.emplace_back(0.2 + uniform(random) * 2);
    for (double& each : index) each *= static_cast<double>(periods) / sum;
    History history =
        shaped(index, 4 * periods + static_cast<std::size_t>(draw(random, 0, 5)), 40, 0);
    // One season in four is missing in the second cycle, and some more cells at the ends.
    for (std::size_t s = 0; s < periods; ++s) {
      if (draw(random, 0, 3) == 0) history[periods + s].reset();
    }
    if (draw(random, 0, 1) == 1) history[0].reset();
    history.emplace_back();
    const auto season = find_season(history, periods);
    ASSERT_TRUE(season) << season.error().sentence;
    for (std::size_t s = 0; s < periods; ++s) EXPECT_NEAR(season->index[s], index[s], 1e-9);
    const std::vector<double> next = project(*season, periods, std::nullopt);
    for (std::size_t k = 0; k < periods; ++k) {
      EXPECT_NEAR(next[k], 40 * index[(history.size() - 1 + k) % periods], 1e-6);
    }
  }
}

TEST(Season, FollowsTheTrendAndTheGrowthItIsTold) {
  const std::vector<double> index{0.5, 1.5};
  const auto season = find_season(shaped(index, 24, 100, 2), 2);
  ASSERT_TRUE(season);
  const std::vector<double> line = project(*season, 4, std::nullopt);
  for (std::size_t k = 0; k < 4; ++k) {
    const double truth = (100 + 2 * static_cast<double>(24 + k)) * index[k % 2];
    EXPECT_NEAR(line[k], truth, 0.02 * truth);
  }
  // The last cycle's level lies in its middle, a cycle and a half before the next one's first.
  const auto flat = find_season(shaped(index, 24, 100, 0), 2);
  ASSERT_TRUE(flat);
  const std::vector<double> grown = project(*flat, 2, 0.1);
  EXPECT_NEAR(grown[0], 100 * 0.5 * std::pow(1.1, 0.75), 1e-9);
  EXPECT_NEAR(grown[1], 100 * 1.5 * std::pow(1.1, 1.25), 1e-9);
}

}  // namespace
}  // namespace loftledger::planning
