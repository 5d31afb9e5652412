#include "engine/planning/choice.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "engine/catalogue/describe.hpp"

namespace loftledger::planning {

namespace {

char lower(char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; }

bool same_word(std::string_view a, std::string_view b) {
  return std::equal(a.begin(), a.end(), b.begin(), b.end(),
                    [](char x, char y) { return lower(x) == lower(y); });
}

std::string_view without_outer_spaces(std::string_view text) {
  const std::size_t first = text.find_first_not_of(" \t");
  if (first == std::string_view::npos) return {};
  return text.substr(first, text.find_last_not_of(" \t") - first + 1);
}

}  // namespace

Result<std::size_t> choose(std::string_view text, std::initializer_list<std::string_view> words,
                           int argument, std::string_view name) {
  const std::string_view word = without_outer_spaces(text);
  std::string list;
  std::size_t place = 0;
  for (std::string_view each : words) {
    if (same_word(word, each)) return place;
    ++place;
    if (!list.empty()) list += place == words.size() ? " or " : ", ";
    list += fmt::format("\"{}\"", each);
  }
  return catalogue::refuse(argument, fmt::format("{} is \"{}\"; it must be {}", name, word, list));
}

}  // namespace loftledger::planning
