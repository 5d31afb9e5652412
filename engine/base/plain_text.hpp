// Texts that people type, without their typography.
#pragma once

#include <string>
#include <string_view>

namespace loftledger {

// Typography out ("½" becomes "1/2", a dash "-"), runs of spaces to one, none at the ends.
std::string plain(std::string_view text);

}  // namespace loftledger
