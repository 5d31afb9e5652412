// Evaluates the formulas that stand in test tables and examples, as typed in a cell:
// "=BODIESPERCASE(\"10 kg\";\"160 g\";4%)".
#pragma once

#include <map>
#include <string>
#include <string_view>

#include "engine/base/result.hpp"
#include "engine/catalogue/function.hpp"

namespace loftledger::support {

// The cells that a formula may refer to, by name ("A1"); all others are empty.
using Cells = std::map<std::string, Value, std::less<>>;

// The Result's error means that the text is no formula; errors of functions are in the answer.
Result<catalogue::Answer> evaluate(std::string_view formula, const Cells& cells = {});

// The same for a formula that gives one value; an array gives its first.
Result<Value> evaluate_one(std::string_view formula, const Cells& cells = {});

// The planning function that the formula calls outermost, or nullptr.
const catalogue::Function* outer_function(std::string_view formula);

}  // namespace loftledger::support
