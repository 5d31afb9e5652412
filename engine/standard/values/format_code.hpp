// Reading of number format codes.
#pragma once

#include <optional>
#include <string_view>
#include <vector>

#include "engine/standard/values/number_format.hpp"

namespace loftledger::standard {

// The sections of the code; nothing where it is no code.
std::optional<std::vector<NumberFormat::Section>> read_sections(std::string_view code);

// Whether any piece of the section shows a part of a date or a time.
bool is_date(const NumberFormat::Section& section);

}  // namespace loftledger::standard
