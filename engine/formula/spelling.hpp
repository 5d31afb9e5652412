// How names and texts are spelt: what counts as a letter, and quotes.
#pragma once

#include <string>
#include <string_view>

namespace loftledger::formula {

// Every character beyond ASCII counts as a letter: names are compared, never classified.
constexpr bool is_letter(char c) {
  return (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z') || static_cast<unsigned char>(c) >= 0x80;
}
constexpr bool is_ascii_letter(char c) {
  return is_letter(c) && static_cast<unsigned char>(c) < 0x80;
}
constexpr bool is_digit(char c) { return c >= '0' && c <= '9'; }
constexpr bool is_space(char c) { return c == ' ' || c == '\t' || c == '\r' || c == '\n'; }
constexpr bool starts_word(char c) { return is_letter(c) || c == '_'; }
constexpr bool in_word(char c) { return is_letter(c) || is_digit(c) || c == '_' || c == '.'; }

// Between quotes, quotes inside doubled.
std::string quoted(std::string_view text, char quote);
// The reverse; the outer quotes are taken as given.
std::string unquoted(std::string_view written, char quote);

// True where the word, standing alone, is read as a cell address.
bool reads_as_cell(std::string_view word);

}  // namespace loftledger::formula
