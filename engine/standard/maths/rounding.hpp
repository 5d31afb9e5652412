// Rounding of the decimal that a person sees.
#pragma once

namespace loftledger::standard {

// As ROUND does it: half away from zero; a negative number of places rounds to tens, hundreds, ….
double round_as_seen(double number, int places);

}  // namespace loftledger::standard
