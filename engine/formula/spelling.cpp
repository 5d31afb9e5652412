#include "engine/formula/spelling.hpp"

#include <array>

#include "engine/base/address.hpp"

namespace loftledger::formula {

namespace {

constexpr char32_t kStray = 0xFFFD;

struct Block {
  char32_t first;
  char32_t last;
};

// Blocks of the Unicode standard that hold signs and no letters.
constexpr std::array kSigns{
    Block{0x80, 0xA9},     Block{0xAB, 0xB1},     Block{0xB4, 0xB4},  // Latin-1 signs,
    Block{0xB6, 0xB8},     Block{0xBB, 0xBF},     Block{0xD7, 0xD7},  // ª º ² ³ ¹ µ left in
    Block{0xF7, 0xF7},     Block{0x2000, 0x200B}, Block{0x200E, 0x206F}, Block{0x20A0, 0x20CF},
    Block{0x2190, 0x2BFF}, Block{0x2E00, 0x2E7F}, Block{0x3000, 0x3004}, Block{0x3008, 0x3020},
    Block{0xFEFF, 0xFEFF}, Block{0xFFF0, 0xFFFF},
};

bool starts_name(std::string_view text) { return letter_bytes(text) > 0; }

// Bytes of the letters and digits that the text begins with.
std::size_t word_bytes(std::string_view text) {
  std::size_t at = 0;
  while (at < text.size()) {
    const std::size_t bytes = ascii::is_digit(text[at]) ? 1 : letter_bytes(text.substr(at));
    if (bytes == 0) break;
    at += bytes;
  }
  return at;
}

}  // namespace

Character first_character(std::string_view text) {
  const auto lead = static_cast<unsigned char>(text[0]);
  if (lead < 0x80) return {lead, 1};
  const std::size_t bytes = lead < 0xE0 ? 2 : (lead < 0xF0 ? 3 : 4);
  if (lead < 0xC0 || bytes > text.size()) return {kStray, 1};
  char32_t code = lead & (0x7Fu >> bytes);
  for (std::size_t i = 1; i < bytes; ++i) {
    const auto next = static_cast<unsigned char>(text[i]);
    if ((next & 0xC0) != 0x80) return {kStray, 1};
    code = (code << 6) | (next & 0x3Fu);
  }
  return {code, bytes};
}

std::size_t letter_bytes(std::string_view text) {
  if (text.empty()) return 0;
  if (!beyond_ascii(text[0])) return ascii::is_letter(text[0]) || text[0] == '_' ? 1 : 0;
  const Character c = first_character(text);
  for (const Block& block : kSigns) {
    if (c.code >= block.first && c.code <= block.last) return 0;
  }
  return c.bytes;
}

std::string quoted(std::string_view text, char quote) {
  std::string out(1, quote);
  for (char c : text) {
    if (c == quote) out += quote;
    out += c;
  }
  return out + quote;
}

std::string unquoted(std::string_view written, char quote) {
  std::string out;
  for (std::size_t i = 1; i + 1 < written.size(); ++i) {
    out += written[i];
    if (written[i] == quote) ++i;
  }
  return out;
}

std::string sheet_text(std::string_view name) {
  const bool plain = starts_name(name) && word_bytes(name) == name.size();
  return plain ? std::string(name) : quoted(name, '\'');
}

bool reads_as_name(std::string_view text) {
  if (!starts_name(text) || parse_cell(text)) return false;
  const std::size_t first = word_bytes(text);
  if (first == text.size()) return true;
  // One dot with a name after it parts a sheet from its own name.
  const std::string_view rest = text.substr(first + 1);
  if (text[first] == '.' && starts_name(rest) && word_bytes(rest) == rest.size()) return false;
  for (std::size_t i = first; i < text.size();) {
    if (text[i] != '.') return false;
    ++i;
    i += word_bytes(text.substr(i));
  }
  return true;
}

}  // namespace loftledger::formula
