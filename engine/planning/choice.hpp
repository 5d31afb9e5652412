// Arguments that are one word out of a few: "up", "down", "nearest".
#pragma once

#include <initializer_list>
#include <string_view>

#include "engine/base/result.hpp"

namespace loftledger::planning {

// The place of the text among the words, without regard to case and outer spaces. Refuses any other
// text with a sentence that names the argument and lists the words.
Result<std::size_t> choose(std::string_view text, std::initializer_list<std::string_view> words,
                           int argument, std::string_view name);

}  // namespace loftledger::planning
