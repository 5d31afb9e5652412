// Differences that have an explanation: accidents of the office that no book should lean on. Each
// names the construct that it is about and the one difference that it allows there, and how often
// it may be needed.
#pragma once

#include <span>

#include "tests/differential/generator.hpp"

namespace loftledger::differential {

struct Rule {
  const char* name;
  const char* why;
  // Whether the construct stands in the formula.
  bool (*stands)(const Sample& sample);
  // Whether it explains that the office shows this and the engine that.
  bool (*allows)(const Value& office, const Value& engine);
  int most;           // formulas of the ordinary run
  double most_often;  // of a thousand formulas of any other

  bool explains(const Sample& sample, const Value& office, const Value& engine) const {
    return allows(office, engine) && stands(sample);
  }
};

std::span<const Rule> rules();

// The parts of the table.
std::span<const Rule> rules_of_files();          // what a file does not hold
std::span<const Rule> rules_of_digits();         // how far numbers are worked out
std::span<const Rule> rules_of_better_digits();  // where the office has fewer digits
std::span<const Rule> rules_of_arguments();      // what functions make of odd arguments

}  // namespace loftledger::differential
