// Prices and taxes: endings, tax in and on top, and rounding to the coin.
#include <fmt/format.h>

#include "engine/base/decimal.hpp"
#include "engine/base/number_text.hpp"
#include "engine/catalogue/describe.hpp"
#include "engine/planning/areas.hpp"
#include "engine/planning/common/words.hpp"

namespace loftledger::planning {

using namespace catalogue;

namespace {

constexpr std::string_view kExactness =
    "Rounds half away from zero on the decimal amount that the sheet shows, and rounds once: 2.675 "
    "goes to 2.68, and 13.30 at 6.5%, which is 0.8645, to 0.86.";

constexpr Parameter kCoin = {.name = "smallest coin",
                             .text =
                                 "The amount is rounded to a multiple of this, once; 0 leaves "
                                 "it unrounded.",
                             .rule = Rule::not_negative,
                             .fallback = 0.01};

Result<Rounding> read_direction(std::string_view text, int argument) {
  constexpr std::string_view kWords[] = {"up", "down", "nearest"};
  const auto choice = word_index(argument, "direction", text, kWords);
  if (!choice) return choice.error();
  constexpr Rounding kDirections[] = {Rounding::up, Rounding::down, Rounding::nearest};
  return kDirections[*choice];
}

Error too_fine(int argument, std::string_view name, double step, double amount) {
  return refuse(argument, fmt::format("{} is {}, too small beside {}", name, plain_number(step),
                                      plain_number(amount)));
}

// --- ROUNDTOCOIN

Result<Money> round_to_coin(Money amount, Money coin, std::string_view direction) {
  const auto rounding = read_direction(direction, 2);
  if (!rounding) return rounding.error();
  const Decimal seen = Decimal::seen(amount.value);
  if (!seen.steps(Decimal::seen(coin.value), *rounding)) {
    return too_fine(1, "smallest coin", coin.value, amount.value);
  }
  return Money{round_to(seen, coin.value, *rounding)};
}

constexpr Parameter kRoundToCoinParameters[] = {
    {.name = "amount", .text = "Amount to round."},
    {.name = "smallest coin",
     .text = "The amount becomes a multiple of this: 0.01, 0.05, 1.",
     .rule = Rule::positive,
     .fallback = 0.01},
    {.name = "direction",
     .text = "\"nearest\" (halves away from zero), \"up\" or \"down\".",
     .fallback = "nearest"},
};
constexpr Example kRoundToCoinExamples[] = {
    {"=ROUNDTOCOIN(2.675)", 2.68},
    {"=ROUNDTOCOIN(17.38;0.05)", 17.4, "where the smallest coin is 5 cents"},
    {"=ROUNDTOCOIN(-0.125)", -0.13},
    {"=ROUNDTOCOIN(2.675;0)", Code::argument},
};
constexpr Function kRoundToCoin = describe<round_to_coin>(
    {.id = "roundToCoin",
     .name = "ROUNDTOCOIN",
     .group = Group::money,
     .summary = "An amount rounded to the smallest coin.",
     .returns = "a multiple of the coin",
     .source = "rounding half away from zero, as common in trade (ISO 80000-1, annex B, rule B)",
     .detail = kExactness},
    kRoundToCoinParameters, kRoundToCoinExamples);

// --- PRICEPOINT

// The power of ten above the ending: 1 for 0.99, 10 for 9.95, 0.1 for 0.09.
Decimal step_for(const Decimal& ending) {
  if (ending.sign() == 0) return Decimal::whole(1);
  return Decimal::power_of_ten(ending.magnitude() + 1);
}

Result<Money> price_point(Money price, Money ending, std::string_view direction,
                          std::optional<Money> step) {
  const auto rounding = read_direction(direction, 2);
  if (!rounding) return rounding.error();
  const Decimal wanted = Decimal::seen(price.value);
  const Decimal tail = Decimal::seen(ending.value);
  const Decimal size = step ? Decimal::seen(step->value) : step_for(tail);
  if ((size - tail).sign() <= 0) {
    return refuse(3, fmt::format("step is {}; it must be more than the ending, {}",
                                 plain_number(size.number()), plain_number(ending.value)));
  }
  const auto count = (wanted - tail).steps(size, *rounding);
  if (!count) return too_fine(3, "step", size.number(), price.value);
  const Decimal point = Decimal::whole(*count) * size + tail;
  if (point.sign() == 0 && *rounding != Rounding::down) {
    return refuse(0, fmt::format("price is {}, and the nearest price that ends in {} is 0; take "
                                 "the direction up, or a smaller step",
                                 plain_number(price.value), plain_number(ending.value)));
  }
  if (point.sign() <= 0) {
    return refuse(0, fmt::format("price is {}, and no price above 0 ends in {} at or below it",
                                 plain_number(price.value), plain_number(ending.value)));
  }
  return Money{point.number()};
}

constexpr Parameter kPricePointParameters[] = {
    {.name = "price", .text = "Price that is wanted.", .rule = Rule::positive},
    {.name = "ending",
     .text = "How the price is to end: 0.99, 0.5, 9.95; 0 for whole amounts.",
     .rule = Rule::not_negative},
    {.name = "direction",
     .text = "\"up\" (never below the wanted price), \"down\" or \"nearest\".",
     .fallback = "up"},
    {.name = "step",
     .text = "Distance between two such prices; left out, the power of ten above the ending: 1 for "
             "0.99, 10 for 9.95.",
     .rule = Rule::positive},
};
constexpr Example kPricePointExamples[] = {
    {"=PRICEPOINT(23.37;0.99)", 23.99},
    {"=PRICEPOINT(23.37;9.95;\"nearest\")", 19.95},
    {"=PRICEPOINT(23.37;0;\"up\";5)", 25.0, "whole fives"},
    {"=PRICEPOINT(0.5;0.99;\"down\")", Code::argument},
};
constexpr Function kPricePoint = describe<price_point>(
    {.id = "pricePoint",
     .name = "PRICEPOINT",
     .group = Group::money,
     .summary = "The next price with a given ending.",
     .returns = "an amount that ends so",
     .source = "definition",
     .detail = "Upwards is the default, so that the price never falls short of its margin. Where "
               "prices are shown with tax, apply it to the price with tax, then PRICEBEFORETAX."},
    kPricePointParameters, kPricePointExamples);

// --- PRICEBEFORETAX

Result<Money> price_before_tax(Money price, Ratio rate, Money coin) {
  const Decimal factor = Decimal::whole(1) + Decimal::seen(rate.value);
  if (coin.value == 0) return Money{price.value / factor.number()};
  const Decimal size = Decimal::seen(coin.value);
  const auto count = Decimal::seen(price.value).steps(size * factor, Rounding::nearest);
  if (!count) return too_fine(2, "smallest coin", coin.value, price.value);
  return Money{(Decimal::whole(*count) * size).number()};
}

constexpr Parameter kPriceBeforeTaxParameters[] = {
    {.name = "price",
     .text = "Price with the tax in it, as the guest pays it.",
     .rule = Rule::not_negative},
    {.name = "tax rate", .text = "Rate of the tax, as a share.", .rule = Rule::share_below_one},
    kCoin,
};
constexpr Example kPriceBeforeTaxExamples[] = {
    {"=PRICEBEFORETAX(23.99;19%)", 20.16},
    {"=PRICEBEFORETAX(23.8;19%;0)", 20.0},
    {"=PRICEBEFORETAX(23.99;-1%)", Code::argument},
};
constexpr Function kPriceBeforeTax = describe<price_before_tax>(
    {.id = "priceBeforeTax",
     .name = "PRICEBEFORETAX",
     .group = Group::money,
     .summary = "What is left of a price once the tax in it is taken out.",
     .returns = "an amount, rounded once to the smallest coin",
     .source = "definition: price / (1 + rate)",
     .detail = "The tax is the price less this amount, so that the two always add up. Margins are "
               "counted from the price before tax."},
    kPriceBeforeTaxParameters, kPriceBeforeTaxExamples);

// --- TAXAMOUNT

Result<Money> tax_amount(const Series<Money>& prices, Ratio rate, std::string_view basis,
                         Money coin) {
  constexpr std::string_view kWords[] = {"invoice", "item"};
  const auto choice = word_index(2, "basis", basis, kWords);
  if (!choice) return choice.error();
  const bool each = *choice == 1;
  const Decimal share = Decimal::seen(rate.value);
  Decimal sum;
  for (const std::optional<double>& price : prices.values) {
    Decimal part = Decimal::seen(price.value_or(0)) * share;
    if (each) part = Decimal::seen(round_to(part, coin.value));
    sum = sum + part;
  }
  return Money{round_to(sum, coin.value)};
}

constexpr Parameter kTaxAmountParameters[] = {
    {.name = "prices",
     .text = "Price before tax, or a range with the prices of one sale; a return is negative."},
    {.name = "tax rate",
     .text = "Rate of the tax, state and local together.",
     .rule = Rule::share_below_one},
    {.name = "basis",
     .text = "\"invoice\": the tax on the sum is rounded; \"item\": the tax on each price is.",
     .fallback = "invoice"},
    kCoin,
};
constexpr Example kTaxAmountExamples[] = {
    {"=TAXAMOUNT(13.3;6.5%)", 0.86},
    {"=TAXAMOUNT({5;5;5};6.5%)", 0.98},
    {"=TAXAMOUNT({5;5;5};6.5%;\"item\")", 0.99},
    {"=TAXAMOUNT(13.3;6.5%;\"till\")", Code::argument},
};
constexpr Function kTaxAmount = describe<tax_amount>(
    {.id = "taxAmount",
     .name = "TAXAMOUNT",
     .group = Group::money,
     .summary = "Sales tax on a price or on a sale.",
     .returns = "an amount, rounded once to the smallest coin",
     .source =
         "Streamlined Sales and Use Tax Agreement, section 324: carried to the third decimal, "
         "rounded up where that is more than 4; by item or by invoice",
     .detail = kExactness},
    kTaxAmountParameters, kTaxAmountExamples);

constexpr Function kFunctions[] = {kPricePoint, kPriceBeforeTax, kTaxAmount, kRoundToCoin};

}  // namespace

Functions price_functions() { return kFunctions; }

}  // namespace loftledger::planning
