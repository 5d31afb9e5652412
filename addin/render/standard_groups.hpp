// The functions that each group of conformance of OpenFormula asks for: OpenDocument 1.3, part 4
// (OASIS Standard, 27 April 2021), sections 2.3.2 E (Small), 2.3.3 A (Medium) and 2.3.4 B (Large).
// The names are from memory of the standard, and agree with two published copies of its lists.
#pragma once

#include <string_view>
#include <vector>

#include "engine/standard/call/call.hpp"

namespace loftledger::render {

// Those that the group adds to the one before it, in alphabetical order; none for Group::office.
std::vector<std::string_view> names_in(standard::Group group);

}  // namespace loftledger::render
