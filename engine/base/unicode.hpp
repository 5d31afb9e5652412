// Code points of UTF-8 texts, and their case.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>

namespace loftledger::unicode {

// Whether the byte goes on with a code point that one before it began.
constexpr bool continues(char byte) { return (static_cast<unsigned char>(byte) & 0xC0) == 0x80; }

// The code point at the byte, which moves past it. A byte that begins none stands for itself.
char32_t decode(std::string_view text, std::size_t& byte);
void append(std::string& text, char32_t point);

// The simple case mappings of the Unicode Character Database, as of utf8proc. As in the office, a
// capital i with a dot has no small letter of one code point, and Georgian no capitals.
char32_t upper(char32_t point);
char32_t lower(char32_t point);

}  // namespace loftledger::unicode
