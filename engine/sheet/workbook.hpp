// Sheets, cells, names and settings of one document; knows formulas, does not calculate.
#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <unordered_map>
#include <unordered_set>
#include <utility>
#include <vector>

#include "engine/base/address.hpp"
#include "engine/base/result.hpp"
#include "engine/base/value.hpp"
#include "engine/formula/ast.hpp"
#include "engine/sheet/column.hpp"
#include "engine/sheet/settings.hpp"

namespace loftledger::sheet {

// A formula as many cells share it: references count from `base`.
struct Shape {
  std::string text;  // as it stood in the base cell, without "of:" and "="
  CellAddress base;
  formula::Tree tree;           // empty where the text is no formula
  std::optional<Error> syntax;  // what is wrong with it
};

// A formula whose result fills a rectangle.
struct MatrixFormula {
  Area span;
  ShapeId shape = 0;
};

struct NamedExpression {
  std::string name;
  std::int32_t scope = -1;  // a sheet, or -1 for the whole document
  std::string expression;   // in the stored form, without "of:" and "="
  CellAddress base;
};

// Rows that are not shown, either because a filter leaves them out or by hand.
struct HiddenRows {
  std::int32_t first = 0;
  std::int32_t end = 0;  // one past the last
  bool by_filter = false;
};

class Sheet {
 public:
  explicit Sheet(std::string name) : name_(std::move(name)) {}
  const std::string& name() const { return name_; }

  Value get(std::int32_t row, std::int32_t column) const;
  void set(std::int32_t row, std::int32_t column, Value value);
  // Sets the shape of a cell's formula; the cell keeps its (cached) value.
  void set_formula(std::int32_t row, std::int32_t column, ShapeId shape);
  // The formula goes, the value stays.
  void remove_formula(std::int32_t row, std::int32_t column);
  void add_matrix(MatrixFormula matrix);

  std::int32_t columns() const { return static_cast<std::int32_t>(columns_.size()); }
  const Column* column(std::int32_t index) const;
  Column& column_to_write(std::int32_t index);
  const std::vector<MatrixFormula>& matrices() const { return matrices_; }
  // The matrix formula whose span holds the cell, or nullptr.
  const MatrixFormula* matrix_at(std::int32_t row, std::int32_t column) const;
  void remove_matrix_at(std::int32_t row, std::int32_t column);

  // In the order of rows, as a file lists them.
  void hide_rows(HiddenRows rows);
  // Whether a filter hides the row, or (by_filter false) whether it is hidden at all.
  bool hidden(std::int32_t row, bool by_filter) const;

  // One past the last used row and column.
  std::int32_t rows_end() const;
  std::int32_t columns_end() const { return columns(); }

 private:
  std::string name_;
  std::vector<std::unique_ptr<Column>> columns_;
  std::vector<MatrixFormula> matrices_;
  std::vector<HiddenRows> hidden_;
};

class Workbook {
 public:
  // The new sheet's index.
  std::int32_t add_sheet(std::string name);
  std::int32_t sheets() const { return static_cast<std::int32_t>(sheets_.size()); }
  Sheet& sheet(std::int32_t index) { return *sheets_[static_cast<std::size_t>(index)]; }
  const Sheet& sheet(std::int32_t index) const { return *sheets_[static_cast<std::size_t>(index)]; }
  // Without regard to case, as the office does.
  std::optional<std::int32_t> find_sheet(std::string_view name) const;

  // The shape of a formula in the stored form ("of:=" or "=" may stand before it). Texts that
  // differ only by where they stand share one shape and are parsed once.
  ShapeId intern(std::string_view formula, CellAddress base);
  const Shape& shape(ShapeId id) const { return *shapes_[id]; }
  std::size_t shapes() const { return shapes_.size(); }

  Value get(CellAddress a) const;
  // A user's change: the cell becomes a plain value, remembered for writing back. A matrix formula
  // over the cell goes as a whole, and leaves its values.
  void put(CellAddress a, Value value);
  // Each cell once, in the order of first changes.
  const std::vector<CellAddress>& edited() const { return edited_; }

  // A named expression visible from the sheet: its own first, then the document's. Without regard
  // to case.
  const NamedExpression* find_name(std::string_view name, std::int32_t from_sheet) const;
  void add_name(NamedExpression name);
  const std::vector<NamedExpression>& names() const { return names_; }

  Settings settings;

 private:
  // Lets a map of strings be asked with a view.
  struct Hash {
    using is_transparent = void;
    std::size_t operator()(std::string_view text) const {
      return std::hash<std::string_view>{}(text);
    }
  };
  template <class T>
  using ByText = std::unordered_map<std::string, T, Hash, std::equal_to<>>;

  void note_edit(CellAddress a);

  std::vector<std::unique_ptr<Sheet>> sheets_;
  ByText<std::int32_t> sheets_by_key_;
  std::vector<std::unique_ptr<Shape>> shapes_;
  ByText<ShapeId> shape_ids_;
  std::string key_;  // room for the key of the formula at hand
  std::vector<NamedExpression> names_;
  ByText<std::vector<std::size_t>> names_by_key_;
  std::vector<CellAddress> edited_;
  std::unordered_set<std::uint64_t> edited_keys_;
};

// ASCII and the common accented Latin, Greek and Cyrillic letters in lower case, as names compare.
std::string folded(std::string_view name);

// The formula with its relative references written as distances from the base cell: the key under
// which shapes are shared.
std::string relative_key(std::string_view formula, CellAddress base);

// The formula's text as it stands in another cell when it is copied there: relative references
// move along, those that leave the sheet are lost.
std::string moved_formula(std::string_view formula, CellAddress from, CellAddress to);

}  // namespace loftledger::sheet
