#include "engine/ods/markup/text_position.hpp"

#include <algorithm>
#include <cstddef>
#include <cstring>

namespace loftledger::ods {

namespace {

std::uint64_t word_at(const char* at) {
  std::uint64_t out = 0;
  std::memcpy(&out, at, sizeof out);
  return out;
}

// Every byte but the continuing ones (10xxxxxx) begins a character. Each loading of a document
// counts all of its text, so eight bytes are looked at together.
std::uint64_t characters_in(std::string_view text) {
  constexpr std::size_t kBytes = 8;
  constexpr std::size_t kMostWords = 255;  // so many ones fit in a byte
  constexpr std::uint64_t kOnes = 0x0101010101010101;
  constexpr std::uint64_t kEven = 0x00FF00FF00FF00FF;
  std::uint64_t continuing = 0;
  std::size_t at = 0;
  while (at + kBytes <= text.size()) {
    std::uint64_t sums = 0;  // a byte each
    const std::size_t words = std::min((text.size() - at) / kBytes, kMostWords);
    for (std::size_t i = 0; i < words; ++i, at += kBytes) {
      const std::uint64_t word = word_at(text.data() + at);
      sums += word >> 7 & ~(word >> 6) & kOnes;
    }
    continuing += ((sums & kEven) + (sums >> 8 & kEven)) * 0x0001000100010001 >> 48;
  }
  for (; at < text.size(); ++at) continuing += (text[at] & 0xC0) == 0x80 ? 1 : 0;
  return text.size() - continuing;
}

}  // namespace

void TextPosition::pass(std::string_view stretch) {
  for (std::size_t end = stretch.find('\n'); end != stretch.npos; end = stretch.find('\n')) {
    ++lines;
    characters = 0;
    stretch.remove_prefix(end + 1);
  }
  characters += characters_in(stretch);
}

}  // namespace loftledger::ods
