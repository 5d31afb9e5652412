// Formulas as they stand in files, from formulas as people type them.
#pragma once

#include <string>
#include <string_view>

namespace loftledger::support {

// "=LOFTFACTOR(A1;15)" to "of:=LOFTLEDGER.PLANNING.LOFTFACTOR([.A1];15)"; cells and TRUE and FALSE
// are all that it knows beside names and texts.
std::string stored_formula(std::string_view typed);

}  // namespace loftledger::support
