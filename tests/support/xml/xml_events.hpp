// What an XML parser says of a text, in one form for ours and for the reference parser.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace loftledger::support {

// One line an event: "<name attribute=value…", "name>", and texts with all that stands together.
// Nothing where the text is not well-formed.
std::optional<std::string> expat_events(std::string_view text);

// The same from our scanner, fed in blocks of that size, or with the whole text (0).
std::optional<std::string> scanner_events(std::string_view text, std::size_t block);

// What the reference parser sees, event by event: comments, processing instructions and CDATA too,
// declarations of namespaces not.
std::optional<std::vector<std::string>> everything_seen(std::string_view text);

}  // namespace loftledger::support
