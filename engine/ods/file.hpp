// Reading and replacing whole files.
#pragma once

#include <string>

#include "engine/base/result.hpp"

namespace loftledger::ods {

// The file's bytes; the error names the file and says why not.
Result<std::string> read_file(const std::string& path);

// Replaces the file at `path` by the bytes in one step: a reader sees the old file or the new one,
// whatever happens in between.
Outcome replace_file(const std::string& path, const std::string& bytes);

}  // namespace loftledger::ods
