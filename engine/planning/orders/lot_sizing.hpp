// How many whole cases to order in which period, at the least cost: numbers only.
#pragma once

#include <cstddef>
#include <cstdint>
#include <limits>
#include <optional>
#include <span>
#include <vector>

#include "engine/base/result.hpp"

namespace loftledger::planning {

inline constexpr std::int64_t kNoLastCase = std::numeric_limits<std::int64_t>::max();

// What an order of `first` to `last` cases costs: one step of a price and a freight table.
struct ChargeStep {
  std::int64_t first = 1;
  std::int64_t last = kNoLastCase;
  double price = 0;          // a case
  double freight_order = 0;  // an order
  double freight_case = 0;   // a case

  double fixed() const { return freight_order; }
  double each() const { return price + freight_case; }
  double cost(double cases) const { return fixed() + each() * cases; }
};

// The step that an order of so many cases falls into; nullptr below the smallest order.
const ChargeStep* step_of(std::span<const ChargeStep> steps, std::int64_t cases);

struct LotProblem {
  std::vector<double> demand;        // cases in each period, 0 or more; fractions are fine
  double on_hand = 0;                // cases at the start
  double lowest = 0;                 // cases that must be left at the end of every period
  std::vector<double> arriving;      // cases ordered before, by period of arrival; empty: none
  std::vector<double> order_cost;    // of placing an order, by period
  std::vector<double> holding_cost;  // of a case in stock at a period's end, by period
  std::vector<ChargeStep> steps;     // in order; the last is open-ended
  std::optional<double> storage;     // cases that fit in when an order has just arrived
  std::size_t lead_time = 0;         // periods from placing an order to its arrival

  std::size_t periods() const { return demand.size(); }
};

// Cases to order in each period (by the period of placing), at the least total cost of goods,
// freight, ordering and holding. Exact: the recursion of Wagner and Whitin (Management Science 5,
// 1958, 89-96) where every case costs the same and storage does not bind; otherwise a dynamic
// program over the cases ordered so far, which needs no property of the optimum and takes
// periods x cases x steps operations. Refuses what cannot be met, and what is too large.
Result<std::vector<std::int64_t>> best_lots(const LotProblem& problem);

// The two roads of best_lots(), so that they can be compared. The recursion ignores storage and
// takes the first step's costs for every order.
Result<std::vector<std::int64_t>> lots_by_recursion(const LotProblem& problem);
Result<std::vector<std::int64_t>> lots_by_states(const LotProblem& problem);

// What happens in one period; costs stand in the period of placing, holding in its own.
struct LotPeriod {
  double order = 0;    // cases ordered now
  double arrives = 0;  // cases that come in now, those ordered before the start included
  double stock = 0;    // cases at the end
  double goods = 0;
  double freight = 0;
  double ordering = 0;
  double holding = 0;

  double cost() const { return goods + freight + ordering + holding; }
};

// Runs through any plan; refuses one that leaves too little stock, does not fit into the store,
// orders less than the smallest order, or places an order that arrives after the last period.
Result<std::vector<LotPeriod>> run_plan(const LotProblem& problem,
                                        std::span<const std::int64_t> orders);

double total_cost(std::span<const LotPeriod> periods);

}  // namespace loftledger::planning
