// All spreadsheet functions, by name.
#pragma once

#include <string_view>
#include <vector>

#include "engine/standard/call/call.hpp"

namespace loftledger::standard {

// By its name in files, or by that without a prefix; jumps of the interpreter as well.
const StandardFunction* find_function(std::string_view name);
// The name as people type it: without the prefix that it has in files, where nothing else has that
// name.
std::string_view typed_name(const StandardFunction& function);
std::vector<const StandardFunction*> all_functions();

}  // namespace loftledger::standard
