#include "engine/standard/values/unicode.hpp"

#include <algorithm>
#include <iterator>

#include "engine/base/ascii.hpp"

namespace loftledger::standard {

std::string encoded(char32_t point) {
  std::string out;
  append(out, point);
  return out;
}

std::size_t length(std::string_view text) {
  return static_cast<std::size_t>(
      std::count_if(text.begin(), text.end(), [](char c) { return !continues(c); }));
}

std::size_t byte_of(std::string_view text, std::size_t index) {
  std::size_t byte = 0;
  for (; index > 0 && byte < text.size(); --index) {
    ++byte;
    while (byte < text.size() && continues(text[byte])) ++byte;
  }
  return byte;
}

std::string_view slice(std::string_view text, std::size_t first, std::size_t count) {
  text.remove_prefix(byte_of(text, first));
  return text.substr(0, byte_of(text, count));
}

bool is_letter(char32_t point) {
  if (point < 0x80) return ascii::is_letter(static_cast<char>(point));
  struct Block {
    char32_t first;
    char32_t last;
  };
  // Controls, punctuation, signs, combining marks, arrows, shapes, private use, pictographs.
  constexpr Block kOthers[] = {
      {0x80, 0xA9},       {0xAB, 0xB4},       {0xB6, 0xB9},     {0xBB, 0xBF},     {0xD7, 0xD7},
      {0xF7, 0xF7},       {0x2C2, 0x2C5},     {0x2D2, 0x2DF},   {0x300, 0x36F},   {0x375, 0x375},
      {0x37E, 0x37E},     {0x384, 0x385},     {0x387, 0x387},   {0x482, 0x489},   {0x55A, 0x55F},
      {0x589, 0x5CF},     {0x600, 0x61F},     {0x660, 0x66D},   {0x2000, 0x2070}, {0x2072, 0x207E},
      {0x2080, 0x208F},   {0x20A0, 0x2101},   {0x2190, 0x2BFF}, {0x3000, 0x3004}, {0x3007, 0x3030},
      {0xD800, 0xF8FF},   {0xFE00, 0xFE6F},   {0xFF00, 0xFF20}, {0xFF3B, 0xFF40}, {0xFF5B, 0xFF65},
      {0x1F000, 0x1FAFF}, {0xE0000, 0x10FFFF}};
  return std::none_of(std::begin(kOthers), std::end(kOthers), [point](const Block& block) {
    return point >= block.first && point <= block.last;
  });
}

}  // namespace loftledger::standard
