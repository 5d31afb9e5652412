// Texts that people type, without their typography.
#pragma once

#include <string>
#include <string_view>

namespace loftledger {

constexpr char lower(char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; }

constexpr bool is_digit(char c) { return c >= '0' && c <= '9'; }
constexpr bool is_letter(char c) { return lower(c) >= 'a' && lower(c) <= 'z'; }

// With the letters of ASCII in lower case.
std::string lowered(std::string_view text);

// Typography out ("½" becomes "1/2", a dash "-"), runs of spaces to one, none at the ends.
std::string plain(std::string_view text);

}  // namespace loftledger
