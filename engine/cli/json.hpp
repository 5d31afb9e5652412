// Values as JSON.
#pragma once

#include <nlohmann/json.hpp>

#include "engine/base/value.hpp"

namespace loftledger::cli {

using Json = nlohmann::ordered_json;

// {"type": "number"|"text"|"boolean"|"error"|"empty", "value": …}
Json typed(const Value& value);

// The value alone; an error as it is shown.
Json plain(const Value& value);

// Text that is no valid UTF-8 is mended, never refused.
std::string print(const Json& json);

}  // namespace loftledger::cli
