#include "engine/study/names.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <string_view>
#include <utility>

#include "engine/calc/program/program.hpp"
#include "engine/formula/parse.hpp"
#include "engine/sheet/workbook.hpp"
#include "engine/standard/call/cells.hpp"

namespace loftledger::study {

namespace {

// The row's own words, the nearest text to the left, and the column's, the nearest above; of
// several columns or rows side by side only what they have in common.
std::string label_of(const sheet::Sheet& sheet, const Area& area) {
  const std::int32_t row = area.first_row;
  const std::int32_t column = area.first_column;
  std::string label;
  for (std::int32_t c = column - 1; c >= 0 && label.empty() && area.rows() == 1; --c) {
    label = std::string(sheet.get(row, c).text());
  }
  if (area.columns() > 1) return label;
  constexpr std::int32_t kFurthest = 12;
  for (std::int32_t r = row - 1; r >= 0 && r >= row - kFurthest; --r) {
    Value above = sheet.get(r, column);
    if (above.is_empty()) break;
    if (!above.is_text()) continue;
    // Under a column's words its unit may stand.
    if (r > 0 && sheet.get(r - 1, column).is_text()) above = sheet.get(r - 1, column);
    return label.empty() ? std::string(above.text()) : fmt::format("{}, {}", label, above.text());
  }
  return label;
}

// The nearest text to the right, where it is short enough for a unit and no sentence.
std::string unit_of(const sheet::Sheet& sheet, std::int32_t row, std::int32_t column) {
  constexpr std::size_t kLongest = 24;
  const auto is_unit = [](std::string_view text) {
    return text.size() <= kLongest && !text.ends_with('.') && !text.ends_with('?');
  };
  for (std::int32_t c = column + 1; c < sheet.columns_end(); ++c) {
    const Value value = sheet.get(row, c);
    if (value.is_text()) {
      return is_unit(value.text()) ? std::string(value.text()) : std::string();
    }
  }
  return {};
}

}  // namespace

std::string place_text(const sheet::Workbook& workbook, CellAddress a) {
  return fmt::format("{}.{}", quoted_sheet(workbook.sheet(a.sheet).name()),
                     cell_name(a.row, a.column));
}

std::optional<Area> area_of(const sheet::Workbook& workbook, const sheet::NamedExpression& name) {
  const auto tree = formula::parse(name.expression, formula::Syntax::open_formula);
  if (!tree || tree->nodes[tree->root].kind != formula::Kind::reference) return std::nullopt;
  // A reference calls no function, whichever there are.
  const calc::Program program =
      calc::compile(workbook, catalogue::Catalogue(), *tree, name.base, name.base.sheet, false);
  if (program.references.size() != 1) return std::nullopt;
  return calc::placed(program.references[0], name.base);
}

std::vector<NamedCells> names(const sheet::Workbook& workbook, const standard::Cells& calculated) {
  std::vector<std::pair<Area, const sheet::NamedExpression*>> found;
  for (const sheet::NamedExpression& name : workbook.names()) {
    const auto area = area_of(workbook, name);
    if (area && area->sheets() == 1) found.emplace_back(*area, &name);
  }
  std::stable_sort(found.begin(), found.end(),
                   [](const auto& a, const auto& b) { return a.first.first() < b.first.first(); });
  std::vector<NamedCells> out;
  for (const auto& [whole, name] : found) {
    NamedCells cells;
    cells.name = name->name;
    cells.sheet = std::string(workbook.sheet(whole.first_sheet).name());
    cells.first = whole.first();
    cells.place = place_text(workbook, whole.first());
    if (!whole.single()) cells.place += ":" + cell_name(whole.last_row, whole.last_column);
    Area area = whole;
    const sheet::Sheet& sheet = workbook.sheet(area.first_sheet);
    area.last_row = std::max(area.first_row, std::min(area.last_row, sheet.rows_end() - 1));
    area.last_column =
        std::max(area.first_column, std::min(area.last_column, sheet.columns_end() - 1));
    cells.values =
        Matrix(static_cast<std::size_t>(area.rows()), static_cast<std::size_t>(area.columns()));
    for (std::int32_t r = area.first_row; r <= area.last_row; ++r) {
      for (std::int32_t c = area.first_column; c <= area.last_column; ++c) {
        cells.values.at(static_cast<std::size_t>(r - area.first_row),
                        static_cast<std::size_t>(c - area.first_column)) = sheet.get(r, c);
        cells.formula = cells.formula || calculated.is_formula({area.first_sheet, r, c});
      }
    }
    cells.label = label_of(sheet, area);
    cells.unit = unit_of(sheet, area.first_row, area.last_column);
    out.push_back(std::move(cells));
  }
  return out;
}

std::vector<NamedCells> inputs(const sheet::Workbook& workbook, const standard::Cells& cells) {
  std::vector<NamedCells> out = names(workbook, cells);
  std::erase_if(out, [](const NamedCells& each) { return each.formula; });
  return out;
}

std::vector<NamedCells> results(const sheet::Workbook& workbook, const standard::Cells& cells) {
  std::vector<NamedCells> out = names(workbook, cells);
  std::erase_if(out, [](const NamedCells& each) { return !each.formula; });
  return out;
}

}  // namespace loftledger::study
