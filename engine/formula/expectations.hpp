// What the grammar can miss, in the words of an error's sentence.
#pragma once

namespace loftledger::formula {

inline constexpr const char kValue[] = "a value";
inline constexpr const char kEnd[] = "an operator or the end of the formula";
inline constexpr const char kClosing[] = "an operator or a closing bracket \")\"";
inline constexpr const char kArguments[] = "\";\" or a closing bracket \")\"";
inline constexpr const char kQuote[] = "a closing quote";
inline constexpr const char kConstant[] = "a number, a text or an error value";
inline constexpr const char kArrayClosing[] = "\";\", \"|\" or a closing brace \"}\"";
inline constexpr const char kReference[] =
    "a reference to cells of a sheet, such as [.A1] or [.A1:.B2],";
inline constexpr const char kReferenceClosing[] = "a closing bracket \"]\"";

}  // namespace loftledger::formula
