#include "engine/calc/reason.hpp"

#include <algorithm>
#include <set>

#include "engine/calc/calculator.hpp"
#include "engine/formula/parse.hpp"

namespace loftledger::calc {

namespace {

// A person waits for the sentence: beyond this many cells the general one has to do.
constexpr std::size_t kMostCells = 50000;

// As typed -> as stored; nothing where it is no formula.
std::optional<std::string> stored(std::string_view typed) {
  const Result<formula::Tree> tree = formula::parse(typed, formula::Syntax::plain);
  if (!tree) return std::nullopt;
  return formula::print(*tree, formula::Syntax::open_formula);
}

// The cells in error that lead to the asked one, with their formulas; the cells that these read,
// with their values.
class Excerpt {
 public:
  Excerpt(const OutsideCells& document, CellAddress cell, const catalogue::Catalogue& planning)
      : document_(document), planning_(planning) {
    for (std::string& name : document.sheet_names()) workbook_.add_sheet(std::move(name));
    for (const OutsideCells::Name& name : document.names()) {
      if (auto expression = stored(name.expression)) {
        workbook_.add_name({name.name, name.scope, *std::move(expression), name.base});
      }
    }
    want(cell);
    while (!wanted_.empty() && seen_.size() < kMostCells) {
      const CellAddress next = wanted_.back();
      wanted_.pop_back();
      take(next);
    }
  }

  sheet::Workbook& workbook() { return workbook_; }

 private:
  void want(CellAddress a) {
    if (a.sheet < workbook_.sheets() && seen_.insert(a).second) wanted_.push_back(a);
  }

  void take(CellAddress a) {
    const Value value = document_.value(a);
    sheet::Sheet& sheet = workbook_.sheet(a.sheet);
    std::string typed = value.is_error() ? document_.formula(a) : std::string();
    const bool array = typed.starts_with('{');
    if (array) typed = typed.substr(1, typed.size() - 2);
    const auto text = typed.empty() ? std::nullopt : stored(typed);
    if (!text) {
      sheet.set(a.row, a.column, value);
      return;
    }
    const sheet::ShapeId shape = workbook_.intern(*text, a);
    if (array) {
      sheet.add_matrix({Area::of(a), shape});
    } else {
      sheet.set_formula(a.row, a.column, shape);
    }
    for (const RelativeArea& reference :
         compile(workbook_, planning_, workbook_.shape(shape), a.sheet, array).references) {
      if (const auto area = placed(reference, a)) want(*area);
    }
  }

  void want(const Area& area) {
    for (std::int32_t s = area.first_sheet; s <= area.last_sheet && s < workbook_.sheets(); ++s) {
      const CellAddress end = document_.end(s);
      const std::int32_t last_row = std::min(area.last_row, end.row - 1);
      const std::int32_t last_column = std::min(area.last_column, end.column - 1);
      for (std::int32_t c = area.first_column; c <= last_column; ++c) {
        for (std::int32_t r = area.first_row; r <= last_row && seen_.size() < kMostCells; ++r) {
          want(CellAddress{s, r, c});
        }
      }
    }
  }

  const OutsideCells& document_;
  const catalogue::Catalogue& planning_;
  sheet::Workbook workbook_;
  std::vector<CellAddress> wanted_;
  std::set<CellAddress> seen_;
};

}  // namespace

std::string reason(const OutsideCells& document, CellAddress cell,
                   const catalogue::Catalogue& planning) {
  const Value shows = document.value(cell);
  if (!shows.is_error()) return {};
  Excerpt excerpt(document, cell, planning);
  Calculator calculator(excerpt.workbook(), planning, {});
  calculator.recalculate();
  const Value again = excerpt.workbook().get(cell);
  // Where the excerpt does not tell (a formula that changes by itself), the code still does.
  if (!again.is_error()) return std::string(general_sentence(shows.code()));
  return sentence_at(again.error(), cell, calculator.cells());
}

}  // namespace loftledger::calc
