#include "engine/ods/writing/update.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <set>
#include <utility>
#include <vector>

#include "engine/ods/writing/cell_markup.hpp"

namespace loftledger::ods {

namespace {

// What becomes of one cell of the sheet.
struct Fate {
  std::int32_t column = 0;
  bool set = false;  // by the user: any formula goes
  Value value;
  bool operator==(const Fate& other) const {
    return column == other.column && set == other.set && value.identical(other.value);
  }
};
using Fates = std::vector<Fate>;  // of a row, by column; cells that stay are not among them

class Updater : public Visitor {
 public:
  Updater(Scanner& scanner, const sheet::Workbook& workbook, Surroundings& around,
          FunctionRef<void(std::string_view)> sink)
      : scanner_(scanner), workbook_(workbook), around_(around), sink_(sink) {
    edits_.resize(static_cast<std::size_t>(workbook.sheets()));
    for (const CellAddress& a : workbook.edited()) {
      edits_[static_cast<std::size_t>(a.sheet)].push_back(a);
    }
    for (auto& edits : edits_) std::sort(edits.begin(), edits.end());
    scanner_.keep(0);
  }

  Result<bool> run() {
    ContentWalk walk(scanner_, *this, around_, true);
    walk_ = &walk;
    Outcome done = walk.walk();
    if (!done) return std::move(done).error();
    flush(scanner_.end());
    return changed_;
  }

  void sheet(const std::string& name) override;
  void row(const Row& row) override;
  void cell(const Row& row, const Cell& cell) override;
  bool row_end(const Row& row) override;
  bool between(std::uint64_t begin, bool after_rows) override;
  bool sheet_end(const Place& place) override;
  Error problem() const override { return Error(Code::argument, problem_); }

 private:
  using Edits = std::vector<CellAddress>;

  // Copies what was not copied yet, up to there.
  void flush(std::uint64_t to) {
    sink_(scanner_.bytes(emitted_, to));
    emitted_ = to;
    scanner_.keep(to);
  }
  void write(std::string_view text) {
    sink_(text);
    changed_ = true;
  }
  bool cannot_write() {
    problem_ = "the document binds no prefixes to its namespaces, without which no cell is written";
    return false;
  }

  const Edits& edits() const { return edits_[static_cast<std::size_t>(index_)]; }
  bool set_by_user(std::int32_t row, std::int32_t column) const {
    return std::binary_search(edits().begin(), edits().end(), CellAddress{index_, row, column});
  }
  bool in_matrix(std::int32_t row, std::int32_t column) const {
    return !sheet_->matrices().empty() && sheet_->matrix_at(row, column) != nullptr;
  }
  void gather_due(std::int32_t first, std::int32_t count);
  bool fate(std::int32_t row, std::int32_t column, const Cell& cell, Fate& out) const;
  Fates fates(std::int32_t row) const;
  CellContext context(std::string_view style, std::int32_t column) const;
  void write_row(const Row& row, std::int32_t at, std::int32_t count, const Fates& fates);
  void write_cell(const Row& row, std::int32_t at, const Cell& cell, const Fates& fates);
  std::string new_cells(std::int32_t from, const Fates& fates) const;
  bool has_new_rows() const;
  std::string new_rows();

  Scanner& scanner_;
  const sheet::Workbook& workbook_;
  Surroundings& around_;
  FunctionRef<void(std::string_view)> sink_;
  ContentWalk* walk_ = nullptr;
  std::vector<Edits> edits_;  // by sheet

  std::uint64_t emitted_ = 0;
  bool changed_ = false;
  std::string problem_;
  Prefixes prefixes_;

  std::int32_t index_ = -1;
  const sheet::Sheet* sheet_ = nullptr;
  std::int32_t next_row_ = 0;
  bool holds_ = false;  // nothing is copied from where new rows may have to go

  // Of the row at hand.
  std::vector<Attribute> row_attributes_;
  std::string row_style_;
  std::vector<Cell> held_;    // cells that may change
  std::int32_t row_end_ = 0;  // behind its last cell
  Fates due_;                 // places, set or within a matrix, that must come out in these rows
};

void Updater::sheet(const std::string&) {
  sheet_ = &workbook_.sheet(++index_);
  next_row_ = 0;
  holds_ = false;
  if (auto bound = prefixes_of(scanner_)) prefixes_ = *bound;
}

// The columns that the user set, or that a matrix fills, in any of the rows.
void Updater::gather_due(std::int32_t first, std::int32_t count) {
  due_.clear();
  const auto add = [this](std::int32_t column) { due_.push_back({column, false, {}}); };
  auto edit = std::lower_bound(edits().begin(), edits().end(), CellAddress{index_, first, 0});
  for (; edit != edits().end() && edit->row < first + count; ++edit) add(edit->column);
  for (const sheet::MatrixFormula& matrix : sheet_->matrices()) {
    const Area& span = matrix.span;
    if (span.last_row < first || span.first_row >= first + count) continue;
    for (std::int32_t c = span.first_column; c <= span.last_column; ++c) add(c);
  }
  if (due_.size() < 2) return;
  const auto by_column = [](const Fate& a, const Fate& b) { return a.column < b.column; };
  const auto same_column = [](const Fate& a, const Fate& b) { return a.column == b.column; };
  std::sort(due_.begin(), due_.end(), by_column);
  due_.erase(std::unique(due_.begin(), due_.end(), same_column), due_.end());
}

void Updater::row(const Row& row) {
  holds_ = false;
  row_attributes_ = scanner_.attributes();
  row_style_ = row.style;
  held_.clear();
  row_end_ = 0;
  gather_due(row.first, row.count);
}

// Whether the place gets another value than the cell has in the file.
bool Updater::fate(std::int32_t row, std::int32_t column, const Cell& cell, Fate& out) const {
  const bool set = set_by_user(row, column);
  if (!set && !cell.has_formula && !in_matrix(row, column)) return false;
  Value value = sheet_->get(row, column);
  if (same_value(cell, value) && !(set && cell.has_formula)) return false;
  out = {column, set, std::move(value)};
  return true;
}

void Updater::cell(const Row& row, const Cell& cell) {
  const std::int32_t end = cell.column + cell.count;
  row_end_ = end;
  const auto due = std::lower_bound(
      due_.begin(), due_.end(), cell.column,
      [](const Fate& place, std::int32_t column) { return place.column < column; });
  if (!cell.has_formula && (due == due_.end() || due->column >= end)) return;
  if (row.count == 1) {
    Fate out;
    bool any = false;
    for (std::int32_t c = cell.column; c < end && !any; ++c) any = fate(row.first, c, cell, out);
    if (!any) return;
  }
  held_.push_back(cell);
}

Fates Updater::fates(std::int32_t row) const {
  Fates out;
  Fate next;
  for (const Cell& cell : held_) {
    for (std::int32_t c = cell.column; c < cell.column + cell.count; ++c) {
      if (fate(row, c, cell, next)) out.push_back(next);
    }
  }
  const Cell missing;
  for (const Fate& place : due_) {
    if (place.column >= row_end_ && fate(row, place.column, missing, next)) out.push_back(next);
  }
  return out;
}

bool Updater::row_end(const Row& row) {
  next_row_ = row.first + row.count;
  if (held_.empty() && due_.empty()) {
    flush(row.place.end);
    return true;
  }
  if (prefixes_.office.empty()) return cannot_write();
  // Rows that come out alike stay one element. Where all of them stay as they are, it is copied.
  std::int32_t from = row.first;
  Fates present = fates(from);
  bool any = !present.empty();
  for (std::int32_t r = row.first + 1; r <= next_row_; ++r) {
    Fates next;
    if (r < next_row_) next = fates(r);
    if (r < next_row_ && next == present) continue;
    if (r < next_row_) any = true;
    if (any) write_row(row, from, r - from, present);
    from = r;
    present = std::move(next);
  }
  if (!any) flush(row.place.end);
  if (any) {
    emitted_ = row.place.end;
    scanner_.keep(emitted_);
  }
  return true;
}

CellContext Updater::context(std::string_view style, std::int32_t column) const {
  if (style.empty()) style = row_style_;
  if (style.empty()) style = walk_->column_style(column);
  return {prefixes_, around_.styles.of_cell(style), around_.settings.null_date};
}

// `count` rows from `at` on, out of the element of `row`.
void Updater::write_row(const Row& row, std::int32_t at, std::int32_t count, const Fates& fates) {
  const Place& place = row.place;
  if (emitted_ < place.begin) flush(place.begin);
  const std::string_view tag = scanner_.bytes(place.begin, place.tag_end);
  std::string start(tag);
  if (count != row.count) {
    start = with_count(tag, row_attributes_, "table:number-rows-repeated"_name,
                       prefixes_.table + "number-rows-repeated", count);
  }
  const bool grows = !fates.empty() && fates.back().column >= row_end_;
  const bool opened = place.closed && grows;
  if (opened) start.replace(start.size() - 2, 2, ">");
  write(start);
  std::uint64_t copied = place.tag_end;
  for (const Cell& cell : held_) {
    write(scanner_.bytes(copied, cell.place.begin));
    write_cell(row, at, cell, fates);
    copied = cell.place.end;
  }
  write(scanner_.bytes(copied, place.content_end));
  if (grows) write(new_cells(row_end_, fates));
  write(scanner_.bytes(place.content_end, place.end));
  if (opened) write(fmt::format("</{}>", element_name(tag)));
}

void Updater::write_cell(const Row& row, std::int32_t at, const Cell& cell, const Fates& fates) {
  const std::string_view source = scanner_.bytes(cell.place.begin, cell.place.end);
  const CellContext here = context(cell.style, cell.column);
  const std::int32_t end = cell.column + cell.count;
  const auto find = [&](std::int32_t column) {
    const auto found =
        std::find_if(fates.begin(), fates.end(), [&](const Fate& f) { return f.column == column; });
    return found == fates.end() ? nullptr : &*found;
  };
  for (std::int32_t c = cell.column; c < end;) {
    const Fate* mine = find(c);
    std::int32_t next = c + 1;
    for (; next < end; ++next) {
      const Fate* other = find(next);
      const bool alike = mine == nullptr || other == nullptr
                             ? mine == other
                             : mine->set == other->set && mine->value.identical(other->value);
      if (!alike) break;
    }
    const bool moved = cell.has_formula && (at != row.first || c != cell.column);
    if (mine == nullptr && !moved && next - c == cell.count) {
      write(source);
    } else {
      CellChange change;
      change.count = next - c;
      if (mine != nullptr) change.value = mine->value;
      change.drop_formula = mine != nullptr && mine->set;
      if (moved && !change.drop_formula) {
        change.formula =
            sheet::moved_formula(cell.formula, {index_, row.first, cell.column}, {index_, at, c});
      }
      write(changed_cell(source, cell.place.begin, cell, change, here));
    }
    c = next;
  }
}

std::string Updater::new_cells(std::int32_t from, const Fates& fates) const {
  std::string out;
  for (const Fate& fate : fates) {
    if (fate.column < from) continue;
    const std::int32_t gap = fate.column - from;
    if (gap > 0) {
      out += gap == 1 ? fmt::format("<{}table-cell/>", prefixes_.table)
                      : fmt::format("<{0}table-cell {0}number-columns-repeated=\"{1}\"/>",
                                    prefixes_.table, gap);
    }
    out += new_cell(fate.value, context({}, fate.column));
    from = fate.column + 1;
  }
  return out;
}

// Rows below the last one of the file that hold something now.
std::string Updater::new_rows() {
  held_.clear();
  row_end_ = 0;
  row_style_.clear();
  std::set<std::int32_t> rows;
  for (const CellAddress& edit : edits()) rows.insert(edit.row);
  for (const sheet::MatrixFormula& matrix : sheet_->matrices()) {
    for (std::int32_t r = matrix.span.first_row; r <= matrix.span.last_row; ++r) rows.insert(r);
  }
  std::string out;
  std::int32_t next = next_row_;
  const std::string& p = prefixes_.table;
  for (auto row = rows.lower_bound(next_row_); row != rows.end(); ++row) {
    gather_due(*row, 1);
    const Fates present = fates(*row);
    if (present.empty()) continue;
    const std::int32_t gap = *row - next;
    if (gap > 0) {
      const std::string repeated =
          gap > 1 ? fmt::format(" {}number-rows-repeated=\"{}\"", p, gap) : std::string();
      out += fmt::format("<{0}table-row{1}><{0}table-cell/></{0}table-row>", p, repeated);
    }
    out += fmt::format("<{0}table-row>{1}</{0}table-row>", p, new_cells(0, present));
    next = *row + 1;
  }
  return out;
}

bool Updater::has_new_rows() const {
  const auto below = [this](std::int32_t row) { return row >= next_row_; };
  return (!edits().empty() && below(edits().back().row)) ||
         std::any_of(sheet_->matrices().begin(), sheet_->matrices().end(),
                     [&](const sheet::MatrixFormula& m) { return below(m.span.last_row); });
}

// New rows go behind the last one, before what the standard lets follow the rows. Whether it was
// the last one shows only at the sheet's end.
bool Updater::between(std::uint64_t begin, bool after_rows) {
  if (holds_) return true;
  flush(begin);
  holds_ = after_rows && has_new_rows();
  return true;
}

bool Updater::sheet_end(const Place& place) {
  const bool grows = has_new_rows();
  if (grows && prefixes_.office.empty()) return cannot_write();
  const std::string rows = grows ? new_rows() : std::string();
  if (rows.empty()) {
    flush(place.end);
    return true;
  }
  if (place.closed) {
    // An element that closes itself has to be opened.
    flush(place.begin);
    const std::string tag(scanner_.bytes(place.begin, place.tag_end));
    write(tag.substr(0, tag.size() - 2) + ">" + rows + fmt::format("</{}>", element_name(tag)));
    emitted_ = place.end;
  } else {
    if (!holds_) flush(place.content_end);
    write(rows);
  }
  flush(place.end);
  return true;
}

}  // namespace

Result<bool> update(Scanner& scanner, const sheet::Workbook& workbook, const Styles& common,
                    FunctionRef<void(std::string_view)> sink) {
  Surroundings around;
  around.styles = common;
  return Updater(scanner, workbook, around, sink).run();
}

}  // namespace loftledger::ods
