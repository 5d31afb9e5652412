// The functions of loans, savings, securities and assets, a list a file.
#pragma once

#include "engine/standard/call/call.hpp"

namespace loftledger::standard {

StandardFunctions depreciation_functions();
StandardFunctions financial_functions();
StandardFunctions odd_first_functions();
StandardFunctions security_functions();

}  // namespace loftledger::standard
