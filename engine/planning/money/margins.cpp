// Margins and mark-ups: what a price leaves, and the price that leaves it.
#include <fmt/format.h>

#include "engine/base/decimal.hpp"
#include "engine/base/number_text.hpp"
#include "engine/catalogue/describe.hpp"
#include "engine/planning/areas.hpp"
#include "engine/planning/money/selling.hpp"

namespace loftledger::planning {

using namespace catalogue;

namespace {

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
     .detail =
         "A margin is counted from the price; a mark-up is counted from the cost (MARKUPRATE)."},
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
               "always the larger number: a mark-up of 100% is a margin of 50%. MARGINFROMMARKUP "
               "and MARKUPFROMMARGIN turn one into the other."},
    kMarginRateParameters, kMarginRateExamples);

// --- PRICEFORMARGIN

Result<Money> price_for_margin(Money cost, Ratio margin_share, Ratio royalty, Ratio card, Money fee,
                               Ratio tax) {
  // In decimals, since 0.7 + 0.3 must leave nothing rather than a trace.
  const Decimal one = Decimal::whole(1);
  const Decimal left = one - Decimal::seen(margin_share.value) - Decimal::seen(royalty.value) -
                       Decimal::seen(card.value) * (one + Decimal::seen(tax.value));
  if (left.sign() <= 0) {
    return refuse(
        1,
        fmt::format("margin rate, royalty rate and card rate together take {}% of the price; they "
                    "must leave some of it for the cost",
                    plain_number(((one - left) * Decimal::whole(100)).number())));
  }
  return Money{(cost.value + fee.value) / left.number()};
}

constexpr Parameter kPriceForMarginParameters[] = {
    kMarginCost,
    {.name = "margin rate",
     .text = "Share of the price that is to be left after cost, royalty and card.",
     .rule = Rule::share_below_one},
    kRoyaltyRate,
    kCardRate,
    kCardFee,
    kTaxAtTheTill,
};
constexpr Example kPriceForMarginExamples[] = {
    {"=PRICEFORMARGIN(9.6;60%)", 24.0},
    {"=PRICEFORMARGIN(9.6;50%;6%;2.5%;0.1)", 9.7 / 0.415},
    {"=PRICEFORMARGIN(9.6;94%;6%)", Code::argument, "nothing is left for the cost"},
};
constexpr Function kPriceForMargin = describe<price_for_margin>(
    {.id = "priceForMargin",
     .name = "PRICEFORMARGIN",
     .group = Group::money,
     .summary = "Price before tax that leaves a margin after cost, royalty and card.",
     .returns = "an amount, not rounded; PRICEPOINT makes a price of it",
     .source = "closed form: (cost + card fee) / (1 - margin - royalty - card x (1 + tax))",
     .detail = "The margin is a share of the price. For a share of the cost on top of it, take "
               "PRICEFORMARKUP: 50% margin doubles the cost, 50% mark-up adds half of it."},
    kPriceForMarginParameters, kPriceForMarginExamples);

// --- MARKUPRATE

Result<Ratio> mark_up_rate(Money price, Money cost) {
  return Ratio{(price.value - cost.value) / cost.value};
}

constexpr Parameter kMarkUpRateParameters[] = {
    {.name = "price", .text = "Selling price before sales tax.", .rule = Rule::not_negative},
    {.name = "cost", .text = "What the body costs.", .rule = Rule::positive},
};
constexpr Example kMarkUpRateExamples[] = {
    {"=MARKUPRATE(24;9.6)", 1.5, "a margin of 60%"},
    {"=MARKUPRATE(24;0)", Code::argument},
};
constexpr Function kMarkUpRate = describe<mark_up_rate>(
    {.id = "markupRate",
     .name = "MARKUPRATE",
     .group = Group::money,
     .summary = "What the price adds to the cost, as a share of the cost.",
     .returns = "a share of the cost; negative where the price is below it",
     .source = "definition",
     .detail = "A mark-up is counted from the cost; a margin is counted from the price "
               "(MARGINRATE) and is always the smaller number."},
    kMarkUpRateParameters, kMarkUpRateExamples);

// --- PRICEFORMARKUP

constexpr Parameter kMarkUp = {.name = "mark-up rate",
                               .text =
                                   "Share of the cost that is added to it: 1 or 100% doubles "
                                   "the cost.",
                               .rule = Rule::not_negative};

Result<Money> price_for_mark_up(Money cost, Ratio mark_up) {
  return Money{cost.value * (1 + mark_up.value)};
}

constexpr Parameter kPriceForMarkUpParameters[] = {kMarginCost, kMarkUp};
constexpr Example kPriceForMarkUpExamples[] = {
    {"=PRICEFORMARKUP(9.6;150%)", 24.0},
    {"=PRICEFORMARKUP(9.6;-10%)", Code::argument},
};
constexpr Function kPriceForMarkUp = describe<price_for_mark_up>(
    {.id = "priceForMarkup",
     .name = "PRICEFORMARKUP",
     .group = Group::money,
     .summary = "Price before tax that adds a mark-up to the cost.",
     .returns = "an amount, not rounded; PRICEPOINT makes a price of it",
     .source = "definition: cost x (1 + mark-up)",
     .detail = "A mark-up is counted from the cost. For a share of the price take PRICEFORMARGIN, "
               "which also counts royalty and card."},
    kPriceForMarkUpParameters, kPriceForMarkUpExamples);

// --- MARGINFROMMARKUP and MARKUPFROMMARGIN

Result<Ratio> margin_from_mark_up(Ratio mark_up) {
  return Ratio{mark_up.value / (1 + mark_up.value)};
}

constexpr Parameter kMarginFromMarkUpParameters[] = {kMarkUp};
constexpr Example kMarginFromMarkUpExamples[] = {
    {"=MARGINFROMMARKUP(100%)", 0.5},
    {"=MARGINFROMMARKUP(25%)", 0.2},
    {"=MARGINFROMMARKUP(-1)", Code::argument},
};
constexpr Function kMarginFromMarkUp = describe<margin_from_mark_up>(
    {.id = "marginFromMarkup",
     .name = "MARGINFROMMARKUP",
     .group = Group::money,
     .summary = "Margin, a share of the price, that a mark-up on the cost amounts to.",
     .returns = "a share of the price",
     .source = "identity: mark-up / (1 + mark-up)",
     .detail = "It leaves royalty and card aside; MARGINRATE counts them."},
    kMarginFromMarkUpParameters, kMarginFromMarkUpExamples);

Result<Ratio> mark_up_from_margin(Ratio margin_share) {
  return Ratio{margin_share.value / (1 - margin_share.value)};
}

constexpr Parameter kMarkUpFromMarginParameters[] = {
    {.name = "margin rate",
     .text = "Share of the price that is left after the cost.",
     .rule = Rule::share_below_one},
};
constexpr Example kMarkUpFromMarginExamples[] = {
    {"=MARKUPFROMMARGIN(50%)", 1.0},
    {"=MARKUPFROMMARGIN(1)", Code::argument},
};
constexpr Function kMarkUpFromMargin = describe<mark_up_from_margin>(
    {.id = "markupFromMargin",
     .name = "MARKUPFROMMARGIN",
     .group = Group::money,
     .summary = "Mark-up, a share of the cost, that a margin on the price amounts to.",
     .returns = "a share of the cost",
     .source = "identity: margin / (1 - margin)",
     .detail = "It leaves royalty and card aside; PRICEFORMARGIN counts them."},
    kMarkUpFromMarginParameters, kMarkUpFromMarginExamples);

constexpr Function kFunctions[] = {
    kMarginPerBody,  kMarginRate,       kPriceForMargin,   kMarkUpRate,
    kPriceForMarkUp, kMarginFromMarkUp, kMarkUpFromMargin,
};

}  // namespace

Functions margin_functions() { return kFunctions; }

}  // namespace loftledger::planning
