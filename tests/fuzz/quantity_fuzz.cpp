// Any bytes as a quantity: finite numbers in one dimension, or a sentence; and one quantity is a
// range with equal ends.
#include <cmath>
#include <cstdint>
#include <cstdlib>
#include <string_view>

#include "engine/base/quantity.hpp"

namespace {

using namespace loftledger;

void check(std::string_view text, Marks marks, DueDimension due = std::nullopt) {
  const Result<MeasuredRange> range = parse_range(text, marks, due);
  const Result<Measured> one = parse_quantity(text, marks, due);
  if (!range) {
    if (one || range.error().sentence.empty()) std::abort();
    return;
  }
  if (!std::isfinite(range->low.value) || !std::isfinite(range->high.value)) std::abort();
  if ((range->low.unit == nullptr) != (range->high.unit == nullptr)) std::abort();
  if (range->low.unit != nullptr && range->low.unit->dimension != range->high.unit->dimension) {
    std::abort();
  }
  if (!one) return;
  if (one->value != range->low.value || one->value != range->high.value) std::abort();
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  // NOLINTNEXTLINE(cppcoreguidelines-pro-type-reinterpret-cast): bytes are what a text is made of.
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  check(text, Marks::either);
  check(text, Marks::decimal_point);
  check(text, Marks::decimal_comma);
  check(text, Marks::either, Dimension::time);
  return 0;
}
