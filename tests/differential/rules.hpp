// Differences that have an explanation: accidents of the office that no book should lean on.
#pragma once

#include <span>

#include "tests/differential/generator.hpp"

namespace loftledger::differential {

struct Rule {
  const char* name;
  const char* why;
  // Whether it explains that this formula shows one value in the office and another in the engine.
  bool (*explains)(const Sample& sample, const Value& office, const Value& engine);
};

std::span<const Rule> rules();

}  // namespace loftledger::differential
