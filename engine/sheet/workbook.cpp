#include "engine/sheet/workbook.hpp"

#include <algorithm>

namespace loftledger::sheet {

Value Sheet::get(std::int32_t row, std::int32_t column) const {
  const Column* held = this->column(column);
  return held == nullptr ? Value() : held->get(row);
}

void Sheet::set(std::int32_t row, std::int32_t column, Value value) {
  if (value.is_empty() && this->column(column) == nullptr) return;
  column_to_write(column).set(row, std::move(value));
}

void Sheet::set_formula(std::int32_t row, std::int32_t column, ShapeId shape) {
  column_to_write(column).set_formula(row, shape);
}

void Sheet::remove_formula(std::int32_t row, std::int32_t column) {
  if (this->column(column) != nullptr) column_to_write(column).remove_formula(row);
}

void Sheet::add_matrix(MatrixFormula matrix) {
  // The span counts as used, whether or not results are cached in it.
  Column& last = column_to_write(matrix.span.last_column);
  last.extend(matrix.span.last_row + 1);
  matrices_.push_back(matrix);
}

const Column* Sheet::column(std::int32_t index) const {
  return index < columns() ? columns_[static_cast<std::size_t>(index)].get() : nullptr;
}

Column& Sheet::column_to_write(std::int32_t index) {
  if (index >= columns()) columns_.resize(static_cast<std::size_t>(index) + 1);
  std::unique_ptr<Column>& held = columns_[static_cast<std::size_t>(index)];
  if (!held) held = std::make_unique<Column>();
  return *held;
}

const MatrixFormula* Sheet::matrix_at(std::int32_t row, std::int32_t column) const {
  for (const MatrixFormula& matrix : matrices_) {
    const Area& span = matrix.span;
    if (row >= span.first_row && row <= span.last_row && column >= span.first_column &&
        column <= span.last_column) {
      return &matrix;
    }
  }
  return nullptr;
}

void Sheet::remove_matrix_at(std::int32_t row, std::int32_t column) {
  const MatrixFormula* held = matrix_at(row, column);
  if (held != nullptr) matrices_.erase(matrices_.begin() + (held - matrices_.data()));
}

void Sheet::hide_rows(HiddenRows rows) { hidden_.push_back(rows); }

bool Sheet::hidden(std::int32_t row, bool by_filter) const {
  const auto after =
      std::upper_bound(hidden_.begin(), hidden_.end(), row,
                       [](std::int32_t r, const HiddenRows& rows) { return r < rows.first; });
  if (after == hidden_.begin()) return false;
  const HiddenRows& rows = *(after - 1);
  return row < rows.end && (rows.by_filter || !by_filter);
}

std::int32_t Sheet::rows_end() const {
  std::int32_t end = 0;
  for (const std::unique_ptr<Column>& column : columns_) {
    if (column) end = std::max(end, column->end());
  }
  return end;
}

std::int32_t Workbook::add_sheet(std::string name) {
  const std::int32_t index = sheets();
  sheets_by_key_.try_emplace(folded(name), index);
  sheets_.push_back(std::make_unique<Sheet>(std::move(name)));
  return index;
}

std::optional<std::int32_t> Workbook::find_sheet(std::string_view name) const {
  const auto found = sheets_by_key_.find(folded(name));
  if (found == sheets_by_key_.end()) return std::nullopt;
  return found->second;
}

Value Workbook::get(CellAddress a) const {
  return a.sheet >= 0 && a.sheet < sheets() ? sheet(a.sheet).get(a.row, a.column) : Value();
}

void Workbook::put(CellAddress a, Value value) {
  Sheet& target = sheet(a.sheet);
  note_edit(a);
  if (const MatrixFormula* matrix = target.matrix_at(a.row, a.column)) {
    const Area span = matrix->span;
    target.remove_matrix_at(a.row, a.column);
    for (std::int32_t row = span.first_row; row <= span.last_row; ++row) {
      for (std::int32_t column = span.first_column; column <= span.last_column; ++column) {
        note_edit({a.sheet, row, column});
      }
    }
  }
  target.remove_formula(a.row, a.column);
  target.set(a.row, a.column, std::move(value));
}

void Workbook::note_edit(CellAddress a) {
  const auto part = [](std::int32_t n) { return static_cast<std::uint64_t>(n); };
  const std::uint64_t key = part(a.sheet) << 40 | part(a.row) << 16 | part(a.column);
  if (edited_keys_.insert(key).second) edited_.push_back(a);
}

const NamedExpression* Workbook::find_name(std::string_view name, std::int32_t from_sheet) const {
  const auto found = names_by_key_.find(folded(name));
  if (found == names_by_key_.end()) return nullptr;
  const NamedExpression* global = nullptr;
  for (std::size_t index : found->second) {
    const NamedExpression& held = names_[index];
    if (held.scope == from_sheet) return &held;
    if (held.scope < 0 && global == nullptr) global = &held;
  }
  return global;
}

void Workbook::add_name(NamedExpression name) {
  names_by_key_[folded(name.name)].push_back(names_.size());
  names_.push_back(std::move(name));
}

}  // namespace loftledger::sheet
