#include "engine/formula/error_names.hpp"

#include <algorithm>

#include "engine/formula/spelling.hpp"

namespace loftledger::formula {

namespace {
bool same(std::string_view name, std::string_view written) {
  return std::equal(name.begin(), name.end(), written.begin(), written.end(), [](char a, char b) {
    return a == (b >= 'a' && b <= 'z' ? static_cast<char>(b - 'a' + 'A') : b);
  });
}
}  // namespace

Code error_code(std::string_view written) {
  for (const ErrorName& row : kErrorNames) {
    if (same(row.name, written)) return row.code;
  }
  unsigned number = 0;
  for (char c : written) {
    if (is_digit(c)) number = number * 10 + static_cast<unsigned>(c - '0');
  }
  return Code{static_cast<std::uint16_t>(number)};
}

std::string error_text(Code code) {
  for (const ErrorName& row : kErrorNames) {
    if (row.code == code) return std::string(row.name);
  }
  return "#ERR" + std::to_string(static_cast<unsigned>(code)) + "!";
}

}  // namespace loftledger::formula
