// Numbers in texts as the office reads them inside formulas (locale en-US).
#pragma once

#include <optional>
#include <string_view>

#include "engine/sheet/settings.hpp"
#include "engine/standard/values/number_read.hpp"

namespace loftledger::standard {

// The number that the office reads in a text: "12", "1,234.5", "5%", "$5", "1 1/2", "2020-01-31",
// "1/31/2020", "Jan 31, 2020", "12:30", "TRUE". Nothing where it reads none.
std::optional<NumberRead> read_typed(std::string_view text, const sheet::Settings& settings);

}  // namespace loftledger::standard
