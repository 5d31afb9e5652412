#include "engine/ods/csv.hpp"

#include <algorithm>

#include "engine/base/csv.hpp"
#include "engine/base/number_text.hpp"

namespace loftledger::ods {

namespace {

std::string field(const Value& value) {
  switch (value.kind()) {
    case Value::Kind::empty:
      return {};
    case Value::Kind::number:
      return number_text(value.number());
    case Value::Kind::boolean:
      return value.number() != 0 ? "TRUE" : "FALSE";
    case Value::Kind::error:
      return shown(value.code());
    case Value::Kind::text:
      break;
  }
  return csv_field(value.text());
}

// The part of the sheet up to its last row and column that hold anything.
std::pair<std::int32_t, std::int32_t> extent(const sheet::Sheet& sheet) {
  std::int32_t rows = 0;
  std::int32_t columns = 0;
  for (std::int32_t c = 0; c < sheet.columns(); ++c) {
    const sheet::Column* column = sheet.column(c);
    if (column == nullptr) continue;
    std::int32_t end = column->end();
    while (end > 0 && column->kind(end - 1) == Value::Kind::empty) --end;
    if (end > 0) columns = c + 1;
    rows = std::max(rows, end);
  }
  return {rows, columns};
}

}  // namespace

std::string csv(const sheet::Workbook& workbook, std::int32_t sheet) {
  const sheet::Sheet& source = workbook.sheet(sheet);
  const auto [rows, columns] = extent(source);
  std::string out;
  for (std::int32_t row = 0; row < rows; ++row) {
    for (std::int32_t column = 0; column < columns; ++column) {
      if (column > 0) out += ',';
      out += field(source.get(row, column));
    }
    out += "\r\n";
  }
  return out;
}

}  // namespace loftledger::ods
