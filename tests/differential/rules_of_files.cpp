#include "tests/differential/differences.hpp"
#include "tests/differential/matchers.hpp"
#include "tests/differential/rules.hpp"

namespace loftledger::differential {

using formula::Kind;

namespace {

bool anywhere(const Sample&) { return true; }

bool minus_before(const Sample& sample) {
  const formula::Node& node = ungrouped(*sample.term).node;
  return node.kind == Kind::prefix && node.op == formula::Operator::minus;
}

bool minus_one_as_false(const Value& office, const Value& engine) {
  return office.kind() == Value::Kind::boolean && office.number() == 0 &&
         engine.kind() == Value::Kind::number && engine.number() == -1;
}

bool character(const Sample& sample) { return calls(sample, {"CHAR", "UNICHAR"}); }

bool last_digits(const Value& office, const Value& engine) {
  constexpr std::size_t kDigits = 13;  // that two ways of calculating share
  return same_digits(office, engine, kDigits);
}

constexpr Rule kRules[] = {
    {"minus before a truth",
     "The office keeps the format of a truth for -TRUE() and the like, and a file that says "
     "\"true\" or \"false\" does not hold the number.",
     minus_before, minus_one_as_false, 2, 2},
    {"control character",
     "An XML file cannot hold these characters, and the office leaves them out.", character,
     without_controls, 3, 1.5},
    {"last digits in a text",
     "Two ways of calculating differ in the last digits, which a text shows.", anywhere,
     last_digits, 1, 2},
};

}  // namespace

std::span<const Rule> rules_of_files() { return kRules; }

}  // namespace loftledger::differential
