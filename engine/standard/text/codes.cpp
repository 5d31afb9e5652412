// Characters and their codes, Roman numerals, numbers in other bases.
#include <algorithm>
#include <cmath>
#include <string>

#include "engine/base/ascii.hpp"
#include "engine/standard/text/functions.hpp"
#include "engine/standard/values/collation.hpp"
#include "engine/standard/values/unicode.hpp"

namespace loftledger::standard {

namespace {

constexpr char32_t kReplacement = 0xFFFD;

Operand text_or_failure(const Call& call, std::string text) {
  return call.failed() ? call.failure() : Operand::text(std::move(text));
}

// --- Codes

// The byte's character in the office's own encoding, UTF-8: alone, only ASCII is one.
Operand character(Call& call) {
  const double code = call.number(0);
  if (call.failed()) return call.failure();
  if (code < 0 || code >= 256) return Error(Code::argument, "CHAR: a code lies from 0 to 255");
  const auto byte = static_cast<char32_t>(code);
  return Operand::text(encoded(byte < 0x80 ? byte : kReplacement));
}

// The first byte of the text in UTF-8; characters beyond the basic plane give 0.
Operand code(Call& call) {
  const std::string text = call.text(0);
  if (call.failed()) return call.failure();
  const auto lead = static_cast<unsigned char>(text.empty() ? '\0' : text[0]);
  return static_cast<double>(lead >= 0xF0 ? 0 : lead);
}

Operand unicode_character(Call& call) {
  const std::int64_t point = call.whole(0);
  if (call.failed()) return call.failure();
  if (call.number(0) < 0 || point > 0x10FFFF) {
    return Error(Code::argument, "UNICHAR: a code point lies from 0 to 1114111");
  }
  const bool surrogate = point >= 0xD800 && point <= 0xDFFF;
  return Operand::text(encoded(surrogate ? kReplacement : static_cast<char32_t>(point)));
}

Operand unicode(Call& call) {
  const std::string text = call.text(0);
  if (call.failed()) return call.failure();
  if (text.empty()) return Error(Code::parameters, "UNICODE: the text is empty");
  std::size_t byte = 0;
  return static_cast<double>(decode(text, byte));
}

Operand encode_url(Call& call) {
  const std::string text = call.text(0);
  if (!call.failed() && text.empty()) return Error(Code::value, "ENCODEURL: the text is empty", 0);
  constexpr std::string_view kHex = "0123456789ABCDEF";
  std::string out;
  for (char c : text) {
    const auto byte = static_cast<unsigned char>(c);
    const bool plain = ascii::is_letter(c) || ascii::is_digit(c) || c == '-' || c == '_';
    if (plain) {
      out += c;
    } else {
      out += '%';
      out += kHex[byte >> 4];
      out += kHex[byte & 15];
    }
  }
  return text_or_failure(call, std::move(out));
}

// Each letter moved by half the alphabet.
Operand rot13(Call& call) {
  std::string text = call.text(0);
  for (char& c : text) {
    const char small = ascii::lower(c);
    if (small >= 'a' && small <= 'm') {
      c = static_cast<char>(c + 13);
    } else if (small >= 'n' && small <= 'z') {
      c = static_cast<char>(c - 13);
    }
  }
  return text_or_failure(call, std::move(text));
}

// Between the ordinary and the full-width forms of ASCII.
constexpr char32_t kFullWidth = 0xFEE0;

Operand half_width(Call& call) {
  const std::string text = call.text(0);
  std::string out;
  for (std::size_t i = 0; i < text.size();) {
    const char32_t point = decode(text, i);
    if (point == 0x3000) {
      out += ' ';
    } else {
      append(out, point >= 0xFF01 && point <= 0xFF5E ? point - kFullWidth : point);
    }
  }
  return text_or_failure(call, std::move(out));
}

Operand full_width(Call& call) {
  const std::string text = call.text(0);
  std::string out;
  for (std::size_t i = 0; i < text.size();) {
    const char32_t point = decode(text, i);
    append(out, point > ' ' && point < 0x7F ? point + kFullWidth : point);
  }
  return text_or_failure(call, std::move(out));
}

// --- Roman numerals

struct Numeral {
  char letter;
  std::int32_t value;
};
constexpr Numeral kNumerals[] = {{'M', 1000}, {'D', 500}, {'C', 100}, {'L', 50},
                                 {'X', 10},   {'V', 5},   {'I', 1}};
constexpr std::int32_t kLargestRoman = 3999;

// The mode (0 to 4) says how many steps a subtracted numeral may lie below the usual one: 999 is
// CMXCIX, LMVLIV, XMIX, VMIV, IM.
std::string roman_text(std::int32_t number, std::int64_t mode) {
  std::string out;
  for (std::size_t power = 0; power < std::size(kNumerals); power += 2) {
    std::size_t unit = power;
    const std::int32_t digit = number / kNumerals[unit].value;
    if (digit % 5 != 4) {
      if (digit > 4) out += kNumerals[unit - 1].letter;
      out.append(static_cast<std::size_t>(digit % 5), kNumerals[unit].letter);
      number %= kNumerals[unit].value;
      continue;
    }
    // 4 or 9 of the unit: the next larger numeral with a smaller one before it.
    const Numeral& larger = kNumerals[digit == 4 ? unit - 1 : unit - 2];
    for (std::int64_t step = 0; step < mode && unit + 1 < std::size(kNumerals); ++step) {
      if (larger.value - kNumerals[unit + 1].value > number) break;
      ++unit;
    }
    out += kNumerals[unit].letter;
    out += larger.letter;
    number += kNumerals[unit].value - larger.value;
  }
  return out;
}

Operand roman(Call& call) {
  const double number = std::floor(call.number(0));
  const double mode = call.count() > 1 ? std::floor(call.number(1)) : 0;
  if (call.failed()) return call.failure();
  if (number < 0 || number > kLargestRoman) {
    return Error(Code::argument, "ROMAN: a number lies from 0 to 3999", 0);
  }
  if (mode < 0 || mode > 4) return Error(Code::argument, "ROMAN: a form lies from 0 to 4", 1);
  return Operand::text(
      roman_text(static_cast<std::int32_t>(number), static_cast<std::int64_t>(mode)));
}

// The numeral's value; 0 for no numeral, or no letter at all.
std::int32_t numeral_at(std::string_view text, std::size_t index) {
  if (index >= text.size()) return 0;
  for (const Numeral& each : kNumerals) {
    if (each.letter == text[index]) return each.value;
  }
  return 0;
}

// The number of a Roman numeral, or -1 for a text that is none. `rest` is the most that may still
// follow: it keeps VX, IIIII and MMMM out.
std::int32_t arabic_number(std::string_view text) {
  std::int32_t sum = 0;
  std::int32_t rest = kLargestRoman;
  for (std::size_t i = 0; i < text.size();) {
    const std::int32_t value = numeral_at(text, i);
    const std::int32_t next = numeral_at(text, i + 1);
    if (value == 0 || (i + 1 < text.size() && next == 0)) return -1;
    if (value >= next) {
      const bool power_of_ten = value == 1000 || value == 100 || value == 10 || value == 1;
      rest %= value * (power_of_ten ? 5 : 2);
      if (rest < value) return -1;
      rest -= value;
      sum += value;
      i += 1;
    } else {
      const std::int32_t pair = next - value;
      if (pair == value || rest < pair) return -1;
      rest = value - 1;
      sum += pair;
      i += 2;
    }
  }
  return sum;
}

Operand arabic(Call& call) {
  const std::string text = call.text(0);
  if (call.failed()) return call.failure();
  const std::int32_t number = arabic_number(upper_case(text));
  if (number < 0) return Error(Code::argument, "ARABIC: \"" + text + "\" is no Roman numeral", 0);
  return static_cast<double>(number);
}

// --- Numbers in a base from 2 to 36

constexpr double kLargestBase = 36;

Operand base_error(const Call& call) {
  return Error(Code::argument, std::string(call.name()) + ": a base lies from 2 to 36", 1);
}

Operand base(Call& call) {
  double number = std::floor(call.number(0));
  const double radix = std::floor(call.number(1));
  const double least = call.count() > 2 ? std::floor(call.number(2)) : 0;
  if (call.failed()) return call.failure();
  if (radix < 2 || radix > kLargestBase) return base_error(call);
  constexpr double kLongest = 65535;
  if (number < 0 || least < 0 || least > kLongest) return Code::argument;
  std::string digits;
  do {
    const double digit = std::fmod(number, radix);
    digits += "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"[static_cast<std::size_t>(digit)];
    number = (number - digit) / radix;
  } while (number >= 1);
  digits.resize(std::max(digits.size(), static_cast<std::size_t>(least)), '0');
  std::reverse(digits.begin(), digits.end());
  return Operand::text(std::move(digits));
}

// The digits of a hexadecimal number without "0x" or "x" before or "h" behind, of a binary number
// without "b" behind.
std::string_view bare_digits(std::string_view text, double radix) {
  text.remove_prefix(std::min(text.find_first_not_of(" \t"), text.size()));
  if (radix == 16) {
    if (text.starts_with("0X")) {
      text.remove_prefix(2);
    } else if (text.starts_with("X")) {
      text.remove_prefix(1);
    }
    if (text.ends_with("H")) text.remove_suffix(1);
  } else if (radix == 2 && text.ends_with("B")) {
    text.remove_suffix(1);
  }
  return text;
}

Operand decimal(Call& call) {
  const std::string text = upper_case(call.text(0));
  const double radix = std::floor(call.number(1));
  if (call.failed()) return call.failure();
  if (radix < 2 || radix > kLargestBase) return base_error(call);
  double sum = 0;
  for (char c : bare_digits(text, radix)) {
    double digit = kLargestBase;
    if (ascii::is_digit(c)) digit = c - '0';
    if (ascii::is_upper(c)) digit = c - 'A' + 10;
    if (digit >= radix) {
      return Error(Code::argument, "DECIMAL: \"" + text + "\" has no digits of that base alone", 0);
    }
    sum = sum * radix + digit;
  }
  return call.finish(sum);
}

constexpr StandardFunction kFunctions[] = {
    {"ARABIC", arabic, 1, 1, "v", Group::large},
    {"ASC", half_width, 1, 1, "v", Group::large},
    {"BASE", base, 2, 3, "v", Group::large},
    {"CHAR", character, 1, 1, "v", Group::medium},
    {"CODE", code, 1, 1, "v", Group::medium},
    {"COM.MICROSOFT.ENCODEURL", encode_url, 1, 1, "v"},
    {"DECIMAL", decimal, 2, 2, "v", Group::large},
    {"JIS", full_width, 1, 1, "v", Group::large},
    {"ORG.OPENOFFICE.ROT13", rot13, 1, 1, "s", Group::office, false, 1, Counting::addin},
    {"ROMAN", roman, 1, 2, "v", Group::medium},
    {"UNICHAR", unicode_character, 1, 1, "v", Group::large},
    {"UNICODE", unicode, 1, 1, "v", Group::large},
};

}  // namespace

StandardFunctions code_functions() { return kFunctions; }

}  // namespace loftledger::standard
