#include "engine/base/address.hpp"

#include "engine/base/ascii.hpp"

namespace loftledger {

std::string column_letters(std::int32_t column) {
  std::string out;
  for (std::int32_t n = column; n >= 0; n = n / 26 - 1) {
    out.insert(out.begin(), static_cast<char>('A' + n % 26));
  }
  return out;
}

std::optional<std::int32_t> column_index(std::string_view letters) {
  if (letters.empty() || letters.size() > 3) return std::nullopt;
  std::int32_t n = 0;
  for (char c : letters) {
    if (!ascii::is_letter(c)) return std::nullopt;
    n = n * 26 + (ascii::lower(c) - 'a' + 1);
  }
  if (n > kMaxColumns) return std::nullopt;
  return n - 1;
}

std::string cell_name(std::int32_t row, std::int32_t column) {
  return column_letters(column) + std::to_string(row + 1);
}

std::optional<CellAddress> parse_cell(std::string_view text) {
  std::size_t i = 0;
  if (i < text.size() && text[i] == '$') ++i;
  const std::size_t letters = i;
  while (i < text.size() && ascii::is_letter(text[i])) ++i;
  const auto column = column_index(text.substr(letters, i - letters));
  if (!column) return std::nullopt;
  if (i < text.size() && text[i] == '$') ++i;
  std::int64_t row = 0;
  const std::size_t digits = i;
  while (i < text.size() && ascii::is_digit(text[i]) && i - digits < 8)
    row = row * 10 + (text[i++] - '0');
  if (i == digits || i != text.size() || row < 1 || row > kMaxRows) return std::nullopt;
  return CellAddress{0, static_cast<std::int32_t>(row - 1), *column};
}

std::string quoted_sheet(std::string_view name) {
  bool plain = !name.empty() && !ascii::is_digit(name[0]);
  for (char c : name) {
    // Letters beyond ASCII need no quotes.
    plain = plain && (ascii::is_letter(c) || ascii::is_digit(c) || c == '_' ||
                      static_cast<unsigned char>(c) >= 0x80);
  }
  if (plain) return std::string(name);
  std::string out = "'";
  for (char c : name) {
    if (c == '\'') out += '\'';
    out += c;
  }
  return out + "'";
}

SheetAndRest split_sheet(std::string_view reference) {
  SheetAndRest out{{}, reference, false};
  std::size_t i = 0;
  if (i < reference.size() && reference[i] == '$') ++i;
  if (i < reference.size() && reference[i] == '\'') {
    std::string name;
    for (++i; i < reference.size(); ++i) {
      if (reference[i] != '\'') {
        name += reference[i];
      } else if (i + 1 < reference.size() && reference[i + 1] == '\'') {
        name += '\'';
        ++i;
      } else {
        break;
      }
    }
    if (i + 1 >= reference.size() || reference[i + 1] != '.') return out;
    return {std::move(name), reference.substr(i + 2), true};
  }
  const std::size_t dot = reference.rfind('.');
  if (dot == std::string_view::npos) return out;
  if (dot == 0) return {{}, reference.substr(1), false};
  return {std::string(reference.substr(i, dot - i)), reference.substr(dot + 1), true};
}

}  // namespace loftledger
