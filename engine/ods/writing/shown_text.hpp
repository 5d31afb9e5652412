// A value as its cell shows it.
#pragma once

#include <cstdint>
#include <string>

#include "engine/base/value.hpp"
#include "engine/ods/reading/styles.hpp"

namespace loftledger::ods {

// The value in the number style (nullptr: the general one). English names of days and months. The
// office suite makes the text anew when it loads; it is for readers that show what the file holds.
std::string shown_text(const Value& value, const NumberStyle* style, std::int64_t null_date);

}  // namespace loftledger::ods
