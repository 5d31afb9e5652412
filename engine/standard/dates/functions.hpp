// The functions of dates and times, a list a file.
#pragma once

#include "engine/standard/call/call.hpp"

namespace loftledger::standard {

StandardFunctions date_functions();
StandardFunctions day_count_functions();

}  // namespace loftledger::standard
