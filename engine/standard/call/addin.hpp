// The arguments of functions that the office keeps in add-ins, converted before the call.
#pragma once

#include <vector>

#include "engine/standard/call/call.hpp"

namespace loftledger::standard {

// The arguments as the function's record says (Take), converted from the last to the first; the
// first that cannot be converted decides the call's error. A range or an array that holds an error
// is Err:504. Then one that must be there and is left out is Err:502.
std::vector<Operand> addin_arguments(Call& call);

// An optional number, for a body: left out in any way it is the default; a range, an array, or a
// text that is no number is Err:502.
double addin_option(Call& call, std::size_t index, double otherwise);

}  // namespace loftledger::standard
