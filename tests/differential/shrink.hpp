// Makes formulas that differ as small as they can be while they still differ.
#pragma once

#include <functional>
#include <vector>

#include "tests/differential/comparison.hpp"

namespace loftledger::differential {

struct Finding {
  Sample sample;
  Answers answers;
};

// True where the answers to a sample count as a difference.
using Differs = std::function<bool(const Sample&, const Answers&)>;

// All findings go to the office together, a few times over.
void shrink(std::vector<Finding>& findings, Comparison& comparison, const Differs& differs);

}  // namespace loftledger::differential
