// MULTIPLE.OPERATIONS: what a formula would give with other values (OpenFormula 6.14.9).
#include <vector>

#include "engine/standard/logic/functions.hpp"

namespace loftledger::standard {

namespace {

// The formula's cell, then one or two pairs: a cell, and the cell that stands for it.
Operand with_other_values(Call& call) {
  if (call.count() % 2 == 0) {
    return Error(Code::parameters, "a replaced cell comes with the cell that stands for it");
  }
  std::vector<CellAddress> cells;
  for (std::size_t i = 0; i < call.count(); ++i) {
    const Area area = call.area(i);
    if (!call.failed() && !call[i].is_cell()) call.fail(Code::parameters);
    cells.push_back(area.first());
  }
  if (call.failed()) return call.failure();
  std::vector<Replacement> replaced;
  for (std::size_t i = 1; i + 1 < cells.size(); i += 2)
    replaced.push_back({cells[i], cells[i + 1]});
  Value result = call.cells().with_replaced(cells[0], replaced);
  // An empty cell is the empty text here, and 0 where a formula hands it on.
  if (!result.is_empty()) return result;
  return call.cells().is_formula(cells[0]) ? Value(0.0) : Value("");
}

constexpr StandardFunction kFunctions[] = {
    {"MULTIPLE.OPERATIONS", with_other_values, 3, 5, "r", Group::large, false, 1,
     Counting::parameters},
};

}  // namespace

StandardFunctions what_if_functions() { return kFunctions; }

}  // namespace loftledger::standard
