// Rounding of the decimal that a person sees.
#pragma once

#include "engine/base/decimal.hpp"

namespace loftledger {

// The number to 15 significant digits, as a person reads it: 2.9999999999999996 is 3. Whole numbers
// and numbers with few bits behind the point stay as they are.
double as_seen(double number);

// The whole number below or above, seen so: 2.9999999999999996 goes to 3 either way.
double floor_as_seen(double number);
double ceiling_as_seen(double number);
// Towards zero.
double truncated_as_seen(double number);

// The number rounded to so many significant digits.
double to_significant(double number, double digits);

// As ROUND does it; a negative number of places rounds to tens, hundreds, ….
double round_as_seen(double number, int places, Rounding direction = Rounding::nearest);

}  // namespace loftledger
