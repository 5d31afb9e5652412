// Conversions of a single value, as operators and functions use them.
#pragma once

#include <string>

#include "engine/base/value.hpp"
#include "engine/sheet/settings.hpp"

namespace loftledger::standard {

// A number or an error: a truth is 1 or 0, an empty cell 0, a text what it reads as; a text that
// reads as no number is #VALUE!.
Value to_number(const Value& value, const sheet::Settings& settings);
// A boolean or an error.
Value to_truth(const Value& value, const sheet::Settings& settings);
// Of a value that is no error.
std::string to_text(const Value& value);

}  // namespace loftledger::standard
