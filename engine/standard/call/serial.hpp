// Dates among the arguments of functions: serial numbers, counted from the document's null date.
#pragma once

#include <cstdint>

#include "engine/format/calendar.hpp"
#include "engine/standard/call/call.hpp"

namespace loftledger::standard {

// The day of a serial number, days from 1970-01-01 on; a time of day is cut off. Beyond the
// calendar's last year the call fails.
std::int64_t day_argument(Call& call, std::size_t index);

// The serial number of a day.
double serial_of(const Call& call, std::int64_t day);

// A number cut towards zero; the call fails where it is beyond 16 bits.
std::int64_t short_argument(Call& call, std::size_t index);

}  // namespace loftledger::standard
