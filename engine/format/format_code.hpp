// Reading of number format codes.
#pragma once

#include <optional>
#include <string_view>
#include <vector>

#include "engine/format/number_format.hpp"

namespace loftledger {

// The sections of the code; nothing where it is no code.
std::optional<std::vector<NumberFormat::Section>> read_sections(std::string_view code);

}  // namespace loftledger
