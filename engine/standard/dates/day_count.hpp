// Counting days as bonds and YEARFRAC do.
#pragma once

#include <cstdint>

namespace loftledger::standard {

// The time between two days in years, without regard to which is the earlier. The basis is 0 for
// months of 30 days as in the USA, 1 for actual days and years, 2 for actual days in years of 360,
// 3 in years of 365, 4 for months of 30 days as in Europe.
double share_of_year(std::int64_t a, std::int64_t b, std::int64_t basis);

}  // namespace loftledger::standard
