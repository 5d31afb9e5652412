// Calculates a workbook: everything, or what depends on a change.
#pragma once

#include <cstdint>
#include <vector>

#include "engine/calc/batch.hpp"
#include "engine/calc/cells.hpp"
#include "engine/calc/changes.hpp"
#include "engine/calc/dependencies.hpp"
#include "engine/calc/machine/machine.hpp"

namespace loftledger::calc {

struct CellError {
  CellAddress cell;
  Error error;
};

class Calculator {
 public:
  // `planning`: the functions that formulas may call beside those of the standard; it must outlive
  // the calculator, as the workbook must.
  Calculator(sheet::Workbook& workbook, const catalogue::Catalogue& planning,
             Surroundings surroundings);
  Calculator(const Calculator&) = delete;
  Calculator& operator=(const Calculator&) = delete;

  // Every formula anew.
  void recalculate();

  // Sets a cell to a plain value; update() then calculates what depends on it.
  void set(CellAddress address, Value value);
  // What depends on the cells that were set since the last calculation, and what is calculated
  // every time. Everything, where nothing was calculated yet or a formula gave way to a value.
  void update();

  // Every formula cell whose result is an error, sheet by sheet and row by row.
  std::vector<CellError> errors() const;
  // How many cells the last calculation worked out.
  std::int64_t calculated() const { return calculated_; }
  // How many of them in loops over columns.
  std::int64_t calculated_in_loops() const { return in_loops_; }

  // A formula as typed in the cell `from`, with the workbook's cells and names at hand.
  standard::Operand evaluate(const formula::Tree& tree, CellAddress from) {
    return cells_.evaluate(tree, from);
  }
  Matrix evaluate_matrix(const formula::Tree& tree, CellAddress from) {
    return cells_.evaluate_matrix(tree, from);
  }

  // The workbook as functions see it.
  standard::Cells& cells() { return cells_; }
  const standard::Cells& cells() const { return cells_; }

 private:
  void calculate(const std::vector<graph::Component>& order);
  void calculate_component(const std::vector<NodeId>& nodes, bool knot);
  void calculate_rows(Node& node, bool upwards);
  void calculate_batch();
  void calculate_on_demand(NodeId node, std::int32_t unit);
  void compute(Node& node, std::int32_t unit);
  void store(const Node& node, std::int32_t row, Value value);
  void store_matrix(const Node& node, const Matrix& matrix);
  void mark_circle(std::vector<Unit> circle);

  sheet::Workbook& workbook_;
  Dependencies dependencies_;
  Changes changes_;
  WorkbookCells cells_;
  Machine machine_;
  Batch batch_;
  bool built_ = false;  // whether the nodes are those of the workbook, and all of them calculated
  std::int64_t calculated_ = 0;
  std::int64_t in_loops_ = 0;
};

}  // namespace loftledger::calc
