// Copies a document's content with the workbook's values in it.
#pragma once

#include <string_view>

#include "engine/base/function_ref.hpp"
#include "engine/base/result.hpp"
#include "engine/ods/markup/xml.hpp"
#include "engine/ods/reading/content.hpp"
#include "engine/sheet/workbook.hpp"

namespace loftledger::ods {

// Everything is copied byte for byte but the values, and the texts that show them, of calculated
// and of set cells, where they are other than in the file. Says whether anything was. `common` are
// the styles that the content may refer to.
Result<bool> update(Scanner& scanner, const sheet::Workbook& workbook, const Styles& common,
                    FunctionRef<void(std::string_view)> sink);

}  // namespace loftledger::ods
