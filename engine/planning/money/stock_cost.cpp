// Stock as a bookkeeper keeps it: cost variances, first-in first-out, weighted average.
#include <fmt/format.h>

#include <deque>

#include "engine/base/decimal.hpp"
#include "engine/base/number_text.hpp"
#include "engine/catalogue/describe.hpp"
#include "engine/planning/areas.hpp"
#include "engine/planning/common/words.hpp"

namespace loftledger::planning {

using namespace catalogue;

namespace {

// --- PRICEVARIANCE and USAGEVARIANCE

// A difference of two numbers times a third, exact in decimals: books must agree to the cent.
double difference_times(double actual, double standard, double factor) {
  return ((Decimal::seen(actual) - Decimal::seen(standard)) * Decimal::seen(factor)).number();
}

Result<Money> price_variance(Money actual, Money standard, Number quantity) {
  return Money{difference_times(actual.value, standard.value, quantity.value)};
}

Result<Money> usage_variance(Number actual, Number standard, Money price) {
  return Money{difference_times(actual.value, standard.value, price.value)};
}

constexpr std::string_view kVarianceSign =
    "More than 0 is unfavourable (it cost more than the standard), less than 0 is favourable. "
    "PRICEVARIANCE and USAGEVARIANCE together are the actual cost less the standard cost.";

constexpr Parameter kPriceVarianceParameters[] = {
    {.name = "actual price", .text = "Price paid for one unit.", .rule = Rule::not_negative},
    {.name = "standard price", .text = "Planned price of one unit.", .rule = Rule::not_negative},
    {.name = "actual quantity",
     .text = "Units bought or used, such as cases.",
     .rule = Rule::not_negative},
};
constexpr Example kPriceVarianceExamples[] = {
    {"=PRICEVARIANCE(68.5;66;14)", 35.0, "unfavourable"},
    {"=PRICEVARIANCE(64;66;14)", -28.0, "favourable"},
    {"=PRICEVARIANCE(68.5;66;-14)", Code::argument},
};
constexpr Function kPriceVariance = describe<price_variance>(
    {.id = "priceVariance",
     .name = "PRICEVARIANCE",
     .group = Group::money,
     .summary = "What a price other than the planned one cost.",
     .returns = "an amount; more than 0 is unfavourable",
     .source = "standard costing: (actual price - standard price) x actual quantity",
     .detail = kVarianceSign},
    kPriceVarianceParameters, kPriceVarianceExamples);

constexpr Parameter kUsageVarianceParameters[] = {
    {.name = "actual quantity", .text = "Units used, such as cases.", .rule = Rule::not_negative},
    {.name = "standard quantity",
     .text = "Units that the bodies filled should have taken: bodies over bodies per case.",
     .rule = Rule::not_negative},
    {.name = "standard price", .text = "Planned price of one unit.", .rule = Rule::not_negative},
};
constexpr Example kUsageVarianceExamples[] = {
    {"=USAGEVARIANCE(14;12.5;66)", 99.0, "unfavourable: too much fibre in the bodies, or lost"},
    {"=USAGEVARIANCE(12;12.5;66)", -33.0, "favourable"},
    {"=USAGEVARIANCE(14;-1;66)", Code::argument},
};
constexpr Function kUsageVariance = describe<usage_variance>(
    {.id = "usageVariance",
     .name = "USAGEVARIANCE",
     .group = Group::money,
     .summary = "What using another quantity than the planned one cost.",
     .returns = "an amount; more than 0 is unfavourable",
     .source = "standard costing: (actual quantity - standard quantity) x standard price",
     .detail = kVarianceSign},
    kUsageVarianceParameters, kUsageVarianceExamples);

// --- Movements of stock

struct Movement {
  std::size_t cell = 0;  // counts from 1 in the ranges
  bool empty = true;
  Decimal quantity;
  Decimal unit_cost;
};

Result<std::vector<Movement>> read_movements(const Series<Number>& quantities,
                                             const Series<Money>& unit_costs, bool issues) {
  if (quantities.values.size() != unit_costs.values.size()) {
    return refuse(1, fmt::format("quantities has {} cells and unit costs has {}; they are read "
                                 "side by side",
                                 quantities.values.size(), unit_costs.values.size()));
  }
  std::vector<Movement> movements;
  for (std::size_t i = 0; i < quantities.values.size(); ++i) {
    const std::optional<double>& quantity = quantities.values[i];
    const std::optional<double>& cost = unit_costs.values[i];
    Movement m{i + 1, !quantity && !cost, Decimal::seen(quantity.value_or(0)),
               Decimal::seen(cost.value_or(0))};
    if (cost && !quantity) {
      return refuse(
          0, fmt::format("quantities has no entry in cell {}, but unit costs has one", m.cell));
    }
    if (m.unit_cost.sign() < 0) {
      return refuse(1, fmt::format("unit costs in cell {} is {}; it must be 0 or more", m.cell,
                                   plain_number(*cost)));
    }
    if (m.quantity.sign() > 0 && !cost) {
      return refuse(1,
                    fmt::format("unit costs has no entry in cell {}, beside a quantity", m.cell));
    }
    if (m.quantity.sign() < 0 && !issues) {
      return refuse(0,
                    fmt::format("quantities in cell {} is {}; receipts are 0 or more (issues among "
                                "the receipts go into STOCKLEDGER)",
                                m.cell, plain_number(*quantity)));
    }
    if (m.quantity.sign() < 0 && m.unit_cost.sign() != 0) {
      return refuse(1, fmt::format("unit costs in cell {} stands beside an issue; leave it empty, "
                                   "since the receipts decide it",
                                   m.cell));
    }
    movements.push_back(m);
  }
  return movements;
}

// What is on hand, in layers that were received together, oldest first; the weighted average has
// one layer. Values are whole coins throughout, so that nothing is lost between the layers.
class Stock {
 public:
  Stock(bool average, double coin) : average_(average), coin_(coin) {}

  // Returns the value that came in.
  Decimal receive(const Decimal& quantity, const Decimal& unit_cost) {
    const Decimal value = booked(quantity * unit_cost);
    if (average_ && !layers_.empty()) {
      layers_.front().quantity = layers_.front().quantity + quantity;
      layers_.front().value = layers_.front().value + value;
    } else if (quantity.sign() > 0) {
      layers_.push_back({quantity, value});
    }
    return value;
  }

  // Takes from the oldest layer on and returns the value that went out; at most what is on hand.
  Decimal issue(Decimal quantity) {
    Decimal out;
    while (quantity.sign() > 0 && !layers_.empty()) {
      Layer& oldest = layers_.front();
      const Decimal more = quantity - oldest.quantity;
      if (more.sign() >= 0) {
        out = out + oldest.value;
        quantity = more;
        layers_.pop_front();
        continue;
      }
      const double share = quantity.number() / oldest.quantity.number();
      const Decimal part = booked(Decimal::seen(oldest.value.number() * share));
      oldest.quantity = oldest.quantity - quantity;
      oldest.value = oldest.value - part;
      return out + part;
    }
    return out;
  }

  Decimal quantity() const { return sum(&Layer::quantity); }
  Decimal value() const { return sum(&Layer::value); }

 private:
  struct Layer {
    Decimal quantity;
    Decimal value;
  };
  Decimal booked(const Decimal& value) const {
    return coin_ == 0 ? value : Decimal::seen(round_to(value, coin_));
  }
  Decimal sum(Decimal Layer::*member) const {
    Decimal out;
    for (const Layer& layer : layers_) out = out + layer.*member;
    return out;
  }

  bool average_;
  double coin_;
  std::deque<Layer> layers_;
};

// --- FIFOCOST, FIFOCLOSING, AVERAGECOST, AVERAGECLOSING

enum class Side : std::uint8_t { issued, closing };

template <bool average, Side side>
Result<Money> stock_value(const Series<Number>& quantities, const Series<Money>& unit_costs,
                          Number issued, Money coin) {
  const auto movements = read_movements(quantities, unit_costs, false);
  if (!movements) return movements.error();
  Stock stock(average, coin.value);
  for (const Movement& m : *movements) stock.receive(m.quantity, m.unit_cost);
  const Decimal wanted = Decimal::seen(issued.value);
  const Decimal received = stock.quantity();
  if ((wanted - received).sign() > 0) {
    return refuse(2, fmt::format("issued is {}, but only {} came in", plain_number(issued.value),
                                 plain_number(received.number())));
  }
  const Decimal out = stock.issue(wanted);
  return Money{side == Side::issued ? out.number() : stock.value().number()};
}

constexpr Parameter kUnitCosts = {.name = "unit costs",
                                  .text =
                                      "Landed cost of one unit in each receipt (LANDEDCASECOST), "
                                      "side by side with the quantities."};
constexpr Parameter kBookCoin = {.name = "smallest coin",
                                 .text =
                                     "Amounts are booked in multiples of this; 0 leaves them "
                                     "unrounded.",
                                 .rule = Rule::not_negative,
                                 .fallback = 0.01};
constexpr Parameter kStockParameters[] = {
    {.name = "quantities",
     .text = "Opening stock and receipts, oldest first, one cell each; empty cells are passed "
             "over."},
    kUnitCosts,
    {.name = "issued",
     .text = "Units taken out of stock in all, such as cases opened.",
     .rule = Rule::not_negative},
    kBookCoin,
};

constexpr std::string_view kFifoSource = "first-in, first-out: IAS 2, paragraphs 25 and 27";
constexpr std::string_view kAverageSource =
    "weighted average cost of the period: IAS 2, paragraphs 25 and 27";
constexpr std::string_view kBooksAgree =
    "The cost of what was issued and the value of what is left add up to the value received, to "
    "the coin. Issues above the stock are refused. For issues and receipts by date take "
    "STOCKLEDGER.";

constexpr Example kFifoCostExamples[] = {
    {"=FIFOCOST({10;6};{90;96};12)", 1092.0, "ten at 90 and two at 96"},
    {"=FIFOCOST({10;6};{90;96};17)", Code::argument, "more than came in"},
};
constexpr Function kFifoCost = describe<stock_value<false, Side::issued>>(
    {.id = "fifoCost",
     .name = "FIFOCOST",
     .group = Group::money,
     .summary = "Cost of the units issued, where the oldest go first.",
     .returns = "an amount in whole coins",
     .source = kFifoSource,
     .detail = kBooksAgree},
    kStockParameters, kFifoCostExamples);

constexpr Example kFifoClosingExamples[] = {
    {"=FIFOCLOSING({10;6};{90;96};12)", 384.0, "four at 96"},
    {"=FIFOCLOSING({10;6};{90};12)", Code::argument, "ranges of different size"},
};
constexpr Function kFifoClosing = describe<stock_value<false, Side::closing>>(
    {.id = "fifoClosing",
     .name = "FIFOCLOSING",
     .group = Group::money,
     .summary = "Value of the units left, where the oldest went first.",
     .returns = "an amount in whole coins",
     .source = kFifoSource,
     .detail = kBooksAgree},
    kStockParameters, kFifoClosingExamples);

constexpr Example kAverageCostExamples[] = {
    {"=AVERAGECOST({10;6};{90;96};12)", 1107.0, "twelve at 92.25"},
    {"=AVERAGECOST({10;-6};{90;96};2)", Code::argument},
};
constexpr Function kAverageCost = describe<stock_value<true, Side::issued>>(
    {.id = "averageCost",
     .name = "AVERAGECOST",
     .group = Group::money,
     .summary = "Cost of the units issued at the weighted average of all that came in.",
     .returns = "an amount in whole coins",
     .source = kAverageSource,
     .detail = kBooksAgree},
    kStockParameters, kAverageCostExamples);

constexpr Example kAverageClosingExamples[] = {
    {"=AVERAGECLOSING({10;6};{90;96};12)", 369.0, "four at 92.25"},
    {"=AVERAGECLOSING({10;6};{90;96};-1)", Code::argument},
};
constexpr Function kAverageClosing = describe<stock_value<true, Side::closing>>(
    {.id = "averageClosing",
     .name = "AVERAGECLOSING",
     .group = Group::money,
     .summary = "Value of the units left at the weighted average of all that came in.",
     .returns = "an amount in whole coins",
     .source = kAverageSource,
     .detail = kBooksAgree},
    kStockParameters, kAverageClosingExamples);

// --- STOCKLEDGER

Result<Matrix> stock_ledger(const Series<Number>& quantities, const Series<Money>& unit_costs,
                            std::string_view method, Money coin) {
  constexpr std::string_view kWords[] = {"FIFO", "average"};
  const auto choice = word_index(2, "method", method, kWords);
  if (!choice) return choice.error();
  const auto movements = read_movements(quantities, unit_costs, true);
  if (!movements) return movements.error();
  Stock stock(*choice == 1, coin.value);
  Matrix out(movements->size(), 3);
  Decimal on_hand;
  Decimal value;
  for (std::size_t i = 0; i < movements->size(); ++i) {
    const Movement& m = (*movements)[i];
    Decimal moved;
    if (m.quantity.sign() < 0) {
      const Decimal wanted = Decimal() - m.quantity;
      if ((wanted - on_hand).sign() > 0) {
        return refuse(
            0, fmt::format("quantities in cell {} issues {}, but only {} are on hand", m.cell,
                           plain_number(wanted.number()), plain_number(on_hand.number())));
      }
      moved = Decimal() - stock.issue(wanted);
    } else {
      moved = stock.receive(m.quantity, m.unit_cost);
    }
    on_hand = on_hand + m.quantity;
    value = value + moved;
    out.at(i, 0) = Value(moved.number());
    out.at(i, 1) = Value(on_hand.number());
    out.at(i, 2) = Value(value.number());
  }
  return out;
}

constexpr Parameter kStockLedgerParameters[] = {
    {.name = "quantities",
     .text = "Movements by date, one cell each: receipts more than 0, issues less than 0."},
    {.name = "unit costs",
     .text = "Landed cost of one unit beside each receipt; empty beside an issue."},
    {.name = "method",
     .text = "\"FIFO\" (the oldest go first) or \"average\" (a new average after each receipt).",
     .fallback = "FIFO"},
    kBookCoin,
};
constexpr Example kStockLedgerExamples[] = {
    {"=STOCKLEDGER({10|6|-12};{90|96|0})", 900.0, "the issue costs 1092 and leaves 384"},
    {"=STOCKLEDGER({10|-12|6};{90|0|96})", Code::argument, "twelve issued with ten on hand"},
};
constexpr Function kStockLedger = describe<stock_ledger>(
    {.id = "stockLedger",
     .name = "STOCKLEDGER",
     .group = Group::money,
     .summary = "Stock book: what each receipt and issue is worth, and what is then on hand.",
     .returns = "an array with a row for each movement: its value (issues less than 0), the units "
                "on hand and their value after it",
     .source = "first-in, first-out, or weighted average at each receipt: IAS 2, paragraphs 25 and "
               "27",
     .detail = "Values are booked in whole coins, and a stock that is used up stands at exactly 0. "
               "An issue above the stock is refused, and the sentence names its cell. Zero beside "
               "an issue counts as an empty cost."},
    kStockLedgerParameters, kStockLedgerExamples);

constexpr Function kFunctions[] = {
    kPriceVariance, kUsageVariance,  kFifoCost,    kFifoClosing,
    kAverageCost,   kAverageClosing, kStockLedger,
};

}  // namespace

Functions stock_cost_functions() { return kFunctions; }

}  // namespace loftledger::planning
