// Dates and times in texts (locale en-US).
#pragma once

#include <optional>
#include <string_view>

#include "engine/sheet/settings.hpp"
#include "engine/standard/values/number_read.hpp"

namespace loftledger::standard {

// "12:30", "-1:30:45.5", "1:30 PM", "1 PM" as a part of a day; 100:00 is more than four of them.
std::optional<double> read_time(std::string_view text);

// "1/31/2020", "1/31", "2020-01-31", "Jan 31, 2020", "31-Jan-20", "Jan 2020", with a day of the
// week before and a time behind, as a serial number. Years of two digits by the document's
// settings.
std::optional<NumberRead> read_date(std::string_view text, const sheet::Settings& settings);

}  // namespace loftledger::standard
