// The XML of a cell that gets another value.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "engine/base/value.hpp"
#include "engine/ods/markup/xml.hpp"
#include "engine/ods/reading/content.hpp"
#include "engine/ods/reading/styles.hpp"

namespace loftledger::ods {

// The prefixes, with their colons, that the document binds to the namespaces.
struct Prefixes {
  std::string office;
  std::string table;
  std::string text;
  std::string calcext;  // empty where it is not bound: its attributes are left out
};

// Nothing where one that is needed has no prefix.
std::optional<Prefixes> prefixes_of(const Scanner& scanner);

// Whether the value is the one that the cell has in the file, as precisely as the file gives it.
bool same_value(const Cell& cell, const Value& value);

// What a changed cell needs to know beside its value.
struct CellContext {
  const Prefixes& prefixes;
  const NumberStyle* format;  // of the cell's style, or nullptr
  std::int64_t null_date;
};

// " office:value-type=…" with the value, in the type that the cell has where it can stay.
std::string value_attributes(const Value& value, ValueType old, const CellContext& context);

// "<text:p>…</text:p>", a paragraph a line of what the cell shows.
std::string paragraphs(const Value& value, const CellContext& context);

// How a cell's element is to be written anew.
struct CellChange {
  std::optional<Value> value;  // another value; none: what stands there stays
  bool drop_formula = false;
  std::optional<std::string> formula;  // another formula text
  std::int32_t count = 1;              // of columns
};

// The element with the change made. `source` is its present text, which begins at `begin`.
std::string changed_cell(std::string_view source, std::uint64_t begin, const Cell& cell,
                         const CellChange& change, const CellContext& context);

// A cell that the file did not have.
std::string new_cell(const Value& value, const CellContext& context);

// The name of the element that begins there, with its prefix.
std::string_view element_name(std::string_view source);

// The start tag with that attribute set to the count, or taken out where the count is 1.
std::string with_count(std::string_view tag, const std::vector<Attribute>& attributes, Name name,
                       std::string_view qualified, std::int32_t count);

}  // namespace loftledger::ods
