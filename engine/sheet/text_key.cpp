#include "engine/sheet/text_key.hpp"

#include <charconv>

#include "engine/base/ascii.hpp"
#include "engine/base/unicode.hpp"
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

}  // namespace

std::string folded(std::string_view name) {
  std::string out;
  out.reserve(name.size());
  for (std::size_t i = 0; i < name.size();) {
    const std::size_t begin = i;
    const char32_t point = unicode::decode(name, i);
    if (i - begin == 1) {
      out += ascii::lower(name[begin]);  // or a stray byte, which stays
    } else {
      unicode::append(out, unicode::lower(point));
    }
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
