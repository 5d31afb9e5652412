// The argument that says which end of a range a function gives.
#pragma once

#include <array>
#include <cstdint>

#include "engine/catalogue/function.hpp"
#include "engine/planning/common/words.hpp"

namespace loftledger::planning {

enum class End : std::uint8_t { low, middle, high };

inline Result<End> end_of(int argument, std::string_view text) {
  constexpr std::array<std::string_view, 3> kWords = {"low", "middle", "high"};
  Result<std::size_t> index = word_index(argument, "end", text, kWords);
  if (!index) return std::move(index).error();
  return static_cast<End>(*index);
}

constexpr catalogue::Parameter end_parameter(std::string_view text) {
  return {.name = "end", .text = text, .fallback = std::string_view("middle")};
}

}  // namespace loftledger::planning
