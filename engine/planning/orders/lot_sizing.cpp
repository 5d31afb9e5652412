#include "engine/planning/orders/lot_sizing.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "engine/base/number_text.hpp"
#include "engine/planning/common/whole.hpp"

namespace loftledger::planning {

namespace {

constexpr double kInfinity = std::numeric_limits<double>::infinity();
constexpr double kMostCases = 1e12;
// Together they keep a search below a fifth of a second and its memory below 40 MB.
constexpr double kMostStates = 1e7;
constexpr double kMostWork = 4e7;

Error refusal(std::string sentence) { return Error(Code::argument, std::move(sentence)); }

double order_cost_at(const LotProblem& p, std::size_t arrival) {
  return p.order_cost[arrival - p.lead_time];
}

// What the plan must cover and what fits, in whole cases ordered since the start.
struct Bounds {
  std::vector<std::int64_t> need;  // by the end of each period; never falls
  std::vector<std::int64_t> room;  // after an order in each period
  std::vector<double> base;        // stock at each period's end if nothing is ordered
};

Result<Bounds> bounds_of(const LotProblem& p) {
  const std::size_t n = p.periods();
  Bounds b;
  double supply = p.on_hand;
  double asked = 0;
  std::int64_t need = 0;
  for (std::size_t t = 0; t < n; ++t) {
    if (!p.arriving.empty()) supply += p.arriving[t];
    const double room =
        p.storage ? whole_down(*p.storage - supply + asked) : static_cast<double>(kMostCases);
    b.room.push_back(static_cast<std::int64_t>(std::clamp(room, -1.0, kMostCases)));
    asked += p.demand[t];
    const double lacking = whole_up(asked + p.lowest - supply);
    if (lacking > kMostCases || supply > kMostCases) {
      return refusal(
          fmt::format("the cases add up to more than can be planned by period {}", t + 1));
    }
    need = std::max(need, static_cast<std::int64_t>(std::max(0.0, lacking)));
    if (need > 0 && t < p.lead_time) {
      return refusal(fmt::format(
          "the stock falls short by {} in period {}, and with a lead time of {} no "
          "order can arrive before period {}",
          plain_number(tidy(asked + p.lowest - supply)), t + 1, p.lead_time, p.lead_time + 1));
    }
    b.need.push_back(need);
    b.base.push_back(supply - asked);
  }
  return b;
}

// From the period of arrival to the period of placing.
std::vector<std::int64_t> by_placing(const LotProblem& p, std::span<const std::int64_t> arrivals) {
  std::vector<std::int64_t> orders(p.periods(), 0);
  for (std::size_t t = p.lead_time; t < p.periods(); ++t) orders[t - p.lead_time] = arrivals[t];
  return orders;
}

// The most cases that a best plan can order. An order beyond the need pays only where it reaches a
// step that costs less in all than some smaller order would.
std::int64_t most_cases(const LotProblem& p, std::int64_t need) {
  std::int64_t reach = 1;
  for (const ChargeStep& step : p.steps) {
    const std::int64_t smaller = std::min(need, step.first - 1);
    const double cost = step.cost(static_cast<double>(step.first));
    bool pays = smaller >= 1 && smaller < p.steps.front().first;
    // Within a step the cost rises with the cases, so its last one costs the most.
    for (const ChargeStep& other : p.steps) {
      if (other.first > smaller) break;
      pays |= other.cost(static_cast<double>(std::min(other.last, smaller))) > cost;
    }
    if (pays) reach = std::max(reach, step.first);
  }
  return need + reach - 1;
}

// The least of (cost so far - each x cases) over a window that slides up with the cases.
class Window {
 public:
  void clear() {
    held_.clear();
    front_ = 0;
  }
  void push(std::int64_t cases, double value) {
    while (held_.size() > front_ && held_.back().value >= value) held_.pop_back();
    held_.push_back({cases, value});
  }
  void drop_below(std::int64_t cases) {
    while (front_ < held_.size() && held_[front_].cases < cases) ++front_;
  }
  bool empty() const { return front_ == held_.size(); }
  std::int64_t cases() const { return held_[front_].cases; }
  double value() const { return held_[front_].value; }

 private:
  struct Entry {
    std::int64_t cases;
    double value;
  };
  std::vector<Entry> held_;
  std::size_t front_ = 0;
};

// The least cost of every number of cases ordered so far, from `first` on.
struct Layer {
  std::int64_t first = 0;
  std::vector<double> cost;

  std::int64_t last() const { return first + static_cast<std::int64_t>(cost.size()) - 1; }
  double& at(std::int64_t cases) { return cost[static_cast<std::size_t>(cases - first)]; }
  double at(std::int64_t cases) const { return cost[static_cast<std::size_t>(cases - first)]; }
};

// Tries all orders that fall into one step, arriving in this period.
void order_in_step(const Layer& before, const ChargeStep& step, double order_cost,
                   std::int64_t room, Window& window, Layer& after, std::vector<std::int32_t>& from,
                   std::size_t offset) {
  window.clear();
  const double each = step.each();
  const double fixed = step.fixed() + order_cost;
  const std::int64_t start = std::max(after.first, before.first + step.first);
  std::int64_t next = before.first;
  for (std::int64_t y = start; y <= std::min(after.last(), room); ++y) {
    for (; next <= std::min(y - step.first, before.last()); ++next) {
      const double cost = before.at(next);
      if (cost < kInfinity) window.push(next, cost - each * static_cast<double>(next));
    }
    if (step.last != kNoLastCase) window.drop_below(y - step.last);
    if (window.empty()) continue;
    const double cost = window.value() + fixed + each * static_cast<double>(y);
    if (cost < after.at(y)) {
      after.at(y) = cost;
      from[offset + static_cast<std::size_t>(y - after.first)] =
          static_cast<std::int32_t>(window.cases() - before.first);
    }
  }
}

// What the search by states goes through.
struct Span {
  std::vector<std::int64_t> reach;  // how far the cases ordered so far can reach by each period
  std::vector<std::size_t> offset;  // where the states of each period begin, and where all end
};

Result<Span> span_of(const LotProblem& p, const Bounds& bounds) {
  const std::size_t n = p.periods();
  const std::int64_t most = most_cases(p, bounds.need.back());
  Span out{std::vector<std::int64_t>(n), std::vector<std::size_t>(n + 1, 0)};
  double states = 0;
  std::int64_t farthest = 0;
  for (std::size_t t = 0; t < n; ++t) {
    if (t >= p.lead_time) farthest = std::max(farthest, std::min(most, bounds.room[t]));
    out.reach[t] = farthest;
    if (farthest < bounds.need[t]) {
      return refusal(
          fmt::format("no order that fits into a storage limit of {} can serve period {}",
                      plain_number(*p.storage), t + 1));
    }
    states += static_cast<double>(farthest - bounds.need[t] + 1);
    if (states > kMostStates || states * static_cast<double>(p.steps.size()) > kMostWork) {
      return refusal(
          fmt::format("{} periods with up to {} cases on order are too many to search through; "
                      "take fewer periods, or count in larger lots",
                      n, most));
    }
    out.offset[t + 1] = static_cast<std::size_t>(states);
  }
  return out;
}

}  // namespace

const ChargeStep* step_of(std::span<const ChargeStep> steps, std::int64_t cases) {
  const ChargeStep* found = nullptr;
  for (const ChargeStep& step : steps) {
    if (step.first <= cases) found = &step;
  }
  return found;
}

Result<std::vector<std::int64_t>> lots_by_recursion(const LotProblem& p) {
  Result<Bounds> bounds = bounds_of(p);
  if (!bounds) return std::move(bounds).error();
  const std::vector<std::int64_t>& need = bounds->need;
  const std::size_t n = p.periods();
  // least[t]: the least cost of covering the first t periods with nothing over at their end;
  // opened[t]: the period whose order covers the last of them, or t where none is needed.
  std::vector<double> least(n + 1, kInfinity);
  std::vector<std::size_t> opened(n + 1, 0);
  least[0] = 0;
  for (std::size_t t = 1; t <= n; ++t) {
    const std::int64_t before = t == 1 ? 0 : need[t - 2];
    if (need[t - 1] == before) {
      least[t] = least[t - 1];
      opened[t] = t;
      continue;
    }
    double holding = 0;
    for (std::size_t j = t; j > p.lead_time; --j) {
      holding += p.holding_cost[j - 1] * static_cast<double>(need[t - 1] - need[j - 1]);
      const double cost =
          least[j - 1] + order_cost_at(p, j - 1) + p.steps.front().fixed() + holding;
      if (cost < least[t]) {
        least[t] = cost;
        opened[t] = j - 1;
      }
    }
  }
  std::vector<std::int64_t> arrivals(n, 0);
  for (std::size_t t = n; t > 0;) {
    if (opened[t] == t) {
      --t;
      continue;
    }
    const std::size_t j = opened[t];
    arrivals[j] = need[t - 1] - (j == 0 ? 0 : need[j - 1]);
    t = j;
  }
  return by_placing(p, arrivals);
}

Result<std::vector<std::int64_t>> lots_by_states(const LotProblem& p) {
  Result<Bounds> bounds = bounds_of(p);
  if (!bounds) return std::move(bounds).error();
  Result<Span> span = span_of(p, *bounds);
  if (!span) return std::move(span).error();
  const std::size_t n = p.periods();
  const auto& [reach, offset] = *span;

  std::vector<std::int32_t> from(offset[n], -1);
  Window window;
  Layer before{0, {0.0}};
  Layer after;
  std::vector<std::int64_t> first_before(n);
  for (std::size_t t = 0; t < n; ++t) {
    first_before[t] = before.first;
    after.first = bounds->need[t];
    after.cost.assign(static_cast<std::size_t>(reach[t] - after.first + 1), kInfinity);
    for (std::int64_t y = after.first; y <= std::min(before.last(), after.last()); ++y) {
      after.at(y) = before.at(y);
      from[offset[t] + static_cast<std::size_t>(y - after.first)] =
          static_cast<std::int32_t>(y - before.first);
    }
    if (t >= p.lead_time) {
      for (const ChargeStep& step : p.steps) {
        order_in_step(before, step, order_cost_at(p, t), bounds->room[t], window, after, from,
                      offset[t]);
      }
    }
    bool reached = false;
    for (std::int64_t y = after.first; y <= after.last(); ++y) {
      const double stock = bounds->base[t] + static_cast<double>(y);
      after.at(y) += p.holding_cost[t] * std::max(0.0, stock);
      reached |= after.at(y) < kInfinity;
    }
    if (!reached) {
      return refusal(fmt::format(
          "no plan serves period {}: with orders of {} or more, {}", t + 1, p.steps.front().first,
          p.storage ? fmt::format("the storage limit of {} is passed", plain_number(*p.storage))
                    : std::string("nothing fits")));
    }
    std::swap(before, after);
  }

  std::int64_t cases = before.first;
  for (std::int64_t y = before.first; y <= before.last(); ++y) {
    if (before.at(y) < before.at(cases)) cases = y;
  }
  std::vector<std::int64_t> arrivals(n, 0);
  for (std::size_t t = n; t-- > 0;) {
    const std::size_t index = offset[t] + static_cast<std::size_t>(cases - bounds->need[t]);
    const std::int64_t earlier = first_before[t] + from[index];
    arrivals[t] = cases - earlier;
    cases = earlier;
  }
  return by_placing(p, arrivals);
}

Result<std::vector<std::int64_t>> best_lots(const LotProblem& p) {
  if (p.steps.size() == 1 && p.steps.front().first <= 1) {
    Result<std::vector<std::int64_t>> lots = lots_by_recursion(p);
    // A best plan among all is a best plan among those that fit, if it fits.
    if (!lots || !p.storage || run_plan(p, *lots)) return lots;
  }
  return lots_by_states(p);
}

Result<std::vector<LotPeriod>> run_plan(const LotProblem& p, std::span<const std::int64_t> orders) {
  const std::size_t n = p.periods();
  std::vector<LotPeriod> out(n);
  double stock = p.on_hand;
  for (std::size_t t = 0; t < n; ++t) {
    LotPeriod& now = out[t];
    now.order = static_cast<double>(orders[t]);
    if (orders[t] > 0) {
      const ChargeStep* step = step_of(p.steps, orders[t]);
      if (step == nullptr) {
        return refusal(fmt::format("{} in period {} is less than the smallest order, {}", orders[t],
                                   t + 1, p.steps.front().first));
      }
      if (t + p.lead_time >= n) {
        return refusal(
            fmt::format("an order placed in period {} arrives after the last period", t + 1));
      }
      now.goods = step->price * now.order;
      now.freight = step->freight_order + step->freight_case * now.order;
      now.ordering = p.order_cost[t];
    }
    const std::int64_t own = t >= p.lead_time ? orders[t - p.lead_time] : 0;
    now.arrives = static_cast<double>(own) + (p.arriving.empty() ? 0.0 : p.arriving[t]);
    stock = tidy(stock + now.arrives);
    if (own > 0 && p.storage && stock > *p.storage + kNoise) {
      return refusal(fmt::format("the store holds {} in period {}; the limit is {}",
                                 plain_number(stock), t + 1, plain_number(*p.storage)));
    }
    stock = tidy(stock - p.demand[t]);
    if (stock < p.lowest - kNoise) {
      return refusal(fmt::format("the stock at the end of period {} is {}; it must be {} or more",
                                 t + 1, plain_number(stock), plain_number(p.lowest)));
    }
    now.stock = stock;
    now.holding = p.holding_cost[t] * std::max(0.0, stock);
  }
  return out;
}

double total_cost(std::span<const LotPeriod> periods) {
  double total = 0;
  for (const LotPeriod& period : periods) total += period.cost();
  return total;
}

}  // namespace loftledger::planning
