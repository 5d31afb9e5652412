// Calculates a cell as if other cells stood for some.
#pragma once

#include <map>
#include <optional>
#include <set>
#include <span>
#include <unordered_set>
#include <vector>

#include "engine/calc/cells.hpp"
#include "engine/calc/machine/machine.hpp"
#include "engine/standard/call/forwarded_cells.hpp"

namespace loftledger::calc {

// The workbook with the replacements. Formulas that read a replaced cell, at first or second hand,
// are calculated anew and kept here; nothing of the workbook is changed.
class WhatIf final : public standard::ForwardedCells {
 public:
  WhatIf(WorkbookCells& cells, const Dependencies& dependencies,
         std::span<const standard::Replacement> replaced);

  // Meaningless where the cells say stop(), since one of them is still to be calculated.
  Value result(CellAddress formula);

  // standard::Cells
  Value at(CellAddress address) override;
  void each(const Area& area, FunctionRef<bool(CellAddress, std::span<const double>)> numbers,
            FunctionRef<bool(CellAddress, const Value&)> others) override;
  // Within a replacement another one does not count, as in the office.
  Value with_replaced(CellAddress formula, std::span<const standard::Replacement>) override {
    return at(formula);
  }

 private:
  // The node whose formula makes the cell and reads a replaced one.
  const Node* affected(CellAddress address) const;
  bool meets_affected(const Area& area) const;
  Value known_or_needed(CellAddress address);
  void compute(const Node& node, CellAddress address);

  WorkbookCells& cells_;
  const Dependencies& dependencies_;
  std::vector<standard::Replacement> replaced_;
  std::unordered_set<NodeId> affected_;
  std::map<CellAddress, Value> known_;
  std::set<CellAddress> open_;
  std::vector<CellAddress> needed_;
  bool stop_ = false;  // a cell was read that is still to be calculated
  Machine machine_;
};

}  // namespace loftledger::calc
