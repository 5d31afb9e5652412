// The project's own C++ files, as texts that a test looks through.
#pragma once

#include <string>
#include <vector>

namespace loftledger::contract {

// The .cpp and .hpp files of the project, as paths from its root: "engine/base/value.hpp".
std::vector<std::string> source_files();

// "engine/base" of "engine/base/value.hpp".
std::string folder_of(const std::string& path);

enum class Keep { code, code_and_texts };

// The source without its comments, and where only code is kept without what stands in texts and
// characters; all lines stay where they are.
std::string stripped(const std::string& source, Keep keep);

// From 1.
std::size_t line_at(const std::string& source, std::size_t position);

}  // namespace loftledger::contract
