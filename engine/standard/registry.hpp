// The functions of each area; registry.cpp puts them into one list.
#pragma once

#include <span>

#include "engine/standard/call.hpp"

namespace loftledger::standard {

using StandardFunctions = std::span<const StandardFunction>;

StandardFunctions logic_functions();

}  // namespace loftledger::standard
