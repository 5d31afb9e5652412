// A sheet as comma-separated text.
#pragma once

#include <cstdint>
#include <string>

#include "engine/sheet/workbook.hpp"

namespace loftledger::ods {

// One sheet's values as comma-separated text (RFC 4180), numbers with a decimal point.
std::string csv(const sheet::Workbook& workbook, std::int32_t sheet);

}  // namespace loftledger::ods
