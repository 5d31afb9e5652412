#include "tests/support/office/stored_formula.hpp"

#include <cctype>

#include "engine/base/address.hpp"
#include "engine/catalogue/function.hpp"
#include "engine/planning/catalogue.hpp"

namespace loftledger::support {

namespace {

bool begins_word(char c) { return std::isalpha(static_cast<unsigned char>(c)) != 0; }
bool in_word(char c) { return std::isalnum(static_cast<unsigned char>(c)) != 0; }

std::string stored_word(std::string_view word, bool called) {
  if (called) {
    const catalogue::Function* function = planning::catalogue().find(word);
    return function == nullptr ? std::string(word) : catalogue::stored_name(*function);
  }
  if (word == "TRUE" || word == "FALSE") return std::string(word) + "()";
  return parse_cell(word) ? "[." + std::string(word) + "]" : std::string(word);
}

}  // namespace

std::string stored_formula(std::string_view typed) {
  std::string out = "of:";
  for (std::size_t at = 0; at < typed.size();) {
    std::size_t end = at + 1;
    if (typed[at] == '"') {
      // A doubled quote ends one text and begins the next: both are copied as they stand.
      end = typed.find('"', at + 1);
      end = end == std::string_view::npos ? typed.size() : end + 1;
      out += typed.substr(at, end - at);
    } else if (begins_word(typed[at])) {
      while (end < typed.size() && in_word(typed[end])) ++end;
      out += stored_word(typed.substr(at, end - at), end < typed.size() && typed[end] == '(');
    } else if (std::isdigit(static_cast<unsigned char>(typed[at])) != 0) {
      // A number with its exponent, "2.5e3", holds no word.
      while (end < typed.size() && (in_word(typed[end]) || typed[end] == '.')) ++end;
      out += typed.substr(at, end - at);
    } else {
      out += typed[at];
    }
    at = end;
  }
  return out;
}

}  // namespace loftledger::support
