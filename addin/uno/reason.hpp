// Why a cell of the office's document shows an error.
#pragma once

#include <com/sun/star/beans/XPropertySet.hpp>
#include <com/sun/star/table/XCellRange.hpp>
#include <optional>

#include "engine/catalogue/function.hpp"

namespace loftledger::uno {

// The state of one cell: fine, or in error with the sentence that says why. Nothing for a range of
// several cells.
std::optional<catalogue::CellState> state_of(
    const com::sun::star::uno::Reference<com::sun::star::beans::XPropertySet>& document,
    const com::sun::star::uno::Reference<com::sun::star::table::XCellRange>& cell);

}  // namespace loftledger::uno
