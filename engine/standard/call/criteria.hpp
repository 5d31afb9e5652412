// Search criteria: what COUNTIF, SUMIFS, the database functions and the lookups look for.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "engine/base/value.hpp"
#include "engine/sheet/settings.hpp"
#include "engine/standard/values/pattern.hpp"

namespace loftledger::standard {

// The text may be a pattern rather than a plain text: it has an operator of one in it.
bool may_be_pattern(std::string_view text, Search search);

class Criterion {
 public:
  // As COUNTIF reads its criterion: "<>", "<=", ">=", "<", ">", "=" at the start of a text are
  // operators; a text that reads as a number looks for the number and for the same text; "" finds
  // empty cells and empty texts, "=" only empty cells, "<>" all others; any other text is searched
  // for by the document's settings (regular expressions, wildcards, whole cell), never with regard
  // to case. An empty or missing criterion looks for the number 0.
  static Criterion read(const Value& criterion, const sheet::Settings& settings);
  // As a lookup (MATCH, VLOOKUP) reads what it looks for: no operators; a number looks for numbers,
  // a text for whatever shows it.
  static Criterion lookup(const Value& sought, const sheet::Settings& settings);

  // An empty cell is Value(); an error cell is compared by its shown form.
  bool matches(const Value& cell) const;
  // Whether empty cells match: then a range cannot be searched through its filled cells alone.
  bool matches_empty() const { return matches(Value()); }
  // "=" or "<>" and nothing else.
  bool asks_for_content() const { return only_empty_; }
  // A text with wildcards or a regular expression in it, by the document's settings.
  bool is_pattern() const { return pattern_.has_value() || broken_; }

 private:
  enum class Operator : std::uint8_t { equal, unequal, less, less_equal, greater, greater_equal };

  Operator read_operator(std::string_view& text);
  void search_text(std::string_view text, const sheet::Settings& settings);
  bool equals(const Value& cell) const;
  bool text_equals(std::string_view text) const;

  Operator operator_ = Operator::equal;
  bool whole_ = true;
  bool only_empty_ = false;  // looks for cells without content
  bool broken_ = false;      // no regular expression: matches nothing
  std::optional<double> number_;
  std::string text_;
  std::optional<Pattern> pattern_;
};

}  // namespace loftledger::standard
