// Fields of comma-separated values (RFC 4180).
#pragma once

#include <string>
#include <string_view>

namespace loftledger {

// The text as a field: between quotation marks, those inside doubled, where it holds a separator,
// a quotation mark or the end of a line.
inline std::string csv_field(std::string_view text) {
  if (text.find_first_of(",\"\r\n") == text.npos) return std::string(text);
  std::string out = "\"";
  for (char c : text) {
    if (c == '"') out += '"';
    out += c;
  }
  return out + '"';
}

}  // namespace loftledger
