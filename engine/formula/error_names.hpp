// Error values as they stand in formulas.
#pragma once

#include <array>
#include <string>
#include <string_view>

#include "engine/base/error.hpp"

namespace loftledger::formula {

// The codes that formulas spell as cells show them; all others are spelt by number.
inline constexpr std::array kNamedErrors{
    Code::not_available, Code::value,  Code::reference,       Code::division,
    Code::name,          Code::number, Code::no_intersection,
};

// The code of "#N/A", "#ERR502!" or "Err:502", in either case; the text must be one of these.
Code error_code(std::string_view written);

// The form that formulas hold: "#N/A", "#ERR502!".
std::string error_text(Code code);

}  // namespace loftledger::formula
