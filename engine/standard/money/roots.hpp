// Roots of functions of one variable, always held between two points.
#pragma once

#include <optional>

#include "engine/base/function_ref.hpp"

namespace loftledger::standard {

struct Bracket {
  double low = 0;
  double high = 0;
};

// Forces of interest, ln(1 + rate), from where a rate is still more than -1 to where it is still a
// number.
inline constexpr Bracket kForcesOfInterest{-36, 690};

// The root inside a bracket at whose ends the function has opposite signs, to the last bits or
// after 200 evaluations: Algorithm 748 (G. E. Alefeld, F. A. Potra, Y. Shi, ACM Transactions on
// Mathematical Software 21, 1995) as Boost.Math has it.
double root_within(FunctionRef<double(double)> function, Bracket bracket);

// The root nearest to `guess` inside the limits, looked for outwards in both directions in steps
// that grow with the distance, until one is found. Where the function comes near 0 between two
// steps, its extremum (R. P. Brent) tells whether it passes 0 twice, or touches it as far as
// `noise` lets tell. Nothing where there is no such place.
std::optional<double> root_near(FunctionRef<double(double)> function, double guess, Bracket limits,
                                double noise);

}  // namespace loftledger::standard
