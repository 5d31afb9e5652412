// The tables of tests/data/standard: lines that begin with @ fill cells downwards ("@B2", then one
// value a column of the table; "=" begins a formula), those with # say something, all others are
// checks: formula, expected value, where the value comes from.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "engine/base/value.hpp"

namespace loftledger::support {

struct StandardLine {
  int number = 0;
  bool fills = false;  // else it is a check
  std::vector<std::string> fields;
};

std::vector<StandardLine> read_standard_table(const std::filesystem::path& path);

// Splits at separators outside of quotes.
std::vector<std::string> split(const std::string& line, char separator);

// A number, a text in quotes, TRUE or FALSE, an error as it is shown; nothing is an empty cell.
Value standard_value(const std::string& text);
// The reverse, for messages.
std::string shown_value(const Value& value);

}  // namespace loftledger::support
