#include "engine/base/unicode.hpp"

#include <utf8proc.h>

#include "engine/base/ascii.hpp"

namespace loftledger::unicode {

namespace {

constexpr char32_t kAscii = 0x80;

bool georgian(char32_t point) {
  return (point >= 0x10D0 && point <= 0x10FF) || (point >= 0x1C90 && point <= 0x1CBF);
}

}  // namespace

char32_t decode(std::string_view text, std::size_t& byte) {
  const auto lead = static_cast<unsigned char>(text[byte++]);
  if (lead < 0xC0) return lead;
  const int more = lead >= 0xF0 ? 3 : lead >= 0xE0 ? 2 : 1;
  char32_t point = lead & (0x3Fu >> more);
  for (int i = 0; i < more; ++i) {
    if (byte >= text.size() || !continues(text[byte])) return lead;
    point = point << 6 | (static_cast<unsigned char>(text[byte++]) & 0x3Fu);
  }
  return point;
}

void append(std::string& text, char32_t point) {
  auto add = [&](char32_t bits) { text += static_cast<char>(static_cast<unsigned char>(bits)); };
  if (point < 0x80) {
    add(point);
  } else if (point < 0x800) {
    add(0xC0 | point >> 6);
    add(0x80 | (point & 0x3F));
  } else if (point < 0x10000) {
    add(0xE0 | point >> 12);
    add(0x80 | (point >> 6 & 0x3F));
    add(0x80 | (point & 0x3F));
  } else {
    add(0xF0 | point >> 18);
    add(0x80 | (point >> 12 & 0x3F));
    add(0x80 | (point >> 6 & 0x3F));
    add(0x80 | (point & 0x3F));
  }
}

char32_t upper(char32_t point) {
  if (point < kAscii) return static_cast<char32_t>(ascii::upper(static_cast<char>(point)));
  if (georgian(point)) return point;
  return static_cast<char32_t>(utf8proc_toupper(static_cast<utf8proc_int32_t>(point)));
}

char32_t lower(char32_t point) {
  constexpr char32_t kDottedCapital = 0x130;
  if (point < kAscii) return static_cast<char32_t>(ascii::lower(static_cast<char>(point)));
  if (point == kDottedCapital || georgian(point)) return point;
  return static_cast<char32_t>(utf8proc_tolower(static_cast<utf8proc_int32_t>(point)));
}

}  // namespace loftledger::unicode
