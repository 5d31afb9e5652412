#include "engine/formula/spelling.hpp"

#include "engine/base/address.hpp"

namespace loftledger::formula {

std::string quoted(std::string_view text, char quote) {
  std::string out(1, quote);
  for (char c : text) {
    if (c == quote) out += quote;
    out += c;
  }
  return out + quote;
}

std::string unquoted(std::string_view written, char quote) {
  std::string out;
  for (std::size_t i = 1; i + 1 < written.size(); ++i) {
    out += written[i];
    if (written[i] == quote) ++i;
  }
  return out;
}

bool reads_as_cell(std::string_view word) { return parse_cell(word).has_value(); }

}  // namespace loftledger::formula
