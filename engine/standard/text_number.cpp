#include "engine/standard/text_number.hpp"

#include <fmt/format.h>

#include <cmath>

#include "engine/base/number_text.hpp"

namespace loftledger::standard {

std::string general_text(double number) {
  if (number == 0) return "0";
  // Whole numbers that a double holds exactly are shown in full.
  constexpr double kExact = 9007199254740991.0;
  if (std::abs(number) <= kExact && number == std::trunc(number)) {
    return fmt::format("{:.0f}", number);
  }
  std::string text = fmt::format("{:.14e}", number);
  const std::size_t e = text.find('e');
  const int exponent = std::stoi(text.substr(e + 1));
  if (exponent > -15 && exponent < 15) {
    text = fmt::format("{:.{}f}", number, 14 - exponent);
    if (text.find('.') != std::string::npos) {
      text.erase(text.find_last_not_of('0') + 1);
      if (text.back() == '.') text.pop_back();
    }
    return text;
  }
  std::string mantissa = text.substr(0, e);
  mantissa.erase(mantissa.find_last_not_of('0') + 1);
  if (mantissa.back() == '.') mantissa.pop_back();
  return fmt::format("{}E{}{:03}", mantissa, exponent < 0 ? '-' : '+', std::abs(exponent));
}

std::optional<NumberRead> read_typed(std::string_view text, const sheet::Settings&) {
  const std::size_t first = text.find_first_not_of(' ');
  if (first == std::string_view::npos) return std::nullopt;
  text = text.substr(first, text.find_last_not_of(' ') - first + 1);
  if (text == "TRUE") return NumberRead{1, Reading::boolean};
  if (text == "FALSE") return NumberRead{0, Reading::boolean};
  if (const auto number = read_number(text)) return NumberRead{*number};
  return std::nullopt;
}

}  // namespace loftledger::standard
