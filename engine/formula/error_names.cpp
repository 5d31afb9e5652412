#include "engine/formula/error_names.hpp"

#include <algorithm>

#include "engine/base/ascii.hpp"
#include "engine/formula/spelling.hpp"

namespace loftledger::formula {

Code error_code(std::string_view written) {
  if (const Code code = code_of(ascii::upper(written)); code != Code::none) return code;
  unsigned number = 0;
  for (char c : written) {
    if (ascii::is_digit(c)) number = number * 10 + static_cast<unsigned>(c - '0');
  }
  return Code{static_cast<std::uint16_t>(number)};
}

std::string error_text(Code code) {
  const bool named =
      std::find(kNamedErrors.begin(), kNamedErrors.end(), code) != kNamedErrors.end();
  return named ? shown(code) : "#ERR" + std::to_string(static_cast<unsigned>(code)) + "!";
}

}  // namespace loftledger::formula
