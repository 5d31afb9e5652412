// Where a cell or a rectangle of cells is. Rows, columns and sheets count from 0.
#pragma once

#include <algorithm>
#include <compare>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace loftledger {

// The sheet size of the office suite's file format at the version that we follow.
inline constexpr std::int32_t kMaxRows = 1048576;
inline constexpr std::int32_t kMaxColumns = 16384;
inline constexpr std::int32_t kMaxSheets = 10000;

struct CellAddress {
  std::int32_t sheet = 0;
  std::int32_t row = 0;
  std::int32_t column = 0;
  auto operator<=>(const CellAddress&) const = default;
};

// A rectangle on one sheet, or the same rectangle on a run of sheets; both ends included.
struct Area {
  std::int32_t first_sheet = 0;
  std::int32_t last_sheet = 0;
  std::int32_t first_row = 0;
  std::int32_t last_row = 0;
  std::int32_t first_column = 0;
  std::int32_t last_column = 0;

  static Area of(CellAddress a) { return {a.sheet, a.sheet, a.row, a.row, a.column, a.column}; }
  std::int64_t rows() const { return std::int64_t{last_row} - first_row + 1; }
  std::int64_t columns() const { return std::int64_t{last_column} - first_column + 1; }
  std::int64_t sheets() const { return std::int64_t{last_sheet} - first_sheet + 1; }
  bool single() const { return rows() == 1 && columns() == 1 && sheets() == 1; }
  bool contains(CellAddress a) const {
    return a.sheet >= first_sheet && a.sheet <= last_sheet && a.row >= first_row &&
           a.row <= last_row && a.column >= first_column && a.column <= last_column;
  }
  // Whether some cell lies in both.
  bool meets(const Area& other) const {
    return first_sheet <= other.last_sheet && other.first_sheet <= last_sheet &&
           first_row <= other.last_row && other.first_row <= last_row &&
           first_column <= other.last_column && other.first_column <= last_column;
  }
  CellAddress first() const { return {first_sheet, first_row, first_column}; }
  auto operator<=>(const Area&) const = default;
};

// 0 -> "A", 25 -> "Z", 26 -> "AA".
std::string column_letters(std::int32_t column);

// "A" -> 0 in either case; nothing for no letters, other characters, or past the last column.
std::optional<std::int32_t> column_index(std::string_view letters);

// "B7", without sheet and dollar signs.
std::string cell_name(std::int32_t row, std::int32_t column);

// Reads "B7", "$B$7" (dollar signs are passed over); nothing where the text is no cell.
std::optional<CellAddress> parse_cell(std::string_view text);

// The sheet name as it stands in a reference: quoted where it must be, quotes doubled.
std::string quoted_sheet(std::string_view name);

// Splits "Sheet.A1", "$'My sheet'.$A$1" into the plain sheet name and the rest; the sheet part is
// empty where there is none.
struct SheetAndRest {
  std::string sheet;
  std::string_view rest;
  bool has_sheet = false;
};
SheetAndRest split_sheet(std::string_view reference);

}  // namespace loftledger
