#include "engine/ods/package/base64.hpp"

#include <array>
#include <cstdint>

namespace loftledger::ods {

namespace {

constexpr std::string_view kLetters =
    "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
constexpr std::uint8_t kNone = 0xff;

constexpr auto kValues = [] {
  std::array<std::uint8_t, 256> out{};
  out.fill(kNone);
  for (std::size_t i = 0; i < kLetters.size(); ++i) {
    out[static_cast<unsigned char>(kLetters[i])] = static_cast<std::uint8_t>(i);
  }
  return out;
}();

}  // namespace

std::string base64(std::string_view bytes) {
  std::string out;
  out.reserve((bytes.size() + 2) / 3 * 4);
  for (std::size_t i = 0; i < bytes.size(); i += 3) {
    std::uint32_t group = 0;
    for (std::size_t k = 0; k < 3; ++k) {
      group = group << 8 | (i + k < bytes.size() ? static_cast<unsigned char>(bytes[i + k]) : 0u);
    }
    for (std::size_t k = 0; k < 4; ++k) {
      out += i + k <= bytes.size() ? kLetters[group >> (18 - 6 * k) & 63] : '=';
    }
  }
  return out;
}

std::optional<std::string> from_base64(std::string_view text) {
  std::string out;
  out.reserve(text.size() / 4 * 3);
  std::uint32_t held = 0;
  int bits = 0;
  bool padded = false;
  for (char c : text) {
    if (c == ' ' || c == '\t' || c == '\n' || c == '\r') continue;
    if (c == '=') {
      padded = true;
      continue;
    }
    const std::uint8_t value = kValues[static_cast<unsigned char>(c)];
    if (value == kNone || padded) return std::nullopt;
    held = (held << 6 | value) & 0xfff;
    bits += 6;
    if (bits < 8) continue;
    bits -= 8;
    out += static_cast<char>(held >> bits & 0xff);
  }
  if (bits >= 6) return std::nullopt;  // a letter stands alone
  return out;
}

}  // namespace loftledger::ods
