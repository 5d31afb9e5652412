// Numbers to texts by rules that need no format code, in their shortest decimal form: that is what
// a person sees, and what rounding acts on. All take finite numbers.
#pragma once

#include <string>

#include "engine/base/decimal.hpp"

namespace loftledger {

// The number with so many places behind the point (0 or more), of 15 significant digits at most,
// the rest zeros; whole numbers below 2^53 in full; no thousands separators, and no sign where all
// digits are 0.
std::string fixed_text(double number, int places);
// The same of a decimal of 0 or more.
std::string fixed_text(const Decimal& number, int places);

// The number as "&" and LEN see it: 15 significant digits, "1E+020" from 1e15 on and below 1e-14,
// whole numbers below 2^53 in full.
std::string general_text(double number);

// As the format General shows it in TEXT: "1.00000000000000E+20" above 1e15, and never a power of
// ten below 1.
std::string standard_text(double number);

// As a cell without a format shows it: as "&", but below 1 with a power of ten where it has too
// many decimals, "1.5E-10".
std::string cell_text(double number);

}  // namespace loftledger
