// Fills a workbook from a document's content.
#pragma once

#include "engine/base/result.hpp"
#include "engine/ods/reading/content.hpp"
#include "engine/sheet/workbook.hpp"

namespace loftledger::ods {

// `around` may hold the common styles already, and gains what stands beside the cells.
Outcome load(Scanner& scanner, sheet::Workbook& workbook, Surroundings& around);

}  // namespace loftledger::ods
