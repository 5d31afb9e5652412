// The grammar of quantities: how a text divides into amounts and units, before any is understood.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "engine/base/result.hpp"

namespace loftledger {

struct AmountText {
  std::string digits;  // "1 234,5", with its marks
  std::string numerator;
  std::string denominator;
};
struct PartText {
  AmountText amount;
  std::string unit;  // as written; empty where there is none
};
struct QuantityText {
  std::string sign;
  std::vector<PartText> parts;
};
using RangeText = std::vector<QuantityText>;  // one quantity, or the two ends

// Divides a text; the error says where the grammar has no more to say.
Result<RangeText> divide_quantity(std::string_view text);

}  // namespace loftledger
