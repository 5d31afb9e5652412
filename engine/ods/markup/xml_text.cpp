#include "engine/ods/markup/xml_text.hpp"

#include <algorithm>
#include <charconv>
#include <utility>

#include "engine/base/ascii.hpp"

namespace loftledger::ods {

namespace {

constexpr std::size_t kStride = 64;

// True where all bytes are characters of one byte that XML allows.
bool plain_stride(const char* at) {
  unsigned wrong = 0;
  for (std::size_t i = 0; i < kStride; ++i) {
    const auto c = static_cast<unsigned char>(at[i]);
    const unsigned control = c < 0x20;
    const unsigned space = (c == 0x9) | (c == 0xA) | (c == 0xD);
    wrong |= (c >= 0x80) | (control & ~space);
  }
  return wrong == 0;
}

std::uint32_t unit_at(std::string_view text, std::size_t at, bool little) {
  const auto first = static_cast<unsigned char>(text[at]);
  const auto second = static_cast<unsigned char>(text[at + 1]);
  return little ? first | static_cast<std::uint32_t>(second) << 8
                : second | static_cast<std::uint32_t>(first) << 8;
}

Result<std::optional<std::string>> from_utf16(std::string_view text, bool little) {
  std::string out;
  out.reserve(text.size());
  for (std::size_t i = 0; i + 1 < text.size(); i += 2) {
    std::uint32_t unit = unit_at(text, i, little);
    if (unit >= 0xD800 && unit <= 0xDFFF) {
      const std::uint32_t low = i + 3 < text.size() ? unit_at(text, i + 2, little) : 0;
      if (unit >= 0xDC00 || low < 0xDC00 || low > 0xDFFF) {
        return Error(Code::argument, "half a character stands alone in the UTF-16 text, at byte " +
                                         std::to_string(i));
      }
      unit = 0x10000 + ((unit - 0xD800) << 10) + (low - 0xDC00);
      i += 2;
    }
    append_utf8(out, unit);
  }
  if (text.size() % 2 != 0) return Error(Code::argument, "the UTF-16 text ends inside a character");
  return std::optional<std::string>(std::move(out));
}

std::string from_latin(std::string_view text) {
  std::string out;
  for (char c : text) append_utf8(out, static_cast<unsigned char>(c));
  return out;
}

// What the XML declaration says, in lower case; empty where it says nothing.
std::string declared_encoding(std::string_view text) {
  if (!text.starts_with("<?xml")) return {};
  const std::string_view declaration = text.substr(0, text.find("?>"));
  std::size_t at = declaration.find("encoding");
  if (at == declaration.npos) return {};
  at = declaration.find_first_of("\"'", at);
  if (at == declaration.npos) return {};
  const std::size_t end = declaration.find(declaration[at], at + 1);
  return ascii::lower(declaration.substr(at + 1, end == declaration.npos ? end : end - at - 1));
}

// How long the XML declaration is, in bytes; 0 where there is none.
std::size_t declaration_size(std::string_view text) {
  const std::size_t end = text.starts_with("<?xml") ? text.find("?>") : text.npos;
  return end == text.npos ? 0 : end + 2;
}

// The declaration must not name an encoding that no longer holds.
std::string without_declaration(std::string text) { return text.erase(0, declaration_size(text)); }

// The character that begins at `at`, in text that is known to be fine.
std::uint32_t take_character(std::string_view text, std::size_t& at) {
  const auto first = static_cast<unsigned char>(text[at++]);
  if (first < 0x80) return first;
  std::uint32_t out = first & (first < 0xE0 ? 0x1Fu : first < 0xF0 ? 0x0Fu : 0x07u);
  while (at < text.size() && (static_cast<unsigned char>(text[at]) & 0xC0) == 0x80) {
    out = out << 6 | (static_cast<unsigned char>(text[at++]) & 0x3Fu);
  }
  return out;
}

void append_utf16(std::string& out, std::uint32_t c, bool little) {
  if (c >= 0x10000) {
    append_utf16(out, 0xD800 + ((c - 0x10000) >> 10), little);
    c = 0xDC00 + ((c - 0x10000) & 0x3FF);
  }
  const auto low = static_cast<char>(c & 0xFF);
  const auto high = static_cast<char>(c >> 8);
  out += little ? low : high;
  out += little ? high : low;
}

bool utf16_mark(std::string_view text) {
  return text.starts_with("\xFF\xFE") || text.starts_with("\xFE\xFF");
}

}  // namespace

std::size_t TextCheck::add(std::string_view block) {
  std::size_t i = 0;
  while (i < block.size()) {
    if (due_ == 0) {
      while (i + kStride <= block.size() && plain_stride(block.data() + i)) i += kStride;
    }
    const std::size_t end = std::min(block.size(), i + kStride);
    for (; i < end; ++i) {
      if (!add_byte(static_cast<unsigned char>(block[i]))) return i;
    }
  }
  return kFine;
}

bool TextCheck::add_byte(unsigned char byte) {
  if (due_ > 0) {
    if ((byte & 0xC0) != 0x80) return false;
    character_ = character_ << 6 | (byte & 0x3Fu);
    return --due_ > 0 || (character_ >= least_ && xml_character(character_));
  }
  if (byte < 0x80) return xml_character(byte);
  if (byte >= 0xC2 && byte <= 0xDF) {
    due_ = 1, character_ = byte & 0x1Fu, least_ = 0x80;
  } else if (byte >= 0xE0 && byte <= 0xEF) {
    due_ = 2, character_ = byte & 0x0Fu, least_ = 0x800;
  } else if (byte >= 0xF0 && byte <= 0xF4) {
    due_ = 3, character_ = byte & 0x07u, least_ = 0x10000;
  } else {
    return false;
  }
  return true;
}

void append_utf8(std::string& out, std::uint32_t c) {
  if (c < 0x80) {
    out += static_cast<char>(c);
  } else if (c < 0x800) {
    out += static_cast<char>(0xC0 | c >> 6);
    out += static_cast<char>(0x80 | (c & 0x3F));
  } else if (c < 0x10000) {
    out += static_cast<char>(0xE0 | c >> 12);
    out += static_cast<char>(0x80 | (c >> 6 & 0x3F));
    out += static_cast<char>(0x80 | (c & 0x3F));
  } else {
    out += static_cast<char>(0xF0 | c >> 18);
    out += static_cast<char>(0x80 | (c >> 12 & 0x3F));
    out += static_cast<char>(0x80 | (c >> 6 & 0x3F));
    out += static_cast<char>(0x80 | (c & 0x3F));
  }
}

std::uint32_t referred(std::string_view inside) {
  if (inside == "amp") return '&';
  if (inside == "lt") return '<';
  if (inside == "gt") return '>';
  if (inside == "quot") return '"';
  if (inside == "apos") return '\'';
  if (inside.size() < 2 || inside[0] != '#') return 0;
  const bool hex = inside[1] == 'x';
  const char* const first = inside.data() + (hex ? 2 : 1);
  const char* const last = inside.data() + inside.size();
  std::uint32_t character = 0;
  const auto [end, problem] = std::from_chars(first, last, character, hex ? 16 : 10);
  if (problem != std::errc{} || end != last || !xml_character(character)) return 0;
  return character;
}

void append_decoded(std::string& out, std::string_view raw, bool attribute) {
  for (std::size_t i = 0; i < raw.size(); ++i) {
    const char c = raw[i];
    if (c == '&') {
      const std::size_t end = raw.find(';', i);
      append_utf8(out, referred(raw.substr(i + 1, end - i - 1)));
      i = end;
    } else if (c == '\r') {
      if (i + 1 < raw.size() && raw[i + 1] == '\n') ++i;
      out += attribute ? ' ' : '\n';
    } else {
      out += attribute && xml_space(c) ? ' ' : c;
    }
  }
}

void append_escaped(std::string& out, std::string_view text, bool attribute) {
  for (char c : text) {
    switch (c) {
      case '&':
        out += "&amp;";
        break;
      case '<':
        out += "&lt;";
        break;
      case '>':
        out += "&gt;";
        break;
      case '"':
        out += attribute ? "&quot;" : "\"";
        break;
      case '\r':
        out += "&#xd;";
        break;
      case '\n':
        out += attribute ? "&#xa;" : "\n";
        break;
      case '\t':
        out += attribute ? "&#x9;" : "\t";
        break;
      default:
        // The rest of the control characters cannot stand in XML at all.
        if (static_cast<unsigned char>(c) >= 0x20) out += c;
    }
  }
}

Result<std::optional<std::string>> in_utf8(std::string_view text) {
  if (utf16_mark(text)) {
    auto out = from_utf16(text.substr(2), text[0] == '\xFF');
    if (out) **out = without_declaration(std::move(**out));
    return out;
  }
  const std::string encoding = declared_encoding(text);
  if (encoding.empty() || encoding == "utf-8" || encoding == "utf8" || encoding == "us-ascii") {
    return std::optional<std::string>();
  }
  if (encoding == "iso-8859-1" || encoding == "latin1") {
    return std::optional<std::string>(without_declaration(from_latin(text)));
  }
  return Error(Code::argument, "the text is in the encoding \"" + encoding +
                                   "\"; UTF-8, UTF-16 and ISO-8859-1 are read");
}

std::string in_encoding_of(std::string_view original, std::string_view utf8) {
  const bool wide = utf16_mark(original);
  const bool little = original.starts_with('\xFF');
  std::string out;
  if (wide) {
    out = original.substr(0, 2);
    // A declaration is in ASCII: as many units as bytes.
    std::string head;
    for (std::size_t i = 2; i + 1 < original.size() && !head.ends_with("?>"); i += 2) {
      const std::uint32_t unit = unit_at(original, i, little);
      if (unit >= 0x80) break;
      head += static_cast<char>(unit);
    }
    out += original.substr(2, 2 * declaration_size(head));
  } else {
    out = original.substr(0, declaration_size(original));
  }
  for (std::size_t i = 0; i < utf8.size();) {
    const std::uint32_t c = take_character(utf8, i);
    if (wide) {
      append_utf16(out, c, little);
    } else if (c <= 0xFF) {
      out += static_cast<char>(c);
    } else {
      out += "&#" + std::to_string(c) + ";";
    }
  }
  return out;
}

}  // namespace loftledger::ods
