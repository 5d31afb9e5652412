// Reads a formula into a builder. All of Boost.Spirit stays behind this function.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>

#include "engine/formula/builder.hpp"
#include "engine/formula/parse.hpp"

namespace loftledger::formula {

// Where the text stops being a formula, and what would have had to come there.
struct Stop {
  std::size_t at = 0;
  std::string expected;  // one of the names in expectations.hpp
};

// Nothing where the whole text was read; the builder may still hold a problem of its own.
std::optional<Stop> read_formula(std::string_view text, Syntax syntax, Builder& builder);

}  // namespace loftledger::formula
