#include "engine/planning/common/words.hpp"

#include <fmt/format.h>

#include "engine/catalogue/describe.hpp"

namespace loftledger::planning {

namespace {

std::string plain_word(std::string_view text) {
  std::string out;
  for (char c : catalogue::folded(text)) {
    if (c == '-' || c == '\t' || c == '\n' || c == '\r') c = ' ';
    if (c != ' ' || (!out.empty() && out.back() != ' ')) out += c;
  }
  if (!out.empty() && out.back() == ' ') out.pop_back();
  return out;
}

}  // namespace

std::string listed(std::span<const std::string_view> words) {
  std::string out;
  for (std::size_t i = 0; i < words.size(); ++i) {
    if (i > 0) out += i + 1 == words.size() ? " or " : ", ";
    out += words[i];
  }
  return out;
}

Result<std::size_t> word_index(int argument, std::string_view parameter, std::string_view text,
                               std::span<const std::string_view> known) {
  const std::string asked = plain_word(text);
  for (std::size_t i = 0; i < known.size(); ++i) {
    if (asked == plain_word(known[i])) return i;
  }
  return catalogue::refuse(argument, fmt::format("{} is {}; it must be {}", parameter,
                                                 catalogue::quoted(text), listed(known)));
}

}  // namespace loftledger::planning
