// Error values as they stand in formulas, and the codes that only the formula language has.
#pragma once

#include <array>
#include <string>
#include <string_view>

#include "engine/base/error.hpp"

namespace loftledger::formula {

inline constexpr Code kMissingParameter{511};   // "()" or "1+)"
inline constexpr Code kUnfinished{520};         // an operator at the end
inline constexpr Code kEmptyIntersection{521};  // "#NULL!"
inline constexpr Code kArrayContent{539};       // ragged, or no constant

struct ErrorName {
  std::string_view name;
  Code code;
};

inline constexpr std::array kErrorNames{
    ErrorName{"#N/A", Code::not_available},  ErrorName{"#VALUE!", Code::value},
    ErrorName{"#REF!", Code::reference},     ErrorName{"#DIV/0!", Code::division},
    ErrorName{"#NAME?", Code::name},         ErrorName{"#NUM!", Code::number},
    ErrorName{"#NULL!", kEmptyIntersection},
};

// The code of "#N/A", "#ERR502!" or "Err:502", in either case; the text must be one of these.
Code error_code(std::string_view written);

// The form that formulas hold: "#N/A", "#ERR502!".
std::string error_text(Code code);

}  // namespace loftledger::formula
