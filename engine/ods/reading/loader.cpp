#include "engine/ods/reading/loader.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <utility>
#include <vector>

namespace loftledger::ods {

namespace {

// Repeated cells are stored one by one; a few bytes of XML must not ask for all memory.
constexpr std::int64_t kMostCells = 100'000'000;

class Loader : public Visitor {
 public:
  explicit Loader(sheet::Workbook& workbook) : workbook_(workbook) {}

  void sheet(const std::string& name) override {
    index_ = workbook_.add_sheet(name);
    sheet_ = &workbook_.sheet(index_);
  }

  void row(const Row& row) override {
    if (row.hidden) sheet_->hide_rows({row.first, row.first + row.count, row.filtered});
    repeated_.clear();
  }

  void cell(const Row& row, const Cell& cell) override {
    if (cell.value.is_empty() && !cell.has_formula) return;
    cells_ += std::int64_t{cell.count} * row.count;
    if (cells_ > kMostCells) return;
    const Stored stored{cell.column, cell.count,
                        cell.has_formula && cell.matrix_rows == 0 && cell.matrix_columns == 0,
                        shape_of(row, cell), cell.value};
    if (row.count == 1) return store(row.first, stored);
    repeated_.push_back(stored);
  }

  bool row_end(const Row& row) override {
    if (cells_ > kMostCells) return false;
    if (repeated_.empty()) return true;
    for (std::int32_t r = row.first; r < row.first + row.count; ++r) {
      for (const Stored& stored : repeated_) store(r, stored);
    }
    return true;
  }

  bool between(std::uint64_t, bool) override { return true; }
  bool sheet_end(const Place&) override { return true; }
  Error problem() const override {
    return Error(Code::argument,
                 fmt::format("the document holds more than {} cells with values, which is more "
                             "than is read",
                             kMostCells));
  }

 private:
  struct Stored {
    std::int32_t column;
    std::int32_t count;
    bool has_formula;
    sheet::ShapeId shape;
    Value value;
  };

  sheet::ShapeId shape_of(const Row& row, const Cell& cell) {
    if (!cell.has_formula) return 0;
    const CellAddress here{index_, row.first, cell.column};
    const sheet::ShapeId shape = workbook_.intern(cell.formula, here);
    if (cell.matrix_rows > 0 || cell.matrix_columns > 0) {
      Area span = Area::of(here);
      span.last_row += std::max(cell.matrix_rows, 1) - 1;
      span.last_column += std::max(cell.matrix_columns, 1) - 1;
      sheet_->add_matrix({span, shape});
    }
    return shape;
  }

  void store(std::int32_t row, const Stored& stored) {
    for (std::int32_t c = stored.column; c < stored.column + stored.count; ++c) {
      sheet::Column& column = sheet_->column_to_write(c);
      column.set(row, stored.value);
      if (stored.has_formula) column.set_formula(row, stored.shape);
    }
  }

  sheet::Workbook& workbook_;
  std::int32_t index_ = 0;
  sheet::Sheet* sheet_ = nullptr;
  std::int64_t cells_ = 0;
  std::vector<Stored> repeated_;
};

void add_names(sheet::Workbook& workbook, Surroundings& around) {
  for (Surroundings::Name& found : around.names) {
    if (found.name.scope >= workbook.sheets()) continue;
    found.name.base.sheet = std::max(found.name.scope, 0);
    if (const auto sheet = workbook.find_sheet(found.base_sheet)) found.name.base.sheet = *sheet;
    workbook.add_name(std::move(found.name));
  }
  for (sheet::NamedExpression& range : around.databases) {
    if (workbook.find_name(range.name, -1) == nullptr) workbook.add_name(std::move(range));
  }
}

}  // namespace

Outcome load(Scanner& scanner, sheet::Workbook& workbook, Surroundings& around) {
  Loader loader(workbook);
  Outcome outcome = ContentWalk(scanner, loader, around, false).walk();
  if (!outcome) return outcome;
  workbook.settings = around.settings;
  add_names(workbook, around);
  return outcome;
}

}  // namespace loftledger::ods
