// Rounding of the decimal that a person sees.
#pragma once

namespace loftledger::standard {

enum class Rounding { nearest, to_zero, from_zero };

// As ROUND does it: half away from zero; a negative number of places rounds to tens, hundreds, ….
double round_as_seen(double number, int places, Rounding direction = Rounding::nearest);

}  // namespace loftledger::standard
