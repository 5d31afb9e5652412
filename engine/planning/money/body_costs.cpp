// Money: what a body costs.
#include <fmt/format.h>

#include <vector>

#include "engine/base/decimal.hpp"
#include "engine/base/number_text.hpp"
#include "engine/catalogue/describe.hpp"
#include "engine/planning/areas.hpp"
#include "engine/planning/common/apportion.hpp"
#include "engine/planning/money/selling.hpp"

namespace loftledger::planning {

using namespace catalogue;

namespace {

// --- OPENINGCOST

constexpr double kMinutesPerHour = 60;

Result<Money> opening_cost(Time minutes, Money wage, Power power, std::optional<Money> tariff,
                           Money opener_price, std::optional<Count> life) {
  if (power.value > 0 && !tariff) {
    return refuse(3, fmt::format("power is {} kW, but the tariff is missing; give both or neither",
                                 plain_number(power.value)));
  }
  if (opener_price.value > 0 && (!life || life->value == 0)) {
    return refuse(5, fmt::format("opener price is {}, but its life in cases is missing or 0; give "
                                 "how many cases it opens until it is replaced",
                                 plain_number(opener_price.value)));
  }
  const double hours = minutes.value / kMinutesPerHour;
  double cost = hours * wage.value;
  if (tariff) cost += hours * power.value * tariff->value;
  if (opener_price.value > 0) cost += opener_price.value / life->value;
  return Money{cost};
}

constexpr Parameter kOpeningCostParameters[] = {
    {.name = "minutes",
     .text = "Working time to open one case, with fetching, loading and clearing up; a bare "
             "number is in minutes.",
     .rule = Rule::not_negative},
    {.name = "wage",
     .text = "What an hour of the person's work costs, with the employer's charges.",
     .rule = Rule::not_negative},
    {.name = "power",
     .text = "Power that the opener draws while it runs; a bare number is in kW, at most 50.",
     .rule = Rule::not_negative,
     .fallback = 0.0,
     .bare = {.most = 50, .advice = "write \"750 W\" for watts"}},
    {.name = "tariff",
     .text = "Price of one kWh of electricity; needed where a power is given.",
     .rule = Rule::not_negative},
    {.name = "opener price",
     .text = "Price of the opener, to spread over the cases that it opens.",
     .rule = Rule::not_negative,
     .fallback = 0.0},
    {.name = "life in cases",
     .text = "Cases that the opener opens until it is replaced; needed where its price is given.",
     .rule = Rule::not_negative},
};
constexpr Example kOpeningCostExamples[] = {
    {"=OPENINGCOST(12;18)", 3.6},
    {"=OPENINGCOST(\"0.2 h\";18;\"750 W\";0.24;2400;1500)", 5.236},
    {"=OPENINGCOST(12;18;0.75)", Code::argument, "a power without a tariff"},
};
constexpr Function kOpeningCost = describe<opening_cost>(
    {.id = "openingCost",
     .name = "OPENINGCOST",
     .group = Group::money,
     .summary = "What it costs to open one case: labour, electricity and the opener's wear.",
     .returns = "an amount for one case, not rounded",
     .source = "definition: time at a wage, energy at a tariff, price over life",
     .caution =
         "Fibre openers pull in hands, hair and clothing. Switch off and isolate the machine "
         "before anyone reaches in; keep to its maker's manual and to local rules."},
    kOpeningCostParameters, kOpeningCostExamples);

// --- COSTPERBODY

Result<Money> cost_per_body(Money case_price, Count bodies_per_case, Money freight, Money opening) {
  return Money{(case_price.value + freight.value + opening.value) / bodies_per_case.value};
}

constexpr Parameter kCostPerBodyParameters[] = {
    {.name = "case price",
     .text = "Price of one case of fibre, less discounts.",
     .rule = Rule::not_negative},
    {.name = "bodies per case",
     .text = "Bodies that the case fills, in the state in which it is used (as delivered or "
             "opened).",
     .rule = Rule::positive},
    {.name = "freight per case",
     .text = "Landed freight of one case.",
     .rule = Rule::not_negative,
     .fallback = 0.0},
    {.name = "opening cost per case",
     .text = "What opening one case costs (OPENINGCOST); 0 where it is used as delivered.",
     .rule = Rule::not_negative,
     .fallback = 0.0},
};
constexpr Example kCostPerBodyExamples[] = {
    {"=COSTPERBODY(66;105;24.9)", 90.9 / 105, "as delivered"},
    {"=COSTPERBODY(66;157;24.9;5.24)", 96.14 / 157, "opened"},
    {"=COSTPERBODY(66;0)", Code::argument},
};
constexpr Function kCostPerBody = describe<cost_per_body>(
    {.id = "costPerBody",
     .name = "COSTPERBODY",
     .group = Group::money,
     .summary = "What the fibre in one body costs, with its freight and its opening.",
     .returns = "an amount for one body, not rounded",
     .source = "cost of purchase and conversion: IAS 2, paragraphs 10 to 12"},
    kCostPerBodyParameters, kCostPerBodyExamples);

// --- LANDEDCASECOST

Result<Money> landed_case_cost(Money price, Money freight, Ratio duty, Money other, Money discount,
                               bool duty_on_freight) {
  if (discount.value > price.value) {
    return refuse(4, fmt::format("discount is {}, more than the price, {}",
                                 plain_number(discount.value), plain_number(price.value)));
  }
  const double goods = price.value - discount.value;
  const double dutiable = duty_on_freight ? goods + freight.value : goods;
  return Money{goods + freight.value + dutiable * duty.value + other.value};
}

constexpr Parameter kLandedCaseCostParameters[] = {
    {.name = "price", .text = "The supplier's price of a case.", .rule = Rule::not_negative},
    {.name = "freight", .text = "Landed freight of a case.", .rule = Rule::not_negative},
    {.name = "duty rate",
     .text = "Import duty as a share of the dutiable value.",
     .rule = Rule::share_below_one,
     .fallback = 0.0},
    {.name = "other charges",
     .text = "Broker, handling, insurance, and taxes that the shop cannot claim back.",
     .rule = Rule::not_negative,
     .fallback = 0.0},
    {.name = "discount",
     .text = "Trade discounts and rebates on the case.",
     .rule = Rule::not_negative,
     .fallback = 0.0},
    {.name = "duty on freight",
     .text = "TRUE where duty is charged on price and freight together, FALSE where on the price "
             "alone: customs law differs from country to country.",
     .fallback = 0.0},
};
constexpr Example kLandedCaseCostExamples[] = {
    {"=LANDEDCASECOST(66;24.9)", 90.9},
    {"=LANDEDCASECOST(66;24.9;4%;3.5;6)", 90.8, "duty on 60"},
    {"=LANDEDCASECOST(66;24.9;4%;3.5;6;TRUE)", 91.796, "duty on 84.9"},
    {"=LANDEDCASECOST(66;24.9;0;0;70)", Code::argument},
};
constexpr Function kLandedCaseCost = describe<landed_case_cost>(
    {.id = "landedCaseCost",
     .name = "LANDEDCASECOST",
     .group = Group::money,
     .summary = "What a case costs until it stands in the shop.",
     .returns = "an amount for one case, not rounded",
     .source = "cost of purchase: IAS 2, paragraphs 10 and 11",
     .detail = "Price less discounts, plus freight, import duty and other charges. Taxes that the "
               "shop claims back are no cost. Where the seller pays the freight (FOB destination, "
               "DAP, DDP), it is in the price already: give 0."},
    kLandedCaseCostParameters, kLandedCaseCostExamples);

// --- COSTSTACK

Result<Matrix> cost_stack(Money price, Money skin, Money fibre, Money freight, Money opening,
                          Money labour, Money packaging, Money extras, Ratio shrink, Ratio royalty,
                          Ratio card, Money fee, Ratio tax, Money coin) {
  const double body = skin.value + fibre.value + freight.value + opening.value + labour.value +
                      packaging.value + extras.value;
  // In decimals, so that lines that are equal on paper tie as they do in ALLOCATE.
  const Decimal paid_by_card = Decimal::seen(price.value) *
                                   (Decimal::whole(1) + Decimal::seen(tax.value)) *
                                   Decimal::seen(card.value) +
                               Decimal::seen(fee.value);
  const std::pair<std::string_view, double> lines[] = {
      {"skin", skin.value},
      {"fibre", fibre.value},
      {"landed freight", freight.value},
      {"opening", opening.value},
      {"labour", labour.value},
      {"packaging", packaging.value},
      {"extras", extras.value},
      {"shrink", body * shrink.value / (1 - shrink.value)},
      {"royalty", (Decimal::seen(price.value) * Decimal::seen(royalty.value)).number()},
      {"card", paid_by_card.number()},
  };
  constexpr std::size_t kLines = std::size(lines);
  std::vector<double> amounts;
  Decimal sum;
  for (const auto& [name, amount] : lines) {
    amounts.push_back(amount);
    sum = sum + Decimal::seen(amount);
  }
  const Decimal size = Decimal::seen(coin.value);
  const std::optional<std::int64_t> coins = sum.steps(size, Rounding::nearest);
  if (!coins) {
    return refuse(13, fmt::format("smallest coin is {}, too small beside a cost of {}",
                                  plain_number(coin.value), plain_number(sum.number())));
  }
  // The total is rounded once; the lines are cut to add up to it.
  const std::vector<std::int64_t> parts = apportion(*coins, amounts);
  const Decimal total = Decimal::whole(*coins) * size;
  Matrix out(kLines + 3, 2);
  for (std::size_t i = 0; i < kLines; ++i) {
    out.at(i, 0) = Value(lines[i].first);
    out.at(i, 1) = Value((Decimal::whole(parts[i]) * size).number());
  }
  out.at(kLines, 0) = Value("total cost");
  out.at(kLines, 1) = Value(total.number());
  out.at(kLines + 1, 0) = Value("price");
  out.at(kLines + 1, 1) = Value(price.value);
  out.at(kLines + 2, 0) = Value("margin");
  out.at(kLines + 2, 1) = Value((Decimal::seen(price.value) - total).number());
  return out;
}

constexpr Parameter line(std::string_view name, std::string_view text) {
  return {.name = name, .text = text, .rule = Rule::not_negative, .fallback = 0.0};
}

constexpr Parameter kCostStackParameters[] = {
    {.name = "price",
     .text = "Selling price of the body, before sales tax.",
     .rule = Rule::not_negative},
    {.name = "skin", .text = "Landed cost of the skin.", .rule = Rule::not_negative},
    {.name = "fibre",
     .text = "Fibre in the body at the supplier's price.",
     .rule = Rule::not_negative},
    line("landed freight", "Freight that the body's fibre carries (LANDEDFREIGHTPERUNIT)."),
    line("opening", "Its share of what opening a case costs (OPENINGCOST)."),
    line("labour", "Time of the person who fills and closes it."),
    line("packaging", "Box, bag, label."),
    line("extras", "Heart, voice box, certificate, ribbon."),
    {.name = "shrink rate",
     .text = "Share of the bodies that are paid for but never sold: torn, lost, given away.",
     .rule = Rule::share_below_one,
     .fallback = 0.0},
    kRoyaltyRate,
    kCardRate,
    kCardFee,
    kTaxAtTheTill,
    {.name = "smallest coin",
     .text = "All lines are multiples of this.",
     .rule = Rule::positive,
     .fallback = 0.01},
};
constexpr Example kCostStackExamples[] = {
    {"=COSTSTACK(24;6.2;0.46;0.17;0.03;1.5;0.55;0.4;2%;6%;2.5%;0.1;8%)", "skin",
     "13 lines of name and amount"},
    {"=COSTSTACK(24;-1;0.46)", Code::argument},
};
constexpr Function kCostStack = describe<cost_stack>(
    {.id = "costStack",
     .name = "COSTSTACK",
     .group = Group::money,
     .summary = "Everything that a stuffed body costs, line by line, adding up to the cent.",
     .returns = "an array of 13 rows and 2 columns, name and amount: ten lines of cost, the total, "
                "the price and the margin",
     .source = "cost of purchase and conversion: IAS 2, paragraphs 10 to 12; selling costs beside "
               "it",
     .detail =
         "The lines: skin, fibre, landed freight, opening, labour, packaging, extras, shrink, "
         "royalty, card. The total is rounded once, and the lines are cut to add up to it "
         "(largest remainder), so a line may differ by one coin from its own rounding. A "
         "body that is sold carries the cost of those that are not: shrink is the cost of "
         "the seven lines above it times rate/(1 - rate). The card takes its rate from the "
         "price with its tax, plus its fee."},
    kCostStackParameters, kCostStackExamples);

constexpr Function kFunctions[] = {kOpeningCost, kCostPerBody, kLandedCaseCost, kCostStack};

}  // namespace

Functions money_functions() { return kFunctions; }

}  // namespace loftledger::planning
