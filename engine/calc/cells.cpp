#include "engine/calc/cells.hpp"

#include <algorithm>

#include "engine/calc/machine/machine.hpp"
#include "engine/calc/what_if.hpp"
#include "engine/formula/parse.hpp"
#include "engine/standard/registry.hpp"

namespace loftledger::calc {

using standard::Operand;
using standard::Replacement;

void WorkbookCells::read_with_care() {
  checking_ = true;
  stop_ = false;
  needed_.clear();
}

double WorkbookCells::random() {
  return std::uniform_real_distribution<double>(0.0, 1.0)(generator_);
}

Operand WorkbookCells::evaluate(const formula::Tree& tree, CellAddress from) {
  const Program program = compile(workbook_, planning_, tree, from, from.sheet, false);
  Machine machine(*this, stop_);
  return machine.run(program, from);
}

Matrix WorkbookCells::evaluate_matrix(const formula::Tree& tree, CellAddress from) {
  const Program program = compile(workbook_, planning_, tree, from, from.sheet, false);
  Machine machine(*this, stop_);
  return machine.matrix(program, from, {});
}

void WorkbookCells::require(CellAddress address) {
  const auto unit = dependencies_.unit_at(address);
  if (!unit || dependencies_.node(unit->node).state_of(unit->unit) == State::done) return;
  needed_.push_back(*unit);
  stop_ = true;
}

void WorkbookCells::require(const Area& area) {
  dependencies_.each_node(area, [&](NodeId id, std::int32_t column) {
    const Node& node = dependencies_.node(id);
    if (node.all_done()) return;
    const std::int32_t first = std::max(area.first_row, node.first_row);
    if (node.is_matrix) return require(CellAddress{node.sheet, first, column});
    const std::int32_t last = std::min(area.last_row, node.first_row + node.rows - 1);
    for (std::int32_t row = first; row <= last; ++row) {
      if (node.state_of(row - node.first_row) == State::done) continue;
      needed_.push_back({id, row - node.first_row});
      stop_ = true;
    }
  });
}

Value WorkbookCells::at(CellAddress a) {
  if (a.sheet < 0 || a.sheet >= workbook_.sheets() || a.row < 0 || a.row >= kMaxRows ||
      a.column < 0 || a.column >= kMaxColumns) {
    return Code::reference;
  }
  if (checking_) require(a);
  return workbook_.get(a);
}

std::optional<Area> WorkbookCells::used(const Area& area) const {
  Area out = area;
  std::int32_t rows = 0;
  std::int32_t columns = 0;
  for (std::int32_t s = area.first_sheet; s <= area.last_sheet && s < workbook_.sheets(); ++s) {
    rows = std::max(rows, workbook_.sheet(s).rows_end());
    columns = std::max(columns, workbook_.sheet(s).columns_end());
  }
  out.last_row = std::min(area.last_row, rows - 1);
  out.last_column = std::min(area.last_column, columns - 1);
  if (out.rows() < 1 || out.columns() < 1) return std::nullopt;
  return out;
}

void WorkbookCells::each(const Area& area,
                         FunctionRef<bool(CellAddress, std::span<const double>)> numbers,
                         FunctionRef<bool(CellAddress, const Value&)> others) {
  if (checking_) {
    require(area);
    if (stop_) return;
  }
  for (std::int32_t s = std::max(0, area.first_sheet);
       s <= area.last_sheet && s < workbook_.sheets(); ++s) {
    const sheet::Sheet& sheet = workbook_.sheet(s);
    const std::int32_t last_column = std::min(area.last_column, sheet.columns() - 1);
    for (std::int32_t c = area.first_column; c <= last_column; ++c) {
      const sheet::Column* column = sheet.column(c);
      if (column == nullptr) continue;
      const bool formulas = !column->runs().empty() || !sheet.matrices().empty();
      const std::int32_t end = std::min(area.last_row + 1, column->end());
      for (std::int32_t row = area.first_row; row < end;) {
        const std::int32_t page_index = row / sheet::kPageRows;
        const std::int32_t page_end = std::min(end, (page_index + 1) * sheet::kPageRows);
        const sheet::Page* page = column->page(page_index);
        const std::int32_t base = page_index * sheet::kPageRows;
        while (row < page_end) {
          const Value::Kind kind = page == nullptr ? Value::Kind::empty : page->kind(row - base);
          if (kind == Value::Kind::number) {
            std::int32_t stop = row + 1;
            if (page->all_numbers()) {
              stop = page_end;
            } else {
              while (stop < page_end && page->kind(stop - base) == Value::Kind::number) ++stop;
            }
            const auto block = page->numbers().subspan(static_cast<std::size_t>(row - base),
                                                       static_cast<std::size_t>(stop - row));
            if (!numbers({s, row, c}, block)) return;
            row = stop;
            continue;
          }
          if (kind == Value::Kind::empty) {
            // A formula that hands on an empty cell counts as 0 where cells are counted.
            if (formulas && is_formula({s, row, c}) && !others({s, row, c}, Value(0.0))) return;
            if (!formulas && page == nullptr) {
              row = page_end;
              continue;
            }
          } else if (!others({s, row, c}, page->get(row - base))) {
            return;
          }
          ++row;
        }
      }
    }
  }
}

const standard::StandardFunction* WorkbookCells::function(std::string_view name) const {
  return standard::find_function(name);
}

const sheet::Shape* WorkbookCells::shape_at(CellAddress a) const {
  if (a.sheet < 0 || a.sheet >= workbook_.sheets()) return nullptr;
  const sheet::Sheet& sheet = workbook_.sheet(a.sheet);
  const sheet::Column* column = sheet.column(a.column);
  const sheet::Run* run = column == nullptr ? nullptr : column->run_at(a.row);
  if (run != nullptr) return &workbook_.shape(run->shape);
  const sheet::MatrixFormula* matrix = sheet.matrix_at(a.row, a.column);
  return matrix == nullptr ? nullptr : &workbook_.shape(matrix->shape);
}

bool WorkbookCells::is_total(CellAddress a) const {
  const sheet::Shape* shape = shape_at(a);
  if (shape == nullptr) return false;
  const auto& nodes = shape->tree.nodes;
  return std::any_of(nodes.begin(), nodes.end(), [](const formula::Node& node) {
    if (node.kind != formula::Kind::call) return false;
    const auto* called = standard::find_function(catalogue::folded(node.text));
    return called != nullptr && called->role == standard::Role::total;
  });
}

std::string WorkbookCells::formula_text(CellAddress a) const {
  const sheet::Shape* found = shape_at(a);
  if (found == nullptr) return {};
  const sheet::Shape& shape = *found;
  if (shape.syntax) return "=" + shape.text;
  const sheet::Column* column = workbook_.sheet(a.sheet).column(a.column);
  const bool alone = column != nullptr && column->run_at(a.row) != nullptr;
  const sheet::MatrixFormula* matrix =
      alone ? nullptr : workbook_.sheet(a.sheet).matrix_at(a.row, a.column);
  const CellAddress at = matrix != nullptr ? matrix->span.first() : a;
  formula::Tree tree = shape.tree;
  for (formula::Reference& reference : tree.references) {
    for (formula::Corner* corner : {&reference.first, &reference.last}) {
      if (!corner->row_absolute && !reference.whole_columns) corner->row += at.row - shape.base.row;
      if (!corner->column_absolute && !reference.whole_rows) {
        corner->column += at.column - shape.base.column;
      }
    }
  }
  const std::string text = "=" + formula::print(tree, formula::Syntax::plain);
  return matrix != nullptr ? "{" + text + "}" : text;
}

Operand WorkbookCells::resolve(std::string_view text, CellAddress from) {
  const Result<formula::Tree> tree = formula::parse(text, formula::Syntax::plain);
  if (!tree || tree->root == formula::kNoNode) return Code::reference;
  const formula::Kind kind = tree->nodes[tree->root].kind;
  if (kind != formula::Kind::reference && kind != formula::Kind::name) return Code::reference;
  Operand operand = evaluate(*tree, from);
  if (!operand.is_reference()) return Code::reference;
  return operand;
}

Value WorkbookCells::with_replaced(CellAddress formula, std::span<const Replacement> replaced) {
  return WhatIf(*this, dependencies_, replaced).result(formula);
}

}  // namespace loftledger::calc
