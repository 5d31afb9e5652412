// Dates and times in a section of a number format.
#pragma once

#include <cstdint>
#include <optional>
#include <string>

#include "engine/format/number_format.hpp"

namespace loftledger {

// The serial number as the section's pieces show its date and time; nothing where it lies beyond
// the calendar.
std::optional<std::string> moment_text(const NumberFormat::Section& section, double serial,
                                       std::int64_t null_date);

}  // namespace loftledger
