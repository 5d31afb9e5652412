#include "addin/uno/reason.hpp"

#include <com/sun/star/sheet/XCellRangeAddressable.hpp>

#include "addin/uno/cells.hpp"
#include "engine/planning/catalogue.hpp"

namespace loftledger::uno {

using catalogue::CellState;
using com::sun::star::beans::XPropertySet;
using com::sun::star::sheet::XCellRangeAddressable;
using com::sun::star::table::CellRangeAddress;
using com::sun::star::table::XCellRange;
using com::sun::star::uno::Reference;
using com::sun::star::uno::UNO_QUERY;

namespace {

std::optional<CellAddress> address_of(const Reference<XCellRange>& range) {
  const Reference<XCellRangeAddressable> addressable(range, UNO_QUERY);
  if (!addressable.is()) return std::nullopt;
  const CellRangeAddress a = addressable->getRangeAddress();
  if (a.StartRow != a.EndRow || a.StartColumn != a.EndColumn) return std::nullopt;
  return CellAddress{a.Sheet, a.StartRow, a.StartColumn};
}

}  // namespace

std::optional<CellState> state_of(const Reference<XPropertySet>& document,
                                  const Reference<XCellRange>& range) {
  const std::optional<CellAddress> address = address_of(range);
  if (!address) return std::nullopt;
  const Value value = shown_by(range->getCellByPosition(0, 0));
  if (!value.is_error()) return CellState{};
  const OfficeCells cells(document);
  const auto sheets = static_cast<std::int32_t>(cells.sheet_names().size());
  // Without its document a cell still has its code.
  if (address->sheet >= sheets) return CellState{true, std::string(general_sentence(value.code()))};
  return CellState{true, calc::reason(cells, *address, planning::catalogue())};
}

}  // namespace loftledger::uno
