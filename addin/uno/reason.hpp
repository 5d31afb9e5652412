// The cells of the office's document, and why one of them shows an error.
#pragma once

#include <com/sun/star/beans/XPropertySet.hpp>
#include <com/sun/star/table/XCell.hpp>
#include <com/sun/star/table/XCellRange.hpp>
#include <optional>
#include <string>
#include <vector>

#include "engine/base/address.hpp"
#include "engine/base/value.hpp"
#include "engine/catalogue/function.hpp"

namespace loftledger::uno {

// A document as Calc holds it, by (sheet, row, column). What is outside reads as an empty cell.
class OfficeCells {
 public:
  explicit OfficeCells(
      const com::sun::star::uno::Reference<com::sun::star::beans::XPropertySet>& document);

  std::size_t sheets() const { return names_.size(); }
  // In the order of the document.
  const std::vector<std::string>& sheet_names() const { return names_; }

  // The formula as typed, "=SUM(A1:B2)" with English names; empty where the cell has none.
  std::string formula(CellAddress address) const;
  // What the cell shows: a number, a text, an error's code, or nothing.
  Value value(CellAddress address) const;

 private:
  com::sun::star::uno::Reference<com::sun::star::table::XCell> cell(CellAddress address) const;

  std::vector<std::string> names_;
  std::vector<com::sun::star::uno::Reference<com::sun::star::table::XCellRange>> sheets_;
};

// The state of one cell: fine, or in error with the sentence that says why. Nothing for a range of
// several cells.
std::optional<catalogue::CellState> state_of(
    const com::sun::star::uno::Reference<com::sun::star::beans::XPropertySet>& document,
    const com::sun::star::uno::Reference<com::sun::star::table::XCellRange>& cell);

}  // namespace loftledger::uno
