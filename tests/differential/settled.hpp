// What is never drawn: constructs whose answer depends on the clock, on chance or on the program,
// and those over which the office comes to no end or ends altogether. Where one of them were asked,
// the test could not tell a fault from a slow machine.
#pragma once

#include <string_view>

#include "tests/differential/generator.hpp"

namespace loftledger::differential {

// Whether a function has a settled answer at all.
bool is_settled(std::string_view name);
// Whether none of the constructs stands in the formula.
bool is_settled(const Sample& sample);

}  // namespace loftledger::differential
