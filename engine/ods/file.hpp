// Reading a whole file.
#pragma once

#include <string>

#include "engine/base/result.hpp"

namespace loftledger::ods {

// The file's bytes; the error names the file and says why not.
Result<std::string> read_file(const std::string& path);

}  // namespace loftledger::ods
