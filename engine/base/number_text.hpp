// Numbers to text and back, the same in every locale.
#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace loftledger {

// The shortest text that reads back as the same number: "0.1", "1e+300".
std::string number_text(double number);

// The number as a person writes it in a sentence: at most 12 significant digits.
std::string plain_number(double number);

// Reads the whole text as a number with a decimal point ("-1.5e3"); nothing otherwise.
std::optional<double> read_number(std::string_view text);

}  // namespace loftledger
