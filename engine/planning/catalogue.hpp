// All planning functions.
#pragma once

#include "engine/catalogue/catalogue.hpp"

namespace loftledger::planning {

// The one catalogue; it lives as long as the program.
const catalogue::Catalogue& catalogue();

}  // namespace loftledger::planning
