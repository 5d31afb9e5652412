// Evaluates the calls that stand in test tables and examples, straight through the catalogue, with
// no formula engine between: "=BODIESPERCASE(\"10 kg\";\"160 g\";4%)".
#pragma once

#include <map>
#include <string>
#include <string_view>

#include "engine/base/result.hpp"
#include "engine/catalogue/function.hpp"

namespace loftledger::support {

// The cells that a call may refer to, by name ("A1"); all others are empty.
using Cells = std::map<std::string, Value, std::less<>>;

// Numbers, percent, "texts" (a quote doubled inside), TRUE and FALSE, + - * / ^ and brackets,
// cells, inline arrays ({1;2|3;4}: ';' parts columns, '|' rows), and calls of planning functions,
// nested as deep as one likes. Two helpers for arrays: INDEX(array; row; column) and SUM(array).
// The Result's error means that the text is no such call; errors of functions are in the answer.
Result<catalogue::Answer> evaluate(std::string_view formula, const Cells& cells = {});

// The same for a call that gives one value; an array gives its first.
Result<Value> evaluate_one(std::string_view formula, const Cells& cells = {});

// The planning function that the formula calls outermost, or nullptr.
const catalogue::Function* outer_function(std::string_view formula);

}  // namespace loftledger::support
