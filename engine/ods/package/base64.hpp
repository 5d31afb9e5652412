// Base64 (RFC 4648, section 4), as flat documents hold pictures.
#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace loftledger::ods {

std::string base64(std::string_view bytes);

// White space is passed over; nothing where the text is not base64.
std::optional<std::string> from_base64(std::string_view text);

}  // namespace loftledger::ods
