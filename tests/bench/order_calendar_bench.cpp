// How the time of an order calendar grows with its horizon. A cell should take less than 50 ms for
// 52 and 104 weeks.
#include <benchmark/benchmark.h>

#include <cstdint>

#include "engine/catalogue/function.hpp"
#include "engine/planning/catalogue.hpp"
#include "engine/planning/orders/lot_sizing.hpp"

namespace loftledger::planning {
namespace {

// Some eight cases a week with a season, the same every time.
LotProblem weeks(std::int64_t horizon) {
  LotProblem p;
  std::uint64_t state = 88172645463325252u;
  for (std::int64_t t = 0; t < horizon; ++t) {
    state = state * 6364136223846793005u + 1442695040888963407u;
    const double noise = static_cast<double>(state >> 40) / static_cast<double>(1 << 24);
    p.demand.push_back((t % 52 > 44 ? 14.0 : 6.0) + 4 * noise);
    p.order_cost.push_back(20);
    p.holding_cost.push_back(0.3);
  }
  p.steps = {{1, kNoLastCase, 60, 0, 0}};
  return p;
}

void report(benchmark::State& state, const LotProblem& problem) {
  for (auto _ : state) {
    auto lots = best_lots(problem);
    if (!lots) state.SkipWithError("no plan");
    benchmark::DoNotOptimize(lots);
  }
  state.SetComplexityN(state.range(0));
}

// One price: the recursion.
void plain(benchmark::State& state) { report(state, weeks(state.range(0))); }

// Parcels or pallets, three prices, and a store that holds 60 cases.
LotProblem whole(std::int64_t horizon) {
  LotProblem p = weeks(horizon);
  p.steps = {{1, 7, 60, 0, 18},
             {8, 9, 60, 150, 0},
             {10, 24, 57, 150, 0},
             {25, 48, 54, 300, 0},
             {49, kNoLastCase, 54, 450, 0}};
  p.storage = 60;
  return p;
}
void with_limit(benchmark::State& state) { report(state, whole(state.range(0))); }

// The same without a limit to the store, so that every number of cases must be looked at.
void with_steps(benchmark::State& state) {
  LotProblem p = whole(state.range(0));
  p.storage.reset();
  report(state, p);
}

// A cell: the function with its texts, tables and array, as the evaluator calls it.
void cell(benchmark::State& state) {
  const LotProblem p = whole(state.range(0));
  Matrix demand(p.periods(), 1);
  for (std::size_t t = 0; t < p.periods(); ++t) demand.at(t, 0) = Value(p.demand[t]);
  Matrix prices(3, 2);
  Matrix freight(4, 3);
  const double price_rows[3][2] = {{1, 60}, {10, 57}, {25, 54}};
  const double freight_rows[4][3] = {{1, 0, 18}, {8, 150, 0}, {25, 300, 0}, {49, 450, 0}};
  for (std::size_t r = 0; r < 3; ++r) {
    for (std::size_t c = 0; c < 2; ++c) prices.at(r, c) = Value(price_rows[r][c]);
  }
  for (std::size_t r = 0; r < 4; ++r) {
    for (std::size_t c = 0; c < 3; ++c) freight.at(r, c) = Value(freight_rows[r][c]);
  }
  using catalogue::Argument;
  const Argument arguments[] = {Argument::of(demand),      Argument::of(Value(0.0)),
                                Argument::of(Value(20.0)), Argument::of(Value(0.3)),
                                Argument::of(prices),      Argument::of(freight)};
  const catalogue::Function* function = planning::catalogue().find("ORDERCALENDAR");
  for (auto _ : state) benchmark::DoNotOptimize(catalogue::call(*function, arguments));
  state.SetComplexityN(state.range(0));
}

BENCHMARK(plain)->Arg(13)->Arg(26)->Arg(52)->Arg(104)->Arg(208)->Arg(416)->Complexity();
BENCHMARK(with_limit)->Arg(13)->Arg(26)->Arg(52)->Arg(104)->Arg(208)->Arg(416)->Complexity();
BENCHMARK(with_steps)->Arg(13)->Arg(26)->Arg(52)->Arg(104)->Arg(208)->Arg(416)->Complexity();
BENCHMARK(cell)->Arg(26)->Arg(52)->Arg(104)->Complexity();

}  // namespace
}  // namespace loftledger::planning
