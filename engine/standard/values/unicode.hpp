// UTF-8 text: code points, their number and place.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>

#include "engine/base/unicode.hpp"

namespace loftledger::standard {

using unicode::append;
using unicode::continues;
using unicode::decode;
using unicode::lower;
using unicode::upper;

std::string encoded(char32_t point);

// How many code points the text has.
std::size_t length(std::string_view text);
// The byte where the code point of that index (from 0) begins; the text's size past its end.
std::size_t byte_of(std::string_view text, std::size_t index);
// `count` code points from `first` on, as far as there are any.
std::string_view slice(std::string_view text, std::size_t first, std::size_t count);

// Letters and, beyond Latin, whatever is not known as punctuation or a symbol.
bool is_letter(char32_t point);

}  // namespace loftledger::standard
