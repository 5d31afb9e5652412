// The grammar of quantities: how a text divides into amounts and units, before any is understood.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "engine/base/result.hpp"

namespace loftledger {

struct AmountText {
  std::string digits;  // "1 234,5" or "1'250", with its marks
  std::string numerator;
  std::string denominator;
};
struct PartText {
  AmountText amount;
  std::string unit;  // as written; empty where there is none, ":" between hours and minutes
};
struct QuantityText {
  std::string sign;
  std::vector<PartText> parts;
};
using RangeText = std::vector<QuantityText>;  // one quantity, or the two ends

// The text as a sum of parts that an "and" may join ("2 lb and 3 oz"); nothing where it has no
// "and", or is no such sum as a whole. Whether a sum is meant is for the units to say.
std::optional<QuantityText> divide_sum(std::string_view text);

// Divides a text; the error says where the grammar has no more to say.
Result<RangeText> divide_quantity(std::string_view text);

}  // namespace loftledger
