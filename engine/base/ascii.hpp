// Letters and digits of ASCII, the same in every locale. What lies beyond ASCII stays as it is.
#pragma once

#include <algorithm>
#include <string>
#include <string_view>

namespace loftledger::ascii {

constexpr bool is_digit(char c) { return c >= '0' && c <= '9'; }
constexpr bool is_upper(char c) { return c >= 'A' && c <= 'Z'; }
constexpr bool is_lower(char c) { return c >= 'a' && c <= 'z'; }
constexpr bool is_letter(char c) { return is_upper(c) || is_lower(c); }

constexpr char lower(char c) { return is_upper(c) ? static_cast<char>(c - 'A' + 'a') : c; }
constexpr char upper(char c) { return is_lower(c) ? static_cast<char>(c - 'a' + 'A') : c; }

inline std::string lower(std::string_view text) {
  std::string out(text);
  for (char& c : out) c = lower(c);
  return out;
}
inline std::string upper(std::string_view text) {
  std::string out(text);
  for (char& c : out) c = upper(c);
  return out;
}

// Whether the two differ in the case of ASCII letters alone.
constexpr bool same_but_case(std::string_view a, std::string_view b) {
  return std::equal(a.begin(), a.end(), b.begin(), b.end(),
                    [](char x, char y) { return lower(x) == lower(y); });
}

}  // namespace loftledger::ascii
