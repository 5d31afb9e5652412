// The key under which formulas of one shape are found.
#pragma once

#include <string>
#include <string_view>

#include "engine/base/address.hpp"

namespace loftledger::sheet {

// Adds relative_key(formula, base) to `key`, whose room is used again from formula to formula.
void append_relative_key(std::string& key, std::string_view formula, CellAddress base);

}  // namespace loftledger::sheet
