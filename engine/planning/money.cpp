// Money: what a body costs and what it leaves.
#include <fmt/format.h>

#include "engine/base/number_text.hpp"
#include "engine/catalogue/describe.hpp"
#include "engine/planning/areas.hpp"

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
     .text = "Power that the opener draws while it runs; a bare number is in kW.",
     .rule = Rule::not_negative,
     .fallback = 0.0},
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

// --- MARGINPERBODY and MARGINRATE

double margin(double price, double cost, double royalty, double card, double fee, double tax) {
  return price - cost - price * royalty - price * (1 + tax) * card - fee;
}

Result<Money> margin_per_body(Money price, Money cost, Ratio royalty, Ratio card, Money fee,
                              Ratio tax) {
  return Money{margin(price.value, cost.value, royalty.value, card.value, fee.value, tax.value)};
}

Result<Ratio> margin_rate(Money price, Money cost, Ratio royalty, Ratio card, Money fee,
                          Ratio tax) {
  return Ratio{margin(price.value, cost.value, royalty.value, card.value, fee.value, tax.value) /
               price.value};
}

constexpr Parameter kMarginCost = {
    .name = "cost",
    .text = "What the body costs: skin, fibre, labour, packaging and the rest.",
    .rule = Rule::not_negative};
constexpr Parameter kRoyaltyRate = {
    .name = "royalty rate",
    .text = "Share of the price before tax that goes to a franchisor or licensor.",
    .rule = Rule::share_below_one,
    .fallback = 0.0};
constexpr Parameter kCardRate = {.name = "card rate",
                                 .text = "Share of the payment that the card company keeps.",
                                 .rule = Rule::share_below_one,
                                 .fallback = 0.0};
constexpr Parameter kCardFee = {.name = "card fee",
                                .text =
                                    "Fixed charge of the card company for one payment, or the "
                                    "part of it that one body carries.",
                                .rule = Rule::not_negative,
                                .fallback = 0.0};
constexpr Parameter kTaxAtTheTill = {
    .name = "tax rate",
    .text =
        "Sales tax that the guest pays on top of the price: the card company takes its share "
        "of the tax as well.",
    .rule = Rule::not_negative,
    .fallback = 0.0};

constexpr Parameter kMarginPerBodyParameters[] = {
    {.name = "price",
     .text = "Selling price of the body, before sales tax.",
     .rule = Rule::not_negative},
    kMarginCost,
    kRoyaltyRate,
    kCardRate,
    kCardFee,
    kTaxAtTheTill,
};
constexpr Example kMarginPerBodyExamples[] = {
    {"=MARGINPERBODY(24;9.6)", 14.4},
    {"=MARGINPERBODY(24;9.6;6%;2.5%;0.1)", 12.26},
    {"=MARGINPERBODY(24;9.6;6%;2.5%;0.1;8%)", 12.212, "the card takes its share of the tax"},
    {"=MARGINPERBODY(24;9.6;1)", Code::argument},
};
constexpr Function kMarginPerBody = describe<margin_per_body>(
    {.id = "marginPerBody",
     .name = "MARGINPERBODY",
     .group = Group::money,
     .summary = "What one body leaves of its price after its cost, the royalty and the card.",
     .returns = "an amount, not rounded; negative where the body loses money",
     .source = "definition: contribution of one unit",
     .detail = "A margin is counted from the price; a mark-up is counted from the cost. MARKUPRATE "
               "gives the latter."},
    kMarginPerBodyParameters, kMarginPerBodyExamples);

constexpr Parameter kMarginRateParameters[] = {
    {.name = "price",
     .text = "Selling price of the body, before sales tax.",
     .rule = Rule::positive},
    kMarginCost,
    kRoyaltyRate,
    kCardRate,
    kCardFee,
    kTaxAtTheTill,
};
constexpr Example kMarginRateExamples[] = {
    {"=MARGINRATE(24;9.6)", 0.6},
    {"=MARGINRATE(24;9.6;6%;2.5%;0.1)", 12.26 / 24},
    {"=MARGINRATE(0;9.6)", Code::argument},
};
constexpr Function kMarginRate = describe<margin_rate>(
    {.id = "marginRate",
     .name = "MARGINRATE",
     .group = Group::money,
     .summary = "Share of its price that one body leaves after its cost, the royalty and the card.",
     .returns = "a share of the price before tax; negative where the body loses money",
     .source = "definition: contribution margin ratio",
     .detail = "A margin is counted from the price; a mark-up is counted from the cost, and is "
               "always the larger number: a mark-up of 100% is a margin of 50%. MARKUPRATE turns "
               "one into the other."},
    kMarginRateParameters, kMarginRateExamples);

constexpr Function kFunctions[] = {
    kOpeningCost,
    kCostPerBody,
    kMarginPerBody,
    kMarginRate,
};

}  // namespace

Functions money_functions() { return kFunctions; }

}  // namespace loftledger::planning
