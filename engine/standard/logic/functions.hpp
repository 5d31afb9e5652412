// The functions of truth, errors, information and branches, a list a file.
#pragma once

#include "engine/standard/call/call.hpp"

namespace loftledger::standard {

StandardFunctions information_functions();
StandardFunctions jump_functions();
StandardFunctions logic_functions();
StandardFunctions office_functions();
StandardFunctions what_if_functions();

}  // namespace loftledger::standard
