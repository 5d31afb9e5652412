// Lines and columns of a text.
#pragma once

#include <cstdint>
#include <string_view>

namespace loftledger::ods {

// How far a reader has come.
struct TextPosition {
  std::uint64_t lines = 0;
  std::uint64_t characters = 0;  // since the last of them began

  // Passes over a stretch of UTF-8.
  void pass(std::string_view stretch);
};

}  // namespace loftledger::ods
