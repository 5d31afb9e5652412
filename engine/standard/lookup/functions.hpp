// The functions of looking up, references, conditions on cells and databases, a list a file.
#pragma once

#include "engine/standard/call/call.hpp"

namespace loftledger::standard {

StandardFunctions conditional_functions();
StandardFunctions database_functions();
StandardFunctions lookup_functions();
StandardFunctions reference_functions();

}  // namespace loftledger::standard
