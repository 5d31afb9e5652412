// The arguments that functions of securities share.
#pragma once

#include <cstddef>

#include "engine/standard/call/call.hpp"
#include "engine/standard/money/coupons.hpp"

namespace loftledger::standard {

// 0 to 4, 0 where it is left out.
Basis basis_argument(Call& call, std::size_t index);

// Settlement and maturity are the first two arguments.
Bond bond_of(Call& call, std::size_t frequency, std::size_t basis);

}  // namespace loftledger::standard
