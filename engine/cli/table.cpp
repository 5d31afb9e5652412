#include "engine/cli/table.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "engine/base/number_text.hpp"
#include "engine/base/unicode.hpp"

namespace loftledger::cli {

namespace {

// Characters, not bytes; wide enough for the scripts that we print.
std::size_t width(std::string_view text) {
  return static_cast<std::size_t>(
      std::count_if(text.begin(), text.end(), [](char c) { return !unicode::continues(c); }));
}

}  // namespace

std::string words(const Value& value) {
  return value.kind() == Value::Kind::number ? fmt::format("{:.6g}", value.number())
                                             : full_words(value);
}

std::string full_words(const Value& value) {
  switch (value.kind()) {
    case Value::Kind::empty:
      return {};
    case Value::Kind::number:
      return number_text(value.number());
    case Value::Kind::boolean:
      return value.number() != 0 ? "TRUE" : "FALSE";
    case Value::Kind::text:
      return std::string(value.text());
    case Value::Kind::error:
      return shown(value.code());
  }
  return {};
}

std::string Table::text() const {
  const std::size_t columns = rows_[0].size();
  std::vector<std::size_t> widths(columns, 0);
  std::vector<bool> numeric(columns, true);
  std::vector<bool> filled(columns, rows_.size() == 1);
  for (std::size_t r = 0; r < rows_.size(); ++r) {
    for (std::size_t c = 0; c < columns; ++c) {
      const std::string& cell = rows_[r][c];
      widths[c] = std::max(widths[c], width(cell));
      if (r == 0 || cell.empty()) continue;
      filled[c] = true;
      if (!read_number(cell)) numeric[c] = false;
    }
  }
  std::string out;
  const auto add_line = [&](const std::vector<std::string>& cells) {
    std::string line;
    for (std::size_t c = 0; c < columns; ++c) {
      if (!filled[c]) continue;
      const std::string padding(widths[c] - width(cells[c]), ' ');
      if (!line.empty()) line += "  ";
      line += numeric[c] ? padding + cells[c] : cells[c] + padding;
    }
    line.erase(line.find_last_not_of(' ') + 1);
    out += line + "\n";
  };
  add_line(rows_[0]);
  std::vector<std::string> rule;
  for (std::size_t c = 0; c < columns; ++c) rule.emplace_back(widths[c], '-');
  add_line(rule);
  for (std::size_t r = 1; r < rows_.size(); ++r) add_line(rows_[r]);
  return out;
}

}  // namespace loftledger::cli
