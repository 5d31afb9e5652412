// Values and tables as text for a terminal.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "engine/base/value.hpp"

namespace loftledger::cli {

// A value as a person reads it: at most 6 digits; and with all digits, as a program reads it.
std::string words(const Value& value);
std::string full_words(const Value& value);

class Table {
 public:
  explicit Table(std::vector<std::string> head) : rows_{std::move(head)} {}
  void add(std::vector<std::string> row) { rows_.push_back(std::move(row)); }
  // Columns in line, numbers to the right, the head underlined; empty columns are left out.
  std::string text() const;

 private:
  std::vector<std::vector<std::string>> rows_;
};

}  // namespace loftledger::cli
