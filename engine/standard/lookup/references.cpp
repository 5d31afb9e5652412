// Functions that give references or tell about them, and TRANSPOSE (OpenFormula 6.14, 6.5).
#include <algorithm>
#include <charconv>
#include <cmath>
#include <optional>
#include <string>

#include "engine/format/scanner.hpp"
#include "engine/standard/lookup/functions.hpp"

namespace loftledger::standard {

namespace {

// --- INDEX

// A row or column to pick: 0 is all of them.
struct Pick {
  std::int64_t row = 0;
  std::int64_t column = 0;
};

// With one index alone, a single row or column counts through its cells.
Pick read_pick(Call& call, std::int64_t rows, std::int64_t columns) {
  Pick out;
  out.row = call.count() > 1 ? call.whole(1) : 0;
  out.column = call.count() > 2 ? call.whole(2) : 0;
  if (call.count() == 2 && rows == 1 && columns > 1) std::swap(out.row, out.column);
  if (out.row < 0 || out.row > rows || out.column < 0 || out.column > columns) {
    call.fail(Error(Code::argument, "INDEX: the index lies outside the range"));
  }
  return out;
}

Operand index_area(Call& call, Area area) {
  const Pick pick = read_pick(call, area.rows(), area.columns());
  if (call.failed()) return call.failure();
  if (pick.row > 0) {
    area.first_row += static_cast<std::int32_t>(pick.row - 1);
    area.last_row = area.first_row;
  }
  if (pick.column > 0) {
    area.first_column += static_cast<std::int32_t>(pick.column - 1);
    area.last_column = area.first_column;
  }
  return area;
}

Operand index_matrix(Call& call, const Matrix& matrix) {
  const Pick pick = read_pick(call, static_cast<std::int64_t>(matrix.rows()),
                              static_cast<std::int64_t>(matrix.columns()));
  if (call.failed()) return call.failure();
  const std::size_t row = pick.row > 0 ? static_cast<std::size_t>(pick.row - 1) : 0;
  const std::size_t column = pick.column > 0 ? static_cast<std::size_t>(pick.column - 1) : 0;
  const std::size_t rows = pick.row > 0 ? 1 : matrix.rows();
  const std::size_t columns = pick.column > 0 ? 1 : matrix.columns();
  if (rows == 1 && columns == 1) {
    // What an array leaves out is the empty text here.
    const Value& found = matrix.at(row, column);
    return found.is_empty() ? Operand::text("") : Operand(found);
  }
  Matrix out(rows, columns);
  for (std::size_t r = 0; r < rows; ++r) {
    for (std::size_t c = 0; c < columns; ++c) out.at(r, c) = matrix.at(row + r, column + c);
  }
  return out;
}

Operand index(Call& call) {
  const Operand& operand = call[0];
  const std::int64_t number = call.count() > 3 ? call.whole(3) : 1;
  if (call.failed()) return call.failure();
  const std::size_t areas = operand.kind == Operand::Kind::areas ? operand.areas->size() : 1;
  if (!operand.is_error() && (number < 1 || number > static_cast<std::int64_t>(areas))) {
    return Error(number < 1 ? Code::argument : Code::reference, "INDEX: there is no such area", 3);
  }
  switch (operand.kind) {
    case Operand::Kind::area:
      return index_area(call, operand.area);
    case Operand::Kind::areas:
      return index_area(call, (*operand.areas)[static_cast<std::size_t>(number - 1)]);
    case Operand::Kind::matrix:
      return index_matrix(call, *operand.matrix);
    default:
      break;
  }
  // Not before the indices have been read: what is wrong with them goes before.
  const std::int64_t indices[] = {call.count() > 1 ? call.whole(1) : 0,
                                  call.count() > 2 ? call.whole(2) : 0};
  if (call.failed()) return call.failure();
  if (!operand.is_error() && std::min(indices[0], indices[1]) < 0) {
    return Error(Code::argument, "INDEX: the index lies outside the range");
  }
  return operand.is_error() ? operand : Operand(Code::parameters);
}

// --- OFFSET

Operand offset(Call& call) {
  // What is wrong with the numbers shows before what is no reference.
  const std::int64_t down = call.whole(1);
  const std::int64_t across = call.whole(2);
  const std::int64_t height = call.whole(3, 0);
  const std::int64_t width = call.whole(4, 0);
  const Area area = call.area(0);
  const std::int64_t row = area.first_row + down;
  const std::int64_t column = area.first_column + across;
  const std::int64_t rows = call.given(3) ? height : area.rows();
  const std::int64_t columns = call.given(4) ? width : area.columns();
  if (call.failed()) return call.failure();
  if (rows < 1 || columns < 1) return Error(Code::argument, "OFFSET: a size is 1 or more");
  if (row < 0 || column < 0 || row + rows > kMaxRows || column + columns > kMaxColumns) {
    return Error(Code::argument, "OFFSET: the range leaves the sheet");
  }
  const Area moved{area.first_sheet,
                   area.last_sheet,
                   static_cast<std::int32_t>(row),
                   static_cast<std::int32_t>(row + rows - 1),
                   static_cast<std::int32_t>(column),
                   static_cast<std::int32_t>(column + columns - 1)};
  return call[0].range ? Operand::range_of(moved) : moved;
}

// --- INDIRECT

// The rest of a reference behind the last exclamation mark, and the sheet before it in the
// spelling with a point.
std::string with_points(std::string_view text) {
  const std::size_t mark = text.rfind('!');
  if (mark == text.npos) return std::string(text);
  return std::string(text.substr(0, mark)) + "." + std::string(text.substr(mark + 1));
}

// "R3C5" or "R[-1]C[2]", relative to the cell.
std::optional<CellAddress> read_row_column(Scanner& in, CellAddress from) {
  const auto part = [&in](char letter, std::int32_t here) -> std::optional<std::int64_t> {
    if (!in.take_word(std::string_view(&letter, 1))) return std::nullopt;
    const bool relative = in.take('[');
    const bool negative = relative && in.take('-');
    const std::string_view digits = in.digits();
    if (relative && !in.take(']')) return std::nullopt;
    if (digits.empty()) return relative ? std::nullopt : std::optional<std::int64_t>(here);
    std::int32_t number = 0;
    const auto read = std::from_chars(digits.data(), digits.data() + digits.size(), number);
    if (read.ec != std::errc{}) return std::nullopt;
    if (!relative) return std::int64_t{number} - 1;
    return std::int64_t{here} + (negative ? -std::int64_t{number} : number);
  };
  const auto row = part('R', from.row);
  const auto column = row ? part('C', from.column) : std::nullopt;
  if (!column || *row < 0 || *row >= kMaxRows || *column < 0 || *column >= kMaxColumns) {
    return std::nullopt;
  }
  return CellAddress{from.sheet, static_cast<std::int32_t>(*row),
                     static_cast<std::int32_t>(*column)};
}

Operand no_reference(const std::string& text) {
  return Error(Code::reference, "INDIRECT: \"" + text + "\" is no reference", 0);
}

Operand indirect_row_column(Call& call, const std::string& text) {
  CellAddress from = call.here();
  std::string_view rest = text;
  if (const std::size_t mark = text.rfind('!'); mark != text.npos) {
    const auto parts = split_sheet(with_points(text.substr(0, mark + 1) + "A1"));
    const auto sheet = call.cells().find_sheet(parts.sheet);
    if (!sheet) return no_reference(text);
    from.sheet = *sheet;
    rest.remove_prefix(mark + 1);
  }
  Scanner in(rest);
  const auto first = read_row_column(in, from);
  if (!first) return no_reference(text);
  const auto last = in.take(':') ? read_row_column(in, from) : first;
  if (!last || !in.at_end()) return no_reference(text);
  return Area{from.sheet,
              from.sheet,
              std::min(first->row, last->row),
              std::max(first->row, last->row),
              std::min(first->column, last->column),
              std::max(first->column, last->column)};
}

Operand indirect(Call& call) {
  const std::string text = call.text(0);
  const bool letters = call.count() > 1 ? call.truth(1) : true;
  if (call.failed()) return call.failure();
  if (!letters) return indirect_row_column(call, text);
  if (text.starts_with(' ') || text.ends_with(' ')) return no_reference(text);
  const Operand found = call.cells().resolve(with_points(text), call.here());
  return found.is_reference() ? found : no_reference(text);
}

// --- ADDRESS

std::string row_column_part(char letter, std::int64_t number, bool relative) {
  const std::string digits = std::to_string(number);
  // The own row or column is no distance.
  const std::string distance = number == 0 ? "" : "[" + digits + "]";
  return letter + (relative ? distance : digits);
}

Operand address(Call& call) {
  const std::int64_t kind = call.given(2) ? call.whole(2) : 1;
  const bool letters = call.given(3) ? call.truth(3) : true;
  const std::string sheet = call.text(4, "");
  // A wrong kind shows before what is wrong with the row or the column.
  const bool known = kind >= 1 && kind <= 8;
  if (!call.failed() && !known) return Error(Code::value, "ADDRESS: the kind is 1 to 4", 2);
  const std::int64_t row = call.whole(0);
  const std::int64_t column = call.whole(1);
  if (call.failed()) return call.failure();
  // 5 to 8 are as 1 to 4.
  const bool row_relative = (kind - 1) % 4 >= 2;
  const bool column_relative = (kind - 1) % 2 == 1;
  // Without letters a relative part is a distance, which may lead backwards.
  const auto there_is = [&](std::int64_t place, std::int64_t most, bool relative) {
    return place <= most && place >= (relative && !letters ? 1 - most : 1);
  };
  if (!there_is(row, kMaxRows, row_relative) || !there_is(column, kMaxColumns, column_relative)) {
    return Error(Code::argument, "ADDRESS: there is no such row or column");
  }
  std::string out;
  if (!sheet.empty()) out = quoted_sheet(sheet) + (letters ? "." : "!");
  if (letters) {
    out += (column_relative ? "" : "$") + column_letters(static_cast<std::int32_t>(column - 1));
    out += (row_relative ? "" : "$") + std::to_string(row);
  } else {
    out += row_column_part('R', row, row_relative) + row_column_part('C', column, column_relative);
  }
  return Operand::text(std::move(out));
}

// --- Rows, columns, areas

// The numbers of the rows or columns of a range, or of the cells that the formula fills.
Operand numbers_of(Call& call, bool rows) {
  std::int64_t first = rows ? call.here().row : call.here().column;
  std::int64_t count = rows ? call.extent().rows : call.extent().columns;
  if (call.count() > 0) {
    if (call[0].kind != Operand::Kind::area) {
      return call[0].is_error() ? call[0] : Operand(Code::parameters);
    }
    const Area& area = call[0].area;
    first = rows ? area.first_row : area.first_column;
    count = rows ? area.rows() : area.columns();
  }
  if (count == 1) return static_cast<double>(first) + 1;
  const auto size = static_cast<std::size_t>(count);
  Matrix out(rows ? size : 1, rows ? 1 : size);
  for (std::size_t i = 0; i < size; ++i)
    out.cells()[i] = Value(static_cast<double>(first) + 1 + static_cast<double>(i));
  return out;
}

Operand row(Call& call) { return numbers_of(call, true); }
Operand column(Call& call) { return numbers_of(call, false); }

// Of all arguments together.
Operand count_of(Call& call, bool rows) {
  std::size_t sum = 0;
  for (std::size_t i = 0; i < call.count(); ++i) {
    const Operand& operand = call[i];
    if (operand.kind == Operand::Kind::area) {
      // Sheet by sheet.
      const std::int64_t one = rows ? operand.area.rows() : operand.area.columns();
      sum += static_cast<std::size_t>(one * operand.area.sheets());
    } else if (operand.kind == Operand::Kind::matrix) {
      sum += rows ? operand.matrix->rows() : operand.matrix->columns();
    } else {
      return operand.is_error() ? operand : Operand(Code::parameters);
    }
  }
  return static_cast<double>(sum);
}

Operand rows(Call& call) { return count_of(call, true); }
Operand columns(Call& call) { return count_of(call, false); }

Operand areas(Call& call) {
  const Operand& operand = call[0];
  if (operand.kind == Operand::Kind::area) return 1.0;
  if (operand.kind == Operand::Kind::areas) return static_cast<double>(operand.areas->size());
  return operand.is_error() ? operand : Operand(Code::parameters);
}

Operand transpose(Call& call) {
  const Matrix matrix = call.matrix(0);
  if (call.failed()) return call.failure();
  Matrix out(matrix.columns(), matrix.rows());
  for (std::size_t r = 0; r < matrix.rows(); ++r) {
    for (std::size_t c = 0; c < matrix.columns(); ++c) out.at(c, r) = matrix.at(r, c);
  }
  return out;
}

// The text or number that shows; without one, the address itself.
Operand hyperlink(Call& call) {
  const std::string address_text = call.text(0);
  Value label(address_text);
  if (call.given(1)) {
    if (call[1].kind == Operand::Kind::areas) call.fail(Code::argument);
    label = call.scalar(1);
  }
  if (call.failed()) return call.failure();
  // In an array formula the address stands below.
  if (call.extent().rows * call.extent().columns == 1) return label;
  Matrix out(2, 1, label);
  out.at(1, 0) = Value(address_text);
  return out;
}

// Pivot tables are none of the engine's: whatever is asked of one is not there.
Operand pivot_data(Call& call) {
  // The names and values of fields are read before the table is looked for.
  for (std::size_t i = call.count() % 2 == 0 ? call.count() : 2; i-- > 2;) call.scalar(i);
  if (call.failed()) return call.failure();
  return Error(Code::reference, "GETPIVOTDATA: pivot tables are not read here");
}

constexpr StandardFunction kFunctions[] = {
    {"ADDRESS", address, 2, 5, "v", Group::medium},
    {"AREAS", areas, 1, 1, "r", Group::large, false, 1, Counting::at_call},
    {"COLUMN", column, 0, 1, "r", Group::medium, false, 1, Counting::at_call},
    {"COLUMNS", columns, 0, -1, "r", Group::small},
    {"GETPIVOTDATA", pivot_data, 2, -1, "r", Group::large, false, 1, Counting::usual, Varies::no,
     "pivot tables are not read: always #REF!"},
    {"HYPERLINK", hyperlink, 1, 2, "v", Group::large},
    {"INDEX", index, 1, 4, "rvvv", Group::small},
    with_role(Role::finds_cells, {"INDIRECT", indirect, 1, 2, "v", Group::large, true}),
    with_role(Role::finds_cells, {"OFFSET", offset, 3, 5, "rvvvv", Group::medium, true}),
    {"ROW", row, 0, 1, "r", Group::medium, false, 1, Counting::at_call},
    {"ROWS", rows, 0, -1, "r", Group::small},
    {"TRANSPOSE", transpose, 1, 1, "a", Group::medium, false, 1, Counting::at_call},
};

}  // namespace

StandardFunctions reference_functions() { return kFunctions; }

}  // namespace loftledger::standard
