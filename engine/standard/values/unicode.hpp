// UTF-8 text: code points, their number and place, and their case.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>

namespace loftledger::standard {

// The code point at the byte, which moves past it. A byte that begins none stands for itself.
char32_t decode(std::string_view text, std::size_t& byte);
void append(std::string& text, char32_t point);
std::string encoded(char32_t point);

// How many code points the text has.
std::size_t length(std::string_view text);
// The byte where the code point of that index (from 0) begins; the text's size past its end.
std::size_t byte_of(std::string_view text, std::size_t index);
// `count` code points from `first` on, as far as there are any.
std::string_view slice(std::string_view text, std::size_t first, std::size_t count);

// The simple case mappings of the Unicode Character Database 15; ASCII, Latin, Greek, Cyrillic,
// Armenian and the rarer bicameral scripts of the basic plane.
char32_t upper(char32_t point);
char32_t lower(char32_t point);
// Letters and, beyond Latin, whatever is not known as punctuation or a symbol.
bool is_letter(char32_t point);

}  // namespace loftledger::standard
