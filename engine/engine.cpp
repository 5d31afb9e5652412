#include "engine/engine.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

#include "engine/base/ascii.hpp"
#include "engine/base/number_text.hpp"
#include "engine/calc/calculator.hpp"
#include "engine/calc/reason.hpp"
#include "engine/formula/parse.hpp"
#include "engine/ods/csv.hpp"
#include "engine/ods/document.hpp"
#include "engine/ods/file.hpp"
#include "engine/planning/catalogue.hpp"
#include "engine/study/names.hpp"

namespace loftledger {

const catalogue::Catalogue& planning_functions() { return planning::catalogue(); }

namespace {

calc::Surroundings surroundings(Moment moment) { return {moment.now, moment.seed}; }

Value read_words(std::string_view words) {
  if (const auto number = read_number(words)) return *number;
  for (const bool truth : {true, false}) {
    if (ascii::same_but_case(words, truth ? "true" : "false")) return Value::boolean(truth);
  }
  if (words.empty()) return {};
  return Value(words);
}

}  // namespace

struct Book::Impl {
  Impl(ods::Document read, Moment moment)
      : document(std::move(read)),
        calculator(document.workbook(), planning_functions(), surroundings(moment)) {}
  ods::Document document;
  calc::Calculator calculator;

  const sheet::Workbook& workbook() const { return document.workbook(); }

  Result<CellAddress> find(std::string_view name_or_cell, std::string_view setting) const;

  bool holds(CellAddress a) const {
    return a.sheet >= 0 && a.sheet < workbook().sheets() && a.row >= 0 && a.row < kMaxRows &&
           a.column >= 0 && a.column < kMaxColumns;
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

const std::vector<std::string>& Book::remarks() const { return impl_->document.remarks(); }

// `setting`: how the setting of one of several cells goes on, for an example.
Result<CellAddress> Book::Impl::find(std::string_view name_or_cell,
                                     std::string_view setting) const {
  const auto* name = workbook().find_name(name_or_cell, -1);
  if (name == nullptr) {
    Result<CellAddress> found = address(name_or_cell);
    if (found) return found;
    return Error(Code::name,
                 fmt::format("\"{}\" is neither a name in the book nor a cell", name_or_cell));
  }
  const auto area = study::area_of(workbook(), *name);
  if (!area) {
    return Error(Code::reference,
                 fmt::format("the name \"{}\" does not stand for cells", name_or_cell));
  }
  if (!area->single()) {
    return Error(
        Code::reference,
        fmt::format("the name \"{}\" stands for {} cells; set them one by one, such as {}{}",
                    name_or_cell, area->rows() * area->columns() * area->sheets(),
                    study::place_text(workbook(), area->first()), setting));
  }
  return area->first();
}

Result<CellAddress> Book::find(std::string_view name_or_cell) const {
  return impl_->find(name_or_cell, {});
}

Outcome Book::set(std::string_view name_or_cell, std::string_view words) {
  const Result<CellAddress> cell = impl_->find(name_or_cell, fmt::format("={}", words));
  if (cell) return set(*cell, read_words(words));
  Error error = cell.error();
  return error;
}

Outcome Book::set(CellAddress cell, Value value) {
  if (!impl_->holds(cell)) return Error(Code::reference, "the book has no such cell");
  if (value.kind() == Value::Kind::number && !std::isfinite(value.number())) {
    return Error(Code::number, "a cell cannot hold what is no number");
  }
  impl_->calculator.set(cell, std::move(value));
  return Done{};
}

void Book::recalculate() { impl_->calculator.recalculate(); }

std::int64_t Book::update() {
  impl_->calculator.update();
  return calculated();
}

std::int64_t Book::calculated() const { return impl_->calculator.calculated(); }

Result<Value> Book::cell(std::string_view address) const {
  const Result<CellAddress> cell = impl_->address(address);
  if (!cell) return cell.error();
  return impl_->workbook().get(*cell);
}

Value Book::cell(CellAddress address) const {
  return impl_->holds(address) ? impl_->workbook().get(address) : Value();
}

std::vector<NamedCells> Book::names() const {
  return study::names(impl_->workbook(), impl_->calculator.cells());
}

std::vector<NamedCells> Book::inputs() const {
  return study::inputs(impl_->workbook(), impl_->calculator.cells());
}

std::vector<NamedCells> Book::results() const {
  return study::results(impl_->workbook(), impl_->calculator.cells());
}

std::vector<BookError> Book::errors() const {
  const sheet::Workbook& workbook = impl_->workbook();
  std::vector<BookError> out;
  for (const calc::CellError& each : impl_->calculator.errors()) {
    BookError error;
    error.cell = study::place_text(workbook, each.cell);
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
