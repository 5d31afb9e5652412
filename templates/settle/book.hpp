// A whole book in its settled form.
#pragma once

#include <optional>
#include <string>

namespace loftledger::settle {

// The settled flat text of the book at the path (.fods, .ods or .ots); nothing where it cannot be
// read, and then `problem` says why.
std::optional<std::string> settled_book(const std::string& path, std::string& problem);

}  // namespace loftledger::settle
