// The functions of texts, a list a file.
#pragma once

#include "engine/standard/call/call.hpp"

namespace loftledger::standard {

StandardFunctions code_functions();
StandardFunctions numeral_functions();
StandardFunctions text_functions();

}  // namespace loftledger::standard
