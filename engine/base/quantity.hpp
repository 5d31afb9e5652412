// Reading "2 lb 3 oz" as a number in a unit.
#pragma once

#include <cstdint>
#include <optional>
#include <string_view>

#include "engine/base/result.hpp"
#include "engine/base/units.hpp"

namespace loftledger {

// What a text of quantity says before it is converted.
struct Measured {
  double value = 0;            // in the unit below
  const Unit* unit = nullptr;  // nullptr: a bare number
};

// How "1,234" and "1.234" are to be read. Without a convention, here or in the rest of the text,
// they are refused as ambiguous.
enum class Marks : std::uint8_t { either, decimal_point, decimal_comma };

// The dimension that the reader of a text waits for, where it waits for one: "5 m" are minutes
// where a time is due, and only there is "1:30" read, as hours and minutes.
using DueDimension = std::optional<Dimension>;

// Reads "12,5 kg", "1 1/4 in", "5½ oz", "2 lb 3 oz", "2 lb and 3 oz", "5'-3\"", "4 %", "1 200 g",
// "1'250 g". Compound texts come back in their first unit, marks such as # in the unit that they
// stand for. The error says what was read and what is wrong with it.
Result<Measured> parse_quantity(std::string_view text, Marks marks = Marks::either,
                                DueDimension due = std::nullopt);

// Reads "45 to 55", "45–55", "4 to 5 kg" as low and high; a single quantity as both.
struct MeasuredRange {
  Measured low;
  Measured high;
};
Result<MeasuredRange> parse_range(std::string_view text, Marks marks = Marks::either,
                                  DueDimension due = std::nullopt);

// For a name that several units have ("ton", "cwt", "hp"): what to write instead, with the meaning
// of each; empty for every other name.
std::string_view unit_meanings(std::string_view symbol);

}  // namespace loftledger
