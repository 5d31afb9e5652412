#include "engine/catalogue/describe.hpp"
#include "engine/planning/areas.hpp"

namespace loftledger::planning {

Functions money_functions() { return {}; }

}  // namespace loftledger::planning
