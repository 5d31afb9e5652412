#include "engine/formula/grammar.hpp"

#include "engine/formula/grammar_def.hpp"

namespace loftledger::formula {

std::optional<Stop> read_formula(std::string_view text, Syntax syntax, Builder& builder) {
  grammar::Work work{builder, text.data(), syntax};
  grammar::Iterator first = text.data();
  const grammar::Iterator last = text.data() + text.size();
  // Spirit reports a missed expectation by an exception; it goes no further than here.
  try {
    const auto reader = grammar::x3::with<grammar::WorkTag>(std::ref(work))[grammar::formula];
    if (grammar::x3::parse(first, last, reader)) return std::nullopt;
    return Stop{work.at(first), kValue};
  } catch (const grammar::x3::expectation_failure<grammar::Iterator>& miss) {
    return Stop{work.at(miss.where()), miss.which()};
  }
}

}  // namespace loftledger::formula
