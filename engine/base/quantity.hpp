// Reading "2 lb 3 oz" as a number in a unit.
#pragma once

#include <cstdint>
#include <string_view>

#include "engine/base/result.hpp"
#include "engine/base/units.hpp"

namespace loftledger {

// What a text of quantity says before it is converted.
struct Measured {
  double value = 0;            // in the unit below
  const Unit* unit = nullptr;  // nullptr: a bare number
};

// How "1,234" is to be read. Without a convention it is refused as ambiguous.
enum class Marks : std::uint8_t { either, decimal_point, decimal_comma };

// Reads "12,5 kg", "1 1/4 in", "5½ oz", "2 lb 3 oz", "4 %", "1 200 g". Compound texts come back in
// their first unit. The error says what was read and what is wrong with it.
Result<Measured> parse_quantity(std::string_view text, Marks marks = Marks::either);

// Reads "45 to 55", "45–55", "4 to 5 kg" as low and high; a single quantity as both.
struct MeasuredRange {
  Measured low;
  Measured high;
};
Result<MeasuredRange> parse_range(std::string_view text, Marks marks = Marks::either);

}  // namespace loftledger
