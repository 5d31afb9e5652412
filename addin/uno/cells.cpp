#include "addin/uno/cells.hpp"

#include <com/sun/star/container/XIndexAccess.hpp>
#include <com/sun/star/container/XNamed.hpp>
#include <com/sun/star/lang/IndexOutOfBoundsException.hpp>
#include <com/sun/star/sheet/FormulaResult.hpp>
#include <com/sun/star/sheet/XCellRangeAddressable.hpp>
#include <com/sun/star/sheet/XNamedRange.hpp>
#include <com/sun/star/sheet/XSpreadsheet.hpp>
#include <com/sun/star/sheet/XSpreadsheetDocument.hpp>
#include <com/sun/star/sheet/XUsedAreaCursor.hpp>
#include <com/sun/star/table/CellContentType.hpp>
#include <com/sun/star/text/XTextRange.hpp>

#include "addin/uno/text.hpp"

namespace loftledger::uno {

using com::sun::star::beans::XPropertySet;
using com::sun::star::container::XIndexAccess;
using com::sun::star::container::XNamed;
using com::sun::star::lang::IndexOutOfBoundsException;
using com::sun::star::sheet::XCellRangeAddressable;
using com::sun::star::sheet::XNamedRange;
using com::sun::star::sheet::XNamedRanges;
using com::sun::star::sheet::XSheetCellCursor;
using com::sun::star::sheet::XSpreadsheet;
using com::sun::star::sheet::XSpreadsheetDocument;
using com::sun::star::sheet::XUsedAreaCursor;
using com::sun::star::table::CellContentType;
using com::sun::star::table::CellContentType_EMPTY;
using com::sun::star::table::CellContentType_FORMULA;
using com::sun::star::table::CellContentType_TEXT;
using com::sun::star::table::CellContentType_VALUE;
using com::sun::star::table::XCell;
using com::sun::star::table::XCellRange;
using com::sun::star::text::XTextRange;
using com::sun::star::uno::Reference;
using com::sun::star::uno::UNO_QUERY;
namespace FormulaResult = com::sun::star::sheet::FormulaResult;

Value shown_by(const Reference<XCell>& cell) {
  if (!cell.is()) return {};
  if (const sal_Int32 error = cell->getError(); error != 0) return static_cast<Code>(error);
  CellContentType type = cell->getType();
  if (type == CellContentType_FORMULA) {
    sal_Int32 result = FormulaResult::VALUE;
    const Reference<XPropertySet> properties(cell, UNO_QUERY);
    if (properties.is()) properties->getPropertyValue("FormulaResultType2") >>= result;
    type = result == FormulaResult::STRING ? CellContentType_TEXT : CellContentType_VALUE;
  }
  if (type == CellContentType_EMPTY) return {};
  if (type == CellContentType_VALUE) return cell->getValue();
  const Reference<XTextRange> text(cell, UNO_QUERY);
  return text.is() ? to_utf8(text->getString()) : std::string();
}

OfficeCells::OfficeCells(const Reference<XPropertySet>& document) {
  const Reference<XSpreadsheetDocument> spreadsheet(document, UNO_QUERY);
  if (!spreadsheet.is()) return;
  const Reference<XIndexAccess> all(spreadsheet->getSheets(), UNO_QUERY);
  if (!all.is()) return;
  const sal_Int32 count = all->getCount();
  for (sal_Int32 i = 0; i < count; ++i) {
    const Reference<XCellRange> sheet(all->getByIndex(i), UNO_QUERY);
    const Reference<XNamed> named(sheet, UNO_QUERY);
    sheets_.push_back(sheet);
    sheet_names_.push_back(named.is() ? to_utf8(named->getName()) : std::string());
    add_names(Reference<XPropertySet>(sheet, UNO_QUERY), i);
  }
  add_names(document, -1);
}

void OfficeCells::add_names(const Reference<XPropertySet>& holder, std::int32_t scope) {
  if (!holder.is()) return;
  const Reference<XNamedRanges> ranges(holder->getPropertyValue("NamedRanges"), UNO_QUERY);
  if (!ranges.is()) return;
  for (const rtl::OUString& name : ranges->getElementNames()) {
    const Reference<XNamedRange> range(ranges->getByName(name), UNO_QUERY);
    if (!range.is()) continue;
    const auto base = range->getReferencePosition();
    names_.push_back(
        {to_utf8(name), to_utf8(range->getContent()), {base.Sheet, base.Row, base.Column}, scope});
  }
}

Reference<XCell> OfficeCells::cell(CellAddress address) const {
  const auto index = static_cast<std::size_t>(address.sheet);
  if (address.sheet < 0 || index >= sheets_.size() || !sheets_[index].is()) return {};
  try {
    return sheets_[index]->getCellByPosition(address.column, address.row);
  } catch (const IndexOutOfBoundsException&) {
    return {};
  }
}

std::string OfficeCells::formula(CellAddress address) const {
  const Reference<XCell> found = cell(address);
  if (!found.is() || found->getType() != CellContentType_FORMULA) return {};
  return to_utf8(found->getFormula());
}

Value OfficeCells::value(CellAddress address) const { return shown_by(cell(address)); }

CellAddress OfficeCells::end(std::int32_t sheet) const {
  const auto known = ends_.find(sheet);
  if (known != ends_.end()) return known->second;
  CellAddress out{sheet, 0, 0};
  const auto index = static_cast<std::size_t>(sheet);
  if (sheet >= 0 && index < sheets_.size()) {
    const Reference<XSpreadsheet> spreadsheet(sheets_[index], UNO_QUERY);
    const Reference<XSheetCellCursor> cursor =
        spreadsheet.is() ? spreadsheet->createCursor() : Reference<XSheetCellCursor>();
    const Reference<XUsedAreaCursor> used(cursor, UNO_QUERY);
    const Reference<XCellRangeAddressable> place(cursor, UNO_QUERY);
    if (used.is() && place.is()) {
      used->gotoEndOfUsedArea(false);
      const auto last = place->getRangeAddress();
      out = {sheet, last.EndRow + 1, last.EndColumn + 1};
    }
  }
  ends_.emplace(sheet, out);
  return out;
}

}  // namespace loftledger::uno
