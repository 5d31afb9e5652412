// The functions of samples, distributions and tests, a list a file.
#pragma once

#include "engine/standard/call/call.hpp"

namespace loftledger::standard {

StandardFunctions correlation_functions();
StandardFunctions discrete_functions();
StandardFunctions distribution_functions();
StandardFunctions hypothesis_functions();
StandardFunctions rank_functions();
StandardFunctions regression_functions();
StandardFunctions statistics_functions();

}  // namespace loftledger::standard
