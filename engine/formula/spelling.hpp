// How names and texts are spelt: what counts as a letter, and quotes.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>

#include "engine/base/ascii.hpp"

namespace loftledger::formula {

constexpr bool is_space(char c) { return c == ' ' || c == '\t' || c == '\r' || c == '\n'; }
constexpr bool beyond_ascii(char c) { return static_cast<unsigned char>(c) >= 0x80; }

struct Character {
  char32_t code = 0;
  std::size_t bytes = 1;
};

// The first character of a text in UTF-8 that is not empty. A stray byte counts as a character of
// its own, U+FFFD, so that any text can be read to its end.
Character first_character(std::string_view text);

// Bytes of the letter or underscore that the text begins with, 0 where it begins with none. Beyond
// ASCII every character is a letter but those of the blocks of signs: dashes, curly quotes,
// currency, arithmetic, arrows, shapes, and spaces other than the plain one.
std::size_t letter_bytes(std::string_view text);

// Between quotes, quotes inside doubled.
std::string quoted(std::string_view text, char quote);
// The reverse; the outer quotes are taken as given.
std::string unquoted(std::string_view written, char quote);

// The name of a sheet as it stands before a dot: in quotes unless it is one plain word.
std::string sheet_text(std::string_view name);

// True where the text, standing alone in a formula, is read as a name of this document.
bool reads_as_name(std::string_view text);

}  // namespace loftledger::formula
