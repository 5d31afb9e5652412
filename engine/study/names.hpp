// The names of a workbook as people read them: inputs and results, with their labels and units.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "engine/base/address.hpp"
#include "engine/base/value.hpp"

namespace loftledger::sheet {
class Workbook;
struct NamedExpression;
}  // namespace loftledger::sheet
namespace loftledger::standard {
class Cells;
}

namespace loftledger::study {

// A name of the book that stands for cells, with what it holds.
struct NamedCells {
  std::string name;
  std::string sheet;     // "Plan"
  std::string place;     // "Plan.B7", "Plan.B7:C9"
  CellAddress first;     // its first cell
  std::string label;     // the nearest text to the left of it or above, where there is one
  std::string unit;      // the text right behind it, where there is one
  bool formula = false;  // some of its cells hold formulas: a result; false: an input
  Matrix values;
};

// The area that a named expression stands for, where it is a plain reference.
std::optional<Area> area_of(const sheet::Workbook& workbook, const sheet::NamedExpression& name);

// Names that stand for cells of one sheet, sheet by sheet and row by row. `cells` is the same
// workbook as it is calculated.
std::vector<NamedCells> names(const sheet::Workbook& workbook, const standard::Cells& cells);

// Those of them that people set: no cell holds a formula. And those that the book works out.
std::vector<NamedCells> inputs(const sheet::Workbook& workbook, const standard::Cells& cells);
std::vector<NamedCells> results(const sheet::Workbook& workbook, const standard::Cells& cells);

// "Plan.B7", the sheet in quotes where it must be.
std::string place_text(const sheet::Workbook& workbook, CellAddress cell);

}  // namespace loftledger::study
