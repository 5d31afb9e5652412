// What XML allows as text: UTF-8, and which of its characters.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "engine/base/result.hpp"

namespace loftledger::ods {

// XML 1.0, production 2.
constexpr bool xml_character(std::uint32_t c) {
  return c == 0x9 || c == 0xA || c == 0xD || (c >= 0x20 && c <= 0xD7FF) ||
         (c >= 0xE000 && c <= 0xFFFD) || (c >= 0x10000 && c <= 0x10FFFF);
}

constexpr bool xml_space(char c) { return c == ' ' || c == '\t' || c == '\n' || c == '\r'; }

// Looks through a text that comes in blocks.
class TextCheck {
 public:
  static constexpr std::size_t kFine = static_cast<std::size_t>(-1);
  // The index in the block of the first byte that is wrong, or kFine.
  std::size_t add(std::string_view block);
  // Whether the last character is complete.
  bool complete() const { return due_ == 0; }

 private:
  bool add_byte(unsigned char byte);
  std::uint32_t character_ = 0;
  std::uint32_t least_ = 0;  // the least character that needs so many bytes
  int due_ = 0;              // bytes that are still to come
};

void append_utf8(std::string& out, std::uint32_t character);

// The character that a reference stands for ("amp", "#10", "#xA0"), or 0 for none.
std::uint32_t referred(std::string_view inside);

// Decodes content, or an attribute's value, that was found well-formed before.
void append_decoded(std::string& out, std::string_view raw, bool attribute);

// Adds text to XML as content, or inside an attribute's double quotes.
void append_escaped(std::string& out, std::string_view text, bool attribute);

// The text in UTF-8, where it is in UTF-16 or ISO-8859-1; nothing where it is in UTF-8 already. A
// byte order mark decides, else the XML declaration. An error for other encodings.
Result<std::optional<std::string>> in_utf8(std::string_view text);

// The reverse: a text that in_utf8() gave for `original`, changed or not, in the original's
// encoding and behind its declaration. What ISO-8859-1 lacks is written as a reference.
std::string in_encoding_of(std::string_view original, std::string_view utf8);

}  // namespace loftledger::ods
