#include "engine/sheet/text_key.hpp"

#include <charconv>

#include "engine/base/ascii.hpp"
#include "engine/sheet/workbook.hpp"

namespace loftledger::sheet {

namespace {

// One corner of a reference: "A1", "$A$1", and "A" or "1" of whole columns and rows.
struct Corner {
  std::int32_t row = -1;
  std::int32_t column = -1;
  bool row_absolute = false;
  bool column_absolute = false;
  const char* end = nullptr;  // nullptr where it is none
};

Corner read_corner(const char* at, const char* end) {
  Corner out;
  const char* dollar = at;
  if (at < end && *at == '$') ++at;
  const char* const letters = at;
  std::int32_t column = 0;
  while (at < end && at - letters < 4 && ascii::is_letter(*at))
    column = column * 26 + ((*at++ & 31));
  if (at != letters) {
    if (column > kMaxColumns) return out;
    out.column = column - 1;
    out.column_absolute = *dollar == '$';
    dollar = at;
    if (at < end && *at == '$') ++at;
  }
  const char* const digits = at;
  std::int32_t row = 0;
  while (at < end && at - digits < 8 && ascii::is_digit(*at)) row = row * 10 + (*at++ - '0');
  if (at != digits) {
    if (row < 1 || row > kMaxRows) return out;
    out.row = row - 1;
    out.row_absolute = *dollar == '$';
  }
  // Only what a corner can stand before; "AB2.C3" names a sheet first.
  const bool closed = at < end && (*at == ']' || *at == ':');
  const bool dangling = at == digits && dollar != letters && digits != letters && dollar != digits;
  if (closed && !dangling && (out.row >= 0 || out.column >= 0)) out.end = at;
  return out;
}

// Control characters, which no XML file can hold, mark what was rewritten: nothing that a formula
// spells out can be taken for it.
enum Mark : char { kColumnDistance = 2, kRowDistance, kColumn, kRow };

void add_part(std::string& key, Mark mark, std::int32_t number) {
  char digits[12];
  const auto written = std::to_chars(digits, digits + sizeof digits, number);
  key += mark;
  key.append(digits, written.ptr);
}

void add_corner(std::string& key, const Corner& corner, CellAddress base) {
  if (corner.column >= 0) {
    if (corner.column_absolute) add_part(key, kColumn, corner.column);
    if (!corner.column_absolute) add_part(key, kColumnDistance, corner.column - base.column);
  }
  if (corner.row >= 0) {
    if (corner.row_absolute) add_part(key, kRow, corner.row);
    if (!corner.row_absolute) add_part(key, kRowDistance, corner.row - base.row);
  }
}

// One past the closing quote; a doubled quote stands for itself.
const char* quoted_end(const char* at, const char* end) {
  const char quote = *at++;
  while (at < end) {
    if (*at++ != quote) continue;
    if (at == end || *at != quote) return at;
    ++at;
  }
  return end;
}

// Copies the formula, but hands each corner of its references, and where it is written, to
// `corner`.
template <class AtCorner>
void rewrite(std::string& out, std::string_view formula, AtCorner&& at_corner) {
  const char* at = formula.data();
  const char* const end = at + formula.size();
  bool bracket = false;
  while (at < end) {
    const char c = *at;
    if (c == '"' || c == '\'') {
      const char* const after = quoted_end(at, end);
      out.append(at, after);
      at = after;
      continue;
    }
    out += c;
    ++at;
    if (c == '[') bracket = true;
    if (c == ']') bracket = false;
    if (!bracket || (c != '.' && c != ':' && c != '[')) continue;
    const Corner corner = read_corner(at, end);
    if (corner.end == nullptr) continue;
    at_corner(corner, at);
    at = corner.end;
  }
}

// The corner where it comes to stand when its formula moves; "#REF!" where that is no cell.
void add_moved(std::string& out, const Corner& corner, std::string_view written, CellAddress from,
               CellAddress to) {
  const std::int32_t down = corner.row_absolute ? 0 : to.row - from.row;
  const std::int32_t right = corner.column_absolute ? 0 : to.column - from.column;
  if (down == 0 && right == 0) {
    out += written;
    return;
  }
  const std::int32_t row = corner.row + down;
  const std::int32_t column = corner.column + right;
  const bool lost = (corner.row >= 0 && (row < 0 || row >= kMaxRows)) ||
                    (corner.column >= 0 && (column < 0 || column >= kMaxColumns));
  if (lost) {
    out += "#REF!";
    return;
  }
  if (corner.column >= 0) out += (corner.column_absolute ? "$" : "") + column_letters(column);
  if (corner.row >= 0) out += (corner.row_absolute ? "$" : "") + std::to_string(row + 1);
}

// Letters of two UTF-8 bytes: Latin with accents, Greek, Cyrillic. Gives the lower-case letter.
std::uint32_t folded_letter(std::uint32_t c) {
  if (c >= 0xC0 && c <= 0xDE && c != 0xD7) return c + 32;
  // Pairs of upper and lower case; three stretches begin on an odd number.
  const bool odd = (c >= 0x139 && c <= 0x148) || (c >= 0x179 && c <= 0x17E);
  if (c == 0x178) return 0xFF;
  if (c == 0x130) return c;  // its lower case is plain "i" with a dot, two letters
  if (odd) return (c & 1) != 0 ? c + 1 : c;
  if (c >= 0x100 && c <= 0x177 && c != 0x138 && c != 0x149) return c | 1;
  if (c == 0x386) return 0x3AC;
  if (c >= 0x388 && c <= 0x38A) return c + 37;
  if (c == 0x38C) return 0x3CC;
  if (c == 0x38E || c == 0x38F) return c + 63;
  if (c >= 0x391 && c <= 0x3AB && c != 0x3A2) return c + 32;
  if (c >= 0x400 && c <= 0x40F) return c + 80;
  if (c >= 0x410 && c <= 0x42F) return c + 32;
  if ((c >= 0x460 && c <= 0x481) || (c >= 0x48A && c <= 0x4BF)) return c | 1;
  return c;
}

}  // namespace

std::string folded(std::string_view name) {
  std::string out;
  out.reserve(name.size());
  for (std::size_t i = 0; i < name.size(); ++i) {
    const auto c = static_cast<unsigned char>(name[i]);
    const bool pair = c >= 0xC2 && c <= 0xDF && i + 1 < name.size() &&
                      (static_cast<unsigned char>(name[i + 1]) & 0xC0) == 0x80;
    if (!pair) {
      out += ascii::lower(name[i]);
      continue;
    }
    const auto tail = static_cast<unsigned char>(name[++i]);
    const std::uint32_t lower =
        folded_letter((static_cast<std::uint32_t>(c) & 0x1F) << 6 | (tail & 0x3Fu));
    out += static_cast<char>(0xC0 | lower >> 6);
    out += static_cast<char>(0x80 | (lower & 0x3F));
  }
  return out;
}

void append_relative_key(std::string& key, std::string_view formula, CellAddress base) {
  rewrite(key, formula, [&](const Corner& corner, const char*) { add_corner(key, corner, base); });
}

std::string moved_formula(std::string_view formula, CellAddress from, CellAddress to) {
  std::string out;
  rewrite(out, formula, [&](const Corner& corner, const char* written) {
    add_moved(out, corner, {written, static_cast<std::size_t>(corner.end - written)}, from, to);
  });
  return out;
}

std::string relative_key(std::string_view formula, CellAddress base) {
  std::string key;
  append_relative_key(key, formula, base);
  return key;
}

}  // namespace loftledger::sheet
