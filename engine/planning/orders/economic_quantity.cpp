// Orders of one size over and over: the square-root rule, and price and freight tables exactly.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "engine/base/number_text.hpp"
#include "engine/catalogue/describe.hpp"
#include "engine/planning/areas.hpp"
#include "engine/planning/orders/order_charges.hpp"

namespace loftledger::planning {

using namespace catalogue;

namespace {

constexpr std::string_view kPriceTableText =
    "Rows of from cases and price a case; a price holds for the whole order. Or one price. The "
    "first row is the smallest order.";
constexpr std::string_view kFreightTableText =
    "Rows of from cases, charge an order and, where there is one, charge a case.";

// --- ORDERQUANTITY

Result<Count> order_quantity(Count demand, Money order_cost, Money holding_cost) {
  return Count{std::sqrt(2 * demand.value * order_cost.value / holding_cost.value)};
}

constexpr Parameter kOrderQuantityParameters[] = {
    {.name = "demand", .text = "Demand in a year (or another period).", .rule = Rule::positive},
    {.name = "order cost",
     .text = "Cost of placing and receiving one order, whatever its size.",
     .rule = Rule::positive},
    {.name = "holding cost",
     .text = "Cost of keeping one case in stock for that year or period.",
     .rule = Rule::positive},
};
constexpr Example kOrderQuantityExamples[] = {
    {"=ORDERQUANTITY(200;16;4)", 40.0},
    {"=ORDERQUANTITY(200;16;0)", Code::argument},
};
constexpr Function kOrderQuantity = describe<order_quantity>(
    {.id = "orderQuantity",
     .name = "ORDERQUANTITY",
     .group = Group::orders,
     .summary = "The order size that balances the cost of ordering against the cost of holding "
                "stock.",
     .returns = "a number in the units of the demand, not rounded",
     .source = "F. W. Harris, How many parts to make at once, Factory 10 (1913) 135-136: root of "
               "2 x demand x order cost / holding cost",
     .detail = "Holds for a steady demand and one price. Costs hardly change near the result: "
               "ordering and holding half as much or twice as much costs a quarter more. "
               "BESTORDERQUANTITY takes price "
               "and freight tables, ORDERCALENDAR a demand that changes from week to week."},
    kOrderQuantityParameters, kOrderQuantityExamples);

// 20 is 2,000%, and was meant as 20%.
constexpr Bare kHoldingShare{.most = 2, .advice = "20% is 0.2, or write \"20 %\""};

// --- BESTORDERQUANTITY

struct Terms {
  double demand;
  double order_cost;
  double holding_rate;
};

// Goods, freight, ordering and holding in a year, at that order size within that step.
double yearly_cost(const Terms& t, const ChargeStep& step, double quantity) {
  return t.demand * step.each() + t.demand / quantity * (t.order_cost + step.fixed()) +
         t.holding_rate * step.price * quantity / 2;
}

// The whole quantity of least cost. Within a step the cost is convex, so its best whole number is
// one of the two around the square-root rule, or an end of the step.
double best_quantity(const Terms& t, const std::vector<ChargeStep>& steps, double most) {
  double best = 0;
  double least = 0;
  for (const ChargeStep& step : steps) {
    const double first = static_cast<double>(step.first);
    const double last = std::min(most, static_cast<double>(step.last));
    if (first > last) continue;
    const double root =
        std::sqrt(2 * t.demand * (t.order_cost + step.fixed()) / (t.holding_rate * step.price));
    for (double candidate : {std::floor(root), std::floor(root) + 1}) {
      const double quantity = std::clamp(candidate, first, last);
      const double cost = yearly_cost(t, step, quantity);
      if (best == 0 || cost < least) {
        best = quantity;
        least = cost;
      }
    }
  }
  return best;
}

Result<std::vector<ChargeStep>> priced_charges(const PriceTable& prices, int price_index,
                                               const std::optional<FreightTable>& freight) {
  Result<std::vector<ChargeStep>> steps =
      read_charges(prices, price_index, freight, price_index + 1);
  if (!steps) return steps;
  for (const ChargeStep& step : *steps) {
    if (step.price <= 0) {
      return refuse(price_index,
                    fmt::format("price table gives {1} as the price from {0} cases; it "
                                "must be more than 0, or holding would cost nothing",
                                step.first, plain_number(step.price)));
    }
  }
  return steps;
}

Result<Count> best_order_quantity(Count demand, Money order_cost, Ratio holding_rate,
                                  const PriceTable& prices,
                                  const std::optional<FreightTable>& freight,
                                  const std::optional<Count>& storage) {
  const Result<std::vector<ChargeStep>> steps = priced_charges(prices, 3, freight);
  if (!steps) return steps.error();
  const double most = storage ? storage->value : 1e15;
  if (most < static_cast<double>(steps->front().first)) {
    return refuse(5, fmt::format("storage limit is {}; the smallest order is {} cases",
                                 plain_number(most), steps->front().first));
  }
  return Count{best_quantity({demand.value, order_cost.value, holding_rate.value}, *steps, most)};
}

constexpr Parameter kBestOrderQuantityParameters[] = {
    {.name = "demand", .text = "Cases used in a year (or another period).", .rule = Rule::positive},
    {.name = "order cost",
     .text = "Cost of placing and receiving one order, without freight.",
     .rule = Rule::not_negative},
    {.name = "holding rate",
     .text = "Cost of keeping stock for that year or period, as a share of the price: 20%; at most "
             "2 (200%).",
     .rule = Rule::positive,
     .bare = kHoldingShare},
    {.name = "price table", .text = kPriceTableText},
    {.name = "freight table", .text = kFreightTableText},
    {.name = "storage limit",
     .text = "Most cases of one order that can be put away.",
     .rule = Rule::whole_positive},
};
constexpr Example kBestOrderQuantityExamples[] = {
    {"=BESTORDERQUANTITY(1300;8;30%;{0;0.75|400;0.72|800;0.68})", 800.0},
    {"=BESTORDERQUANTITY(120;12;20%;60;{1;0;18|8;150;0|25;300;0|49;450;0})", 24.0,
     "one full pallet; parcels below 8 cases, a pallet for every 24"},
    {"=BESTORDERQUANTITY(120;12;20%;{1;60|10;55};;8)", 8.0, "there is room for 8 only"},
    {"=BESTORDERQUANTITY(120;12;20%;{10;60|5;55})", Code::argument, "the steps must rise"},
};
constexpr Function kBestOrderQuantity = describe<best_order_quantity>(
    {.id = "bestOrderQuantity",
     .name = "BESTORDERQUANTITY",
     .group = Group::orders,
     .summary = "The whole number of cases to order each time at the least yearly cost, with price "
                "breaks and freight steps.",
     .returns = "a whole number of cases; exact, not a heuristic",
     .source = "all-units discounts as in Snyder and Shen, Fundamentals of Supply Chain Theory, "
               "section 3.4, with a freight charge in every step",
     .detail = "Every step of the two tables is searched, so prices and charges may rise or fall "
               "as they like. Holding cost is reckoned on the price without freight, on half an "
               "order on average. ORDERINGCOST gives the cost of any quantity."},
    kBestOrderQuantityParameters, kBestOrderQuantityExamples);

// --- ORDERINGCOST

Result<Money> ordering_cost(Count quantity, Count demand, Money order_cost, Ratio holding_rate,
                            const PriceTable& prices, const std::optional<FreightTable>& freight) {
  const Result<std::vector<ChargeStep>> steps = priced_charges(prices, 4, freight);
  if (!steps) return steps.error();
  const double cases = std::min(quantity.value, 1e15);
  const ChargeStep* step = step_of(*steps, static_cast<std::int64_t>(cases));
  if (step == nullptr) {
    return refuse(0, fmt::format("quantity is {}; the smallest order is {} cases",
                                 plain_number(quantity.value), steps->front().first));
  }
  return Money{
      yearly_cost({demand.value, order_cost.value, holding_rate.value}, *step, quantity.value)};
}

constexpr Parameter kOrderingCostParameters[] = {
    {.name = "quantity", .text = "Cases of one order.", .rule = Rule::whole_positive},
    {.name = "demand", .text = "Cases used in a year (or another period).", .rule = Rule::positive},
    {.name = "order cost",
     .text = "Cost of placing and receiving one order, without freight.",
     .rule = Rule::not_negative},
    {.name = "holding rate",
     .text = "Cost of keeping stock for that year or period, as a share of the price: 20%; at most "
             "2 (200%).",
     .rule = Rule::positive,
     .bare = kHoldingShare},
    {.name = "price table", .text = kPriceTableText},
    {.name = "freight table", .text = kFreightTableText},
};
constexpr Example kOrderingCostExamples[] = {
    {"=ORDERINGCOST(800;1300;8;30%;{0;0.75|400;0.72|800;0.68})", 978.6},
    {"=ORDERINGCOST(40;200;16;10%;40)", 8160.0, "8000 for goods, 80 to order, 80 to hold"},
    {"=ORDERINGCOST(5;200;16;10%;{10;40})", Code::argument, "10 cases are the smallest order"},
};
constexpr Function kOrderingCost = describe<ordering_cost>(
    {.id = "orderingCost",
     .name = "ORDERINGCOST",
     .group = Group::orders,
     .summary = "What a year's fibre costs when it is ordered in lots of one size: goods, freight, "
                "ordering and holding.",
     .returns = "an amount for the year (or the period of the demand)",
     .source = "as for BESTORDERQUANTITY"},
    kOrderingCostParameters, kOrderingCostExamples);

constexpr Function kFunctions[] = {kOrderQuantity, kBestOrderQuantity, kOrderingCost};

}  // namespace

Functions order_quantity_functions() { return kFunctions; }

}  // namespace loftledger::planning
