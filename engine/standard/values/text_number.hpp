// Numbers to text and text to numbers as the office does it inside formulas (locale en-US).
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "engine/sheet/settings.hpp"
#include "engine/standard/values/number_read.hpp"

namespace loftledger::standard {

// The number as "&" and LEN see it: 15 significant digits, "1E+020" from 1e15 on and below 1e-14,
// whole numbers below 2^53 in full.
std::string general_text(double number);

// The number with so many places behind the point (0 or more), of 15 significant digits at most,
// the rest zeros; no thousands separators, and no sign where all digits are 0.
std::string fixed_text(double number, int places);

// The number that the office reads in a text: "12", "1,234.5", "5%", "$5", "1 1/2", "2020-01-31",
// "1/31/2020", "Jan 31, 2020", "12:30", "TRUE". Nothing where it reads none.
std::optional<NumberRead> read_typed(std::string_view text, const sheet::Settings& settings);

}  // namespace loftledger::standard
