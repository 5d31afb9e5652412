// Reads a text piece by piece.
#pragma once

#include <cstddef>
#include <string_view>

#include "engine/base/ascii.hpp"

namespace loftledger {

class Scanner {
 public:
  explicit Scanner(std::string_view text) : text_(text) {}

  bool at_end() const { return at_ >= text_.size(); }
  char peek() const { return at_end() ? '\0' : text_[at_]; }
  std::size_t place() const { return at_; }
  void go_back(std::size_t place) { at_ = place; }

  // Passes over spaces; how many.
  std::size_t spaces() {
    const std::size_t from = at_;
    while (peek() == ' ') ++at_;
    return at_ - from;
  }
  // Takes the character if it comes next.
  bool take(char c) {
    if (at_end() || text_[at_] != c) return false;
    ++at_;
    return true;
  }
  // Takes the word if it comes next in any case; what follows does not matter.
  bool take_word(std::string_view word) {
    if (!ascii::same_but_case(text_.substr(at_, word.size()), word)) return false;
    at_ += word.size();
    return true;
  }
  // The digits that come next; maybe none.
  std::string_view digits() {
    const std::size_t from = at_;
    while (ascii::is_digit(peek())) ++at_;
    return text_.substr(from, at_ - from);
  }
  bool letter_next() const { return ascii::is_letter(peek()); }

 private:
  std::string_view text_;
  std::size_t at_ = 0;
};

}  // namespace loftledger
