// Addresses and counts as attributes write them, and as formulas do.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

namespace loftledger::ods {

// "$Plan.$A$1:.$B$2" as a formula refers to it: "[$Plan.$A$1:.$B$2]". Several ranges, with blanks
// between them, are joined.
std::string bracketed(std::string_view ranges);

// "Plan.A1:Plan.B2" with a dollar sign before every part; empty where it is no range of cells.
std::string absolute_range(std::string_view range);

// A formula without the prefix of its language and without "=".
std::string plain_formula(std::string_view formula);

// How many of something an attribute tells of: from 1, which stands for what is no number, to the
// rows of a sheet.
std::int32_t count_of(std::string_view text);

}  // namespace loftledger::ods
