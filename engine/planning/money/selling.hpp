// What selling a body costs beside the body: parameters that several functions share.
#pragma once

#include "engine/catalogue/function.hpp"

namespace loftledger::planning {

inline constexpr catalogue::Parameter kRoyaltyRate = {
    .name = "royalty rate",
    .text = "Share of the price before tax that goes to a franchisor or licensor.",
    .rule = catalogue::Rule::share_below_one,
    .fallback = 0.0};
inline constexpr catalogue::Parameter kCardRate = {
    .name = "card rate",
    .text = "Share of the payment that the card company keeps.",
    .rule = catalogue::Rule::share_below_one,
    .fallback = 0.0};
inline constexpr catalogue::Parameter kCardFee = {
    .name = "card fee",
    .text =
        "Fixed charge of the card company for one payment, or the "
        "part of it that one body carries.",
    .rule = catalogue::Rule::not_negative,
    .fallback = 0.0};
inline constexpr catalogue::Parameter kTaxAtTheTill = {
    .name = "tax rate",
    .text =
        "Sales tax that the guest pays on top of the price: the card company takes its share "
        "of the tax as well.",
    .rule = catalogue::Rule::share_below_one,
    .fallback = 0.0};

}  // namespace loftledger::planning
