// The order of texts, and texts without regard to case.
#pragma once

#include <compare>
#include <string>
#include <string_view>

namespace loftledger::standard {

// As a dictionary orders them: letters before case and accents, "a" < "B", "a" < "A" where case
// counts. Without case, texts that differ only by it are equivalent.
std::weak_ordering compare_texts(std::string_view a, std::string_view b, bool case_sensitive);

// UTF-8 text in lower and in upper case, letters beyond ASCII included.
std::string lower_case(std::string_view text);
std::string upper_case(std::string_view text);

}  // namespace loftledger::standard
