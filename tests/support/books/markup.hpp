// What stands in a flat workbook beside its values: styles, names, validations, notes, pages.
#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <random>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "engine/base/address.hpp"
#include "engine/base/value.hpp"

namespace loftledger::support {

struct MarkedCell {
  std::string style;       // the named style that it follows, behind automatic ones
  std::string validation;  // its name
  std::string note;
  std::string text;  // as shown
  std::string formula;
  bool filled = false;  // holds a value
};

using Place = std::pair<std::int32_t, std::int32_t>;  // row, column

struct MarkedSheet {
  std::string name;
  bool is_protected = false;
  std::map<Place, MarkedCell> cells;  // those with a style of their own, a value or a note
  std::vector<std::string> page;      // what is missing for printing
  int charts = 0;
  std::vector<std::string> shown_by_charts;  // places that its charts show: "Plan.B7:Plan.C9"
};

// A validation's rule, as far as starters use them: a number or date between two bounds, a text of
// a length, a choice of texts.
struct InputRule {
  enum class Kind : std::uint8_t { decimal, whole, date, length, choice };
  Kind kind = Kind::decimal;
  double low = 0;
  double high = 0;
  std::vector<std::string> choices;
  bool may_be_empty = false;
  std::string message;  // what a user reads when it is broken

  // Something that the rule allows: a bound, a value near a bound, or one in between.
  Value draw(std::mt19937_64& random) const;
  bool allows(const Value& value) const;
};

struct NamedArea {
  std::string name;
  Area area;
};

struct Markup {
  std::string problem;
  std::vector<MarkedSheet> sheets;
  std::vector<NamedArea> names;
  std::map<std::string, InputRule> rules;
  std::map<std::string, std::string> parents;     // of cell styles
  std::map<std::string, std::string> protection;  // "protected", "none", of styles that say so

  const MarkedCell* at(CellAddress cell) const;
  std::string place_of(CellAddress cell) const;  // "Inputs.B7"
  template <class Visit>
  void each_cell(Visit&& visit) const {
    for (std::size_t s = 0; s < sheets.size(); ++s) {
      for (const auto& [place, cell] : sheets[s].cells) {
        visit(CellAddress{static_cast<std::int32_t>(s), place.first, place.second}, cell);
      }
    }
  }
  // Whether the style is this one or is derived from it.
  bool follows(std::string style, std::string_view ancestor) const;
  bool is_open(std::string style) const;  // may be typed into on a protected sheet
};

Markup read_markup(const std::string& path);

}  // namespace loftledger::support
