#include "addin/uno/reason.hpp"

#include <com/sun/star/container/XIndexAccess.hpp>
#include <com/sun/star/container/XNamed.hpp>
#include <com/sun/star/lang/IndexOutOfBoundsException.hpp>
#include <com/sun/star/sheet/FormulaResult.hpp>
#include <com/sun/star/sheet/XCellRangeAddressable.hpp>
#include <com/sun/star/sheet/XSpreadsheetDocument.hpp>
#include <com/sun/star/table/CellContentType.hpp>
#include <com/sun/star/table/XCell.hpp>
#include <com/sun/star/text/XTextRange.hpp>

#include "addin/uno/text.hpp"

namespace loftledger::uno {

using catalogue::CellState;
using com::sun::star::beans::XPropertySet;
using com::sun::star::container::XIndexAccess;
using com::sun::star::container::XNamed;
using com::sun::star::lang::IndexOutOfBoundsException;
using com::sun::star::sheet::XCellRangeAddressable;
using com::sun::star::sheet::XSpreadsheetDocument;
using com::sun::star::table::CellContentType;
using com::sun::star::table::CellContentType_EMPTY;
using com::sun::star::table::CellContentType_FORMULA;
using com::sun::star::table::CellContentType_TEXT;
using com::sun::star::table::CellContentType_VALUE;
using com::sun::star::table::CellRangeAddress;
using com::sun::star::table::XCell;
using com::sun::star::table::XCellRange;
using com::sun::star::text::XTextRange;
using com::sun::star::uno::Reference;
using com::sun::star::uno::UNO_QUERY;
namespace FormulaResult = com::sun::star::sheet::FormulaResult;

namespace {

std::optional<CellAddress> address_of(const Reference<XCellRange>& range) {
  const Reference<XCellRangeAddressable> addressable(range, UNO_QUERY);
  if (!addressable.is()) return std::nullopt;
  const CellRangeAddress a = addressable->getRangeAddress();
  if (a.StartRow != a.EndRow || a.StartColumn != a.EndColumn) return std::nullopt;
  return CellAddress{a.Sheet, a.StartRow, a.StartColumn};
}

Value value_of(const Reference<XCell>& cell) {
  if (!cell.is()) return {};
  // Asking for the error brings a formula that waits for calculation up to date.
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

// Why the cell is in error, in words.
std::string sentence_for(const OfficeCells&, CellAddress, Code code) {
  return std::string(general_sentence(code));
}

}  // namespace

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
    names_.push_back(named.is() ? to_utf8(named->getName()) : std::string());
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

Value OfficeCells::value(CellAddress address) const { return value_of(cell(address)); }

std::optional<CellState> state_of(const Reference<XPropertySet>& document,
                                  const Reference<XCellRange>& range) {
  const std::optional<CellAddress> address = address_of(range);
  if (!address) return std::nullopt;
  const Value value = value_of(range->getCellByPosition(0, 0));
  if (!value.is_error()) return CellState{};
  return CellState{true, sentence_for(OfficeCells(document), *address, value.code())};
}

}  // namespace loftledger::uno
