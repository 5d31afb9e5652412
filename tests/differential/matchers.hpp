// Questions about the parts of a formula.
#pragma once

#include <functional>
#include <span>
#include <string_view>

#include "tests/differential/generator.hpp"

namespace loftledger::differential {

using Names = std::span<const std::string_view>;

bool any_part(const Sample& sample, const std::function<bool(const Term&)>& fits);
bool any_call(const Sample& sample, const std::function<bool(const Term&)>& fits);
bool is_one_of(const Term& call, Names names);

}  // namespace loftledger::differential
