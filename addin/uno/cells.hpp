// The office's document as the engine looks at it.
#pragma once

#include <com/sun/star/beans/XPropertySet.hpp>
#include <com/sun/star/sheet/XNamedRanges.hpp>
#include <com/sun/star/table/XCell.hpp>
#include <com/sun/star/table/XCellRange.hpp>
#include <map>
#include <string>
#include <vector>

#include "engine/calc/reason.hpp"

namespace loftledger::uno {

// What a cell shows: a number, a text, an error's code, or nothing. Calc calculates first what
// waits for it.
Value shown_by(const com::sun::star::uno::Reference<com::sun::star::table::XCell>& cell);

// What is outside the document reads as an empty cell.
class OfficeCells final : public calc::OutsideCells {
 public:
  explicit OfficeCells(
      const com::sun::star::uno::Reference<com::sun::star::beans::XPropertySet>& document);

  std::vector<std::string> sheet_names() const override { return sheet_names_; }
  std::vector<Name> names() const override { return names_; }
  std::string formula(CellAddress address) const override;
  Value value(CellAddress address) const override;
  CellAddress end(std::int32_t sheet) const override;

 private:
  com::sun::star::uno::Reference<com::sun::star::table::XCell> cell(CellAddress address) const;
  void add_names(const com::sun::star::uno::Reference<com::sun::star::beans::XPropertySet>& holder,
                 std::int32_t scope);

  std::vector<std::string> sheet_names_;
  std::vector<com::sun::star::uno::Reference<com::sun::star::table::XCellRange>> sheets_;
  std::vector<Name> names_;
  mutable std::map<std::int32_t, CellAddress> ends_;
};

}  // namespace loftledger::uno
