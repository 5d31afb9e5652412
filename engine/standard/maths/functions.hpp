// The functions of sums, rounding, whole numbers, matrices, complex numbers and units, a list a
// file.
#pragma once

#include "engine/standard/call/call.hpp"

namespace loftledger::standard {

StandardFunctions bessel_functions();
StandardFunctions complex_functions();
StandardFunctions integer_functions();
StandardFunctions math_functions();
StandardFunctions matrix_functions();
StandardFunctions radix_functions();
StandardFunctions rounding_functions();
StandardFunctions sum_functions();
StandardFunctions total_functions();
StandardFunctions unit_functions();

}  // namespace loftledger::standard
