#include "tests/support/tables/standard_table.hpp"

#include <fstream>

#include "engine/base/number_text.hpp"

namespace loftledger::support {

std::vector<std::string> split(const std::string& line, char separator) {
  std::vector<std::string> out(1);
  bool quoted = false;
  for (const char c : line) {
    if (c == '"') quoted = !quoted;
    if (c == separator && !quoted) {
      out.emplace_back();
    } else {
      out.back() += c;
    }
  }
  return out;
}

std::vector<StandardLine> read_standard_table(const std::filesystem::path& path) {
  std::vector<StandardLine> out;
  std::ifstream in(path);
  int number = 0;
  for (std::string line; std::getline(in, line);) {
    ++number;
    if (line.empty() || line[0] == '#') continue;
    out.push_back({number, line[0] == '@', split(line, '\t')});
  }
  return out;
}

Value standard_value(const std::string& text) {
  if (text.empty()) return {};
  if (const auto number = read_number(text)) return *number;
  if (text == "TRUE" || text == "FALSE") return Value::boolean(text == "TRUE");
  if (text.size() >= 2 && text.front() == '"' && text.back() == '"') {
    std::string inside;
    for (std::size_t i = 1; i + 1 < text.size(); ++i) {
      inside += text[i];
      if (text[i] == '"') ++i;  // a doubled quote
    }
    return Value(inside);
  }
  return code_of(text);
}

std::string shown_value(const Value& value) {
  if (value.is_error()) return shown(value.code());
  if (value.is_text()) return "\"" + std::string(value.text()) + "\"";
  if (value.is_boolean()) return value.number() != 0 ? "TRUE" : "FALSE";
  return value.is_empty() ? "an empty cell" : number_text(value.number());
}

}  // namespace loftledger::support
