// A cell that shows 0:05 holds a share of a day: 0.0035.
#pragma once

#include "engine/catalogue/function.hpp"

namespace loftledger::planning {

// For times in minutes: 0.05 is three seconds, and is more than an hour in a clock's cell.
inline constexpr catalogue::Bare kMinutes{
    .least = 0.05,
    .advice =
        "a cell that shows a clock time holds days: times 1440 it is minutes; or write a "
        "text such as \"5 min\" or \"2 s\""};

}  // namespace loftledger::planning
