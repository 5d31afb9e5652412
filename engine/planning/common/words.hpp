// Arguments that are words out of a short list: "low", "vacuum-packed".
#pragma once

#include <span>
#include <string>
#include <string_view>

#include "engine/base/result.hpp"

namespace loftledger::planning {

// "hand, machine or both"
std::string listed(std::span<const std::string_view> words);

// Which of the known words the text is, without regard to case, hyphens and outer spaces; else a
// refusal that names the argument and lists the words.
Result<std::size_t> word_index(int argument, std::string_view parameter, std::string_view text,
                               std::span<const std::string_view> known);

}  // namespace loftledger::planning
