// Orders for a demand that changes from period to period.
#include <fmt/format.h>

#include <array>

#include "engine/base/number_text.hpp"
#include "engine/catalogue/describe.hpp"
#include "engine/planning/areas.hpp"
#include "engine/planning/common/whole.hpp"
#include "engine/planning/orders/lot_sizing.hpp"
#include "engine/planning/orders/order_charges.hpp"

namespace loftledger::planning {

using namespace catalogue;

namespace {

constexpr std::size_t kMostPeriods = 1000;

// The places of the arguments, the same in both functions.
enum Place { kDemand, kOnHand, kOrderCost, kHoldingCost, kPrices, kFreight, kArriving = 9, kOwn };

// One number for all periods, or one for each.
Result<std::vector<double>> by_period(const List<Money>& given, std::size_t periods, int index,
                                      std::string_view name) {
  if (given.values.size() == 1) return std::vector<double>(periods, given.values[0]);
  if (given.values.size() == periods) return given.values;
  return refuse(index,
                fmt::format("{} has {}; it takes one, or one for each of the {}", name,
                            counted(given.values.size(), "number"), counted(periods, "period")));
}

// A row or column with a figure for every period; an empty cell is none.
Result<std::vector<double>> every_period(const Series<Count>& given, std::size_t periods, int index,
                                         std::string_view name) {
  if (given.values.size() != periods) {
    return refuse(
        index, fmt::format("{} has {}; demand has {}", name, counted(given.values.size(), "cell"),
                           counted(periods, "period")));
  }
  std::vector<double> out;
  for (const std::optional<double>& cell : given.values) out.push_back(cell.value_or(0.0));
  return out;
}

// The arguments of both functions as they come.
struct Inputs {
  const Series<Count>& demand;
  Count on_hand;
  const List<Money>& order_cost;
  const List<Money>& holding_cost;
  const std::optional<PriceTable>& prices;
  const std::optional<FreightTable>& freight;
  const std::optional<Count>& storage;
  Number lead_time;
  Count lowest;
  const std::optional<Series<Count>>& arriving;
};

Result<LotProblem> problem_of(const Inputs& in) {
  LotProblem p;
  const std::size_t n = in.demand.values.size();
  if (n > kMostPeriods) {
    return refuse(kDemand,
                  fmt::format("demand has {} periods; {} can be planned at once", n, kMostPeriods));
  }
  for (std::size_t t = 0; t < n; ++t) {
    if (!in.demand.values[t]) {
      return refuse(kDemand, fmt::format("demand is empty in period {}; write 0 where nothing is "
                                         "needed",
                                         t + 1));
    }
    p.demand.push_back(*in.demand.values[t]);
  }
  Result<std::vector<double>> order_cost = by_period(in.order_cost, n, kOrderCost, "order cost");
  if (!order_cost) return std::move(order_cost).error();
  Result<std::vector<double>> holding = by_period(in.holding_cost, n, kHoldingCost, "holding cost");
  if (!holding) return std::move(holding).error();
  Result<std::vector<ChargeStep>> steps = read_charges(in.prices, kPrices, in.freight, kFreight);
  if (!steps) return std::move(steps).error();
  if (in.arriving) {
    Result<std::vector<double>> arriving = every_period(*in.arriving, n, kArriving, "arriving");
    if (!arriving) return std::move(arriving).error();
    p.arriving = *std::move(arriving);
  }
  p.on_hand = in.on_hand.value;
  p.lowest = in.lowest.value;
  p.order_cost = *std::move(order_cost);
  p.holding_cost = *std::move(holding);
  p.steps = *std::move(steps);
  if (in.storage) p.storage = in.storage->value;
  p.lead_time = static_cast<std::size_t>(std::min(in.lead_time.value, double{kMostPeriods}));
  return p;
}

// --- ORDERCALENDAR

constexpr std::array kHeadings{"period", "demand",  "order",    "arrives", "stock",
                               "goods",  "freight", "ordering", "holding", "cost"};

Matrix calendar(const LotProblem& problem, std::span<const LotPeriod> periods) {
  const std::size_t n = periods.size();
  Matrix out(n + 2, kHeadings.size());
  for (std::size_t c = 0; c < kHeadings.size(); ++c) out.at(0, c) = Value(kHeadings[c]);
  std::array<double, kHeadings.size()> total{};
  for (std::size_t t = 0; t < n; ++t) {
    const LotPeriod& p = periods[t];
    const std::array<double, kHeadings.size()> row{static_cast<double>(t + 1),
                                                   problem.demand[t],
                                                   p.order,
                                                   p.arrives,
                                                   p.stock,
                                                   p.goods,
                                                   p.freight,
                                                   p.ordering,
                                                   p.holding,
                                                   p.cost()};
    for (std::size_t c = 0; c < row.size(); ++c) {
      out.at(t + 1, c) = Value(row[c]);
      total[c] += row[c];
    }
  }
  for (std::size_t c = 0; c < total.size(); ++c) out.at(n + 1, c) = Value(tidy(total[c]));
  out.at(n + 1, 0) = Value("total");
  out.at(n + 1, 4) = n == 0 ? Value() : Value(periods.back().stock);
  return out;
}

Result<Matrix> order_calendar(const Series<Count>& demand, Count on_hand,
                              const List<Money>& order_cost, const List<Money>& holding_cost,
                              const std::optional<PriceTable>& prices,
                              const std::optional<FreightTable>& freight,
                              const std::optional<Count>& storage, Number lead_time, Count lowest,
                              const std::optional<Series<Count>>& arriving) {
  const Result<LotProblem> problem = problem_of({demand, on_hand, order_cost, holding_cost, prices,
                                                 freight, storage, lead_time, lowest, arriving});
  if (!problem) return problem.error();
  const Result<std::vector<std::int64_t>> lots = best_lots(*problem);
  if (!lots) return lots.error();
  const Result<std::vector<LotPeriod>> periods = run_plan(*problem, *lots);
  if (!periods) return periods.error();
  return calendar(*problem, *periods);
}

constexpr Parameter kDemandParameter{.name = "demand",
                                     .text =
                                         "Cases needed in each period (a week, say), in order; "
                                         "fractions are fine. 1,000 periods at most.",
                                     .rule = Rule::not_negative};
constexpr Parameter kOnHandParameter{
    .name = "on hand", .text = "Cases in stock at the start.", .rule = Rule::not_negative};
constexpr Parameter kOrderCostParameter{
    .name = "order cost",
    .text =
        "Cost of placing and receiving one order, without freight; one number, or one for each "
        "period.",
    .rule = Rule::not_negative};
constexpr Parameter kHoldingCostParameter{
    .name = "holding cost",
    .text =
        "Cost of a case that is in stock at a period's end; one number, or one for each "
        "period.",
    .rule = Rule::not_negative};
constexpr Parameter kPriceTableParameter{
    .name = "price table",
    .text =
        "Rows of from cases and price a case; a price holds for the whole order. Or one price. "
        "The first row is the smallest order. Left out: goods are not counted."};
constexpr Parameter kFreightTableParameter{
    .name = "freight table",
    .text = "Rows of from cases, charge an order and, where there is one, charge a case."};
constexpr Parameter kStorageParameter{
    .name = "storage limit",
    .text = "Most cases that fit into the store when an order has just arrived.",
    .rule = Rule::positive};
constexpr Parameter kLeadTimeParameter{
    .name = "lead time",
    .text =
        "Whole periods from placing an order to its arrival; 0: it arrives at the start of its "
        "own period.",
    .rule = Rule::whole,
    .fallback = 0.0};
constexpr Parameter kLowestParameter{
    .name = "lowest stock",
    .text = "Safety stock: cases that must be left at the end of every period.",
    .rule = Rule::not_negative,
    .fallback = 0.0};
constexpr Parameter kArrivingParameter{
    .name = "arriving",
    .text =
        "Cases that were ordered before, by the period in which they arrive; empty cells are "
        "none.",
    .rule = Rule::not_negative};

constexpr Parameter kOrderCalendarParameters[] = {
    kDemandParameter,     kOnHandParameter,       kOrderCostParameter, kHoldingCostParameter,
    kPriceTableParameter, kFreightTableParameter, kStorageParameter,   kLeadTimeParameter,
    kLowestParameter,     kArrivingParameter};
constexpr Example kOrderCalendarExamples[] = {
    {"=ORDERCALENDAR({90;120;80;70};0;500;2)", "period", "the first heading of the array"},
    {"=ORDERCALENDAR({4;6;30};0;25;0.5;;;20)", Code::argument, "period 3 needs more than fits"},
};
constexpr Function kOrderCalendar = describe<order_calendar>(
    {.id = "orderCalendar",
     .name = "ORDERCALENDAR",
     .group = Group::orders,
     .summary = "When to order how many cases, at the least total cost of goods, freight, ordering "
                "and holding.",
     .returns = "an array: a row of headings, a row for each period (period, demand, order, "
                "arrives, stock, goods, freight, ordering, holding, cost), and a row of totals, "
                "which shows the stock at the end",
     .source = "H. M. Wagner and T. M. Whitin, Dynamic version of the economic lot size model, "
               "Management Science 5 (1958) 89-96; with price breaks, freight steps or a storage "
               "limit that binds, an exact dynamic program over whole cases",
     .detail = "The plan is the best there is, not a rule of thumb: no other plan of whole cases "
               "that meets the demand costs less. Cases left at the end are worth nothing to it, "
               "so plan some periods further than needed. Costs stand in the period in which the "
               "order is placed, holding in the period whose end it is reckoned at. Where several "
               "plans cost the same, one of them is shown. Enter it as an array formula over "
               "periods + 2 rows and 10 columns."},
    kOrderCalendarParameters, kOrderCalendarExamples);

// --- CALENDARCOST

Result<Money> calendar_cost(const Series<Count>& demand, Count on_hand,
                            const List<Money>& order_cost, const List<Money>& holding_cost,
                            const std::optional<PriceTable>& prices,
                            const std::optional<FreightTable>& freight,
                            const std::optional<Count>& storage, Number lead_time, Count lowest,
                            const std::optional<Series<Count>>& arriving,
                            const std::optional<Series<Count>>& own_orders) {
  const Result<LotProblem> problem = problem_of({demand, on_hand, order_cost, holding_cost, prices,
                                                 freight, storage, lead_time, lowest, arriving});
  if (!problem) return problem.error();
  std::vector<std::int64_t> orders;
  if (own_orders) {
    const Result<std::vector<double>> own =
        every_period(*own_orders, problem->periods(), kOwn, "own orders");
    if (!own) return own.error();
    for (double cases : *own) {
      if (cases > 1e12) {
        return refuse(kOwn, fmt::format("own orders has {} in it; that is too many cases",
                                        plain_number(cases)));
      }
      orders.push_back(static_cast<std::int64_t>(cases));
    }
  } else {
    Result<std::vector<std::int64_t>> lots = best_lots(*problem);
    if (!lots) return lots.error();
    orders = *std::move(lots);
  }
  const Result<std::vector<LotPeriod>> periods = run_plan(*problem, orders);
  if (!periods) {
    Error error = periods.error();
    if (own_orders) {
      error.argument = kOwn;
      error.sentence = fmt::format("own orders do not work: {}", error.sentence);
    }
    return error;
  }
  return Money{total_cost(*periods)};
}

constexpr Parameter kCalendarCostParameters[] = {
    kDemandParameter,
    kOnHandParameter,
    kOrderCostParameter,
    kHoldingCostParameter,
    kPriceTableParameter,
    kFreightTableParameter,
    kStorageParameter,
    kLeadTimeParameter,
    kLowestParameter,
    kArrivingParameter,
    {.name = "own orders",
     .text = "A plan of your own to cost: whole cases ordered in each period; empty cells are "
             "none. Left out: the best plan's cost.",
     .rule = Rule::whole}};
constexpr Example kCalendarCostExamples[] = {
    {"=CALENDARCOST({90;120;80;70};0;500;2)", 1380.0, "two orders, of 210 and 150"},
    {"=CALENDARCOST({90;120;80;70};0;500;2;;;;;;;{90;120;80;70})", 2000.0,
     "an order in every period"},
    {"=CALENDARCOST({90;120;80;70};0;500;2;;;;;;;{90;100;100;70})", Code::argument,
     "the stock does not last through period 2"},
};
constexpr Function kCalendarCost = describe<calendar_cost>(
    {.id = "calendarCost",
     .name = "CALENDARCOST",
     .group = Group::orders,
     .summary = "What the best order calendar costs in all, or a calendar of your own.",
     .returns = "an amount over all periods",
     .source = "as for ORDERCALENDAR"},
    kCalendarCostParameters, kCalendarCostExamples);

constexpr Function kFunctions[] = {kOrderCalendar, kCalendarCost};

}  // namespace

Functions order_calendar_functions() { return kFunctions; }

}  // namespace loftledger::planning
