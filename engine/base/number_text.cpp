#include "engine/base/number_text.hpp"

#include <fmt/format.h>

#include <charconv>
#include <cmath>

namespace loftledger {

std::string number_text(double number) {
  if (number == 0) return "0";  // never "-0"
  return fmt::format("{}", number);
}

std::string plain_number(double number) {
  if (number == 0) return "0";
  return fmt::format("{:.12g}", number);
}

std::optional<double> read_number(std::string_view text) {
  if (!text.empty() && text[0] == '+') text.remove_prefix(1);
  // from_chars takes words like "inf" and "nan", which are no numbers here.
  for (char c : text) {
    if ((c < '0' || c > '9') && c != '.' && c != '-' && c != '+' && c != 'e' && c != 'E') {
      return std::nullopt;
    }
  }
  double number = 0;
  const auto [end, problem] = std::from_chars(text.data(), text.data() + text.size(), number);
  if (problem != std::errc{} || end != text.data() + text.size() || !std::isfinite(number)) {
    return std::nullopt;
  }
  return number;
}

}  // namespace loftledger
