#include "engine/engine.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "engine/base/number_text.hpp"
#include "engine/calc/calculator.hpp"
#include "engine/calc/reason.hpp"
#include "engine/formula/parse.hpp"
#include "engine/ods/document.hpp"
#include "engine/planning/catalogue.hpp"

namespace loftledger {

const catalogue::Catalogue& planning_functions() { return planning::catalogue(); }

namespace {

calc::Surroundings surroundings(Moment moment) { return {moment.now, moment.seed}; }

Value read_words(std::string_view words) {
  if (const auto number = read_number(words)) return *number;
  std::string upper(words);
  std::transform(upper.begin(), upper.end(), upper.begin(),
                 [](char c) { return c >= 'a' && c <= 'z' ? static_cast<char>(c - 32) : c; });
  if (upper == "TRUE" || upper == "FALSE") return Value::boolean(upper == "TRUE");
  if (words.empty()) return {};
  return Value(words);
}

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

std::string place_text(const sheet::Workbook& workbook, CellAddress a) {
  return fmt::format("{}.{}", quoted_sheet(workbook.sheet(a.sheet).name()),
                     cell_name(a.row, a.column));
}

}  // namespace

struct Book::Impl {
  Impl(ods::Document read, Moment moment)
      : document(std::move(read)),
        calculator(document.workbook(), planning_functions(), surroundings(moment)) {}
  ods::Document document;
  calc::Calculator calculator;

  const sheet::Workbook& workbook() const { return document.workbook(); }

  // The area that a named expression stands for, where it is a plain reference.
  std::optional<Area> area_of(const sheet::NamedExpression& name) const {
    const auto tree = formula::parse(name.expression, formula::Syntax::open_formula);
    if (!tree || tree->nodes[tree->root].kind != formula::Kind::reference) return std::nullopt;
    const calc::Program program =
        calc::compile(workbook(), planning_functions(), *tree, name.base, name.base.sheet, false);
    if (program.references.size() != 1) return std::nullopt;
    return calc::placed(program.references[0], name.base);
  }

  Result<CellAddress> address(std::string_view text) const {
    const SheetAndRest parts = split_sheet(text);
    const auto cell = parse_cell(parts.rest);
    if (!cell) {
      return Error(Code::reference,
                   fmt::format("\"{}\" is no cell; one is written like Plan.B7", text));
    }
    CellAddress out = *cell;
    if (parts.has_sheet) {
      const auto sheet = workbook().find_sheet(parts.sheet);
      if (!sheet) {
        std::string known;
        for (std::int32_t s = 0; s < workbook().sheets(); ++s) {
          known += fmt::format("{}{}", s > 0 ? ", " : "", workbook().sheet(s).name());
        }
        return Error(Code::reference, fmt::format("there is no sheet \"{}\"; the sheets are: {}",
                                                  parts.sheet, known));
      }
      out.sheet = *sheet;
    }
    return out;
  }
};

Book::Book(std::unique_ptr<Impl> impl) : impl_(std::move(impl)) {}
Book::Book(Book&&) noexcept = default;
Book& Book::operator=(Book&&) noexcept = default;
Book::~Book() = default;

Result<Book> Book::open(const std::string& path, Moment moment) {
  Result<ods::Document> document = ods::Document::open(path);
  if (!document) return std::move(document).error();
  return Book(std::make_unique<Impl>(*std::move(document), moment));
}

Outcome Book::set(std::string_view name_or_cell, std::string_view words) {
  CellAddress cell;
  if (const auto* name = impl_->workbook().find_name(name_or_cell, -1)) {
    const auto area = impl_->area_of(*name);
    if (!area) {
      return Error(Code::reference,
                   fmt::format("the name \"{}\" does not stand for cells", name_or_cell));
    }
    if (!area->single()) {
      const std::string first = place_text(impl_->workbook(), area->first());
      return Error(
          Code::reference,
          fmt::format("the name \"{}\" stands for {} cells; set them one by one, "
                      "such as {}={}",
                      name_or_cell, area->rows() * area->columns() * area->sheets(), first, words));
    }
    cell = area->first();
  } else {
    const Result<CellAddress> address = impl_->address(name_or_cell);
    if (!address) {
      return Error(Code::name,
                   fmt::format("\"{}\" is neither a name in the book nor a cell", name_or_cell));
    }
    cell = *address;
  }
  impl_->calculator.set(cell, read_words(words));
  return Done{};
}

void Book::recalculate() { impl_->calculator.recalculate(); }
std::int64_t Book::calculated() const { return impl_->calculator.calculated(); }

Result<Value> Book::cell(std::string_view address) const {
  const Result<CellAddress> cell = impl_->address(address);
  if (!cell) return cell.error();
  return impl_->workbook().get(*cell);
}

std::vector<NamedCells> Book::names() const {
  const sheet::Workbook& workbook = impl_->workbook();
  std::vector<std::pair<Area, const sheet::NamedExpression*>> found;
  for (const sheet::NamedExpression& name : workbook.names()) {
    const auto area = impl_->area_of(name);
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
        cells.formula =
            cells.formula || impl_->calculator.cells().is_formula({area.first_sheet, r, c});
      }
    }
    cells.label = label_of(sheet, area);
    cells.unit = unit_of(sheet, area.first_row, area.last_column);
    out.push_back(std::move(cells));
  }
  return out;
}

std::vector<BookError> Book::errors() const {
  const sheet::Workbook& workbook = impl_->workbook();
  std::vector<BookError> out;
  for (const calc::CellError& each : impl_->calculator.errors()) {
    BookError error;
    error.cell = place_text(workbook, each.cell);
    error.error = each.error;
    error.sentence = calc::sentence_at(each.error, each.cell, impl_->calculator.cells());
    out.push_back(std::move(error));
  }
  return out;
}

std::vector<std::string> Book::sheets() const {
  std::vector<std::string> out;
  for (std::int32_t s = 0; s < impl_->workbook().sheets(); ++s) {
    out.push_back(impl_->workbook().sheet(s).name());
  }
  return out;
}

Outcome Book::save(const std::string& path) const {
  if (path.ends_with(".csv")) return ods::replace_file(path, ods::csv(impl_->workbook(), 0));
  return impl_->document.save(path);
}

Matrix evaluate(std::string_view text, Moment moment) {
  // References in brackets are taken as well, so that a stored formula can be pasted.
  Result<formula::Tree> tree = formula::parse(text, formula::Syntax::plain);
  if (!tree && text.find('[') != std::string_view::npos) {
    Result<formula::Tree> stored = formula::parse(text, formula::Syntax::open_formula);
    if (stored) tree = std::move(stored);
  }
  if (!tree) return Matrix(1, 1, Value(tree.error()));
  sheet::Workbook workbook;
  workbook.add_sheet("Sheet1");
  calc::Calculator calculator(workbook, planning_functions(), surroundings(moment));
  return calculator.evaluate_matrix(*tree, {});
}

}  // namespace loftledger
