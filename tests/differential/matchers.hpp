// Questions about the parts of a formula.
#pragma once

#include <functional>
#include <initializer_list>
#include <string_view>

#include "tests/differential/generator.hpp"

namespace loftledger::differential {

using Names = std::initializer_list<std::string_view>;

bool any_part(const Sample& sample, const std::function<bool(const Term&)>& fits);
bool any_call(const Sample& sample, const std::function<bool(const Term&)>& fits);
bool is_one_of(const Term& call, Names names);
// Whether one of those functions is called.
bool calls(const Sample& sample, Names names);
// Whether an argument or operand is of that kind.
bool takes(const Term& part, formula::Kind kind);
// What stands inside of brackets.
const Term& ungrouped(const Term& term);

}  // namespace loftledger::differential
