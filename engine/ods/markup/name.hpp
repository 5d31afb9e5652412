// Names of XML elements and attributes as numbers that a switch can take.
#pragma once

#include <cstddef>
#include <cstdint>
#include <string_view>

namespace loftledger::ods {

// Stands for a namespace and a local name, whatever prefix a document binds to the namespace. The
// prefix that the standard uses spells it here: "table:table-cell"_name.
using Name = std::uint64_t;
inline constexpr Name kNoName = 0;

// FNV-1a: a name that collides with one of ours by design would only be taken for it.
constexpr Name name_of(std::string_view prefix, std::string_view local) {
  std::uint64_t hash = 0xcbf29ce484222325;
  const auto add = [&hash](char c) {
    hash = (hash ^ static_cast<unsigned char>(c)) * 0x100000001b3;
  };
  for (char c : prefix) add(c);
  add(':');
  for (char c : local) add(c);
  return hash;
}

consteval Name operator""_name(const char* text, std::size_t size) {
  const std::string_view whole(text, size);
  const std::size_t colon = whole.find(':');
  return name_of(whole.substr(0, colon), whole.substr(colon + 1));
}

// The prefix that the standard uses for the namespace; empty where it is none that is known.
std::string_view standard_prefix(std::string_view namespace_uri);

}  // namespace loftledger::ods
