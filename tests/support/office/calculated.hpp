// A flat spreadsheet as the engine calculates it.
#pragma once

#include "tests/support/office/flat.hpp"

namespace loftledger::support {

// What the engine makes of the document.
FlatCells calculated_by_engine(const FlatDocument& document);

}  // namespace loftledger::support
