// Splitting an amount so that its parts add up to it, coin by coin.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

namespace loftledger::planning {

// Splits that many coins by weight with the method of largest remainders (Hamilton's): every part
// is its exact share rounded down, and the coins left over go to the largest remainders, among
// equal ones to the first. A negative total is split like the positive one. Weights are 0 or more
// and not all 0, unless the total is 0.
std::vector<std::int64_t> apportion(std::int64_t coins, std::span<const double> weights);

}  // namespace loftledger::planning
