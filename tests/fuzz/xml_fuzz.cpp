// Any bytes as XML: our scanner and expat agree on whether it is well-formed and on what it holds.
#include <cstdint>
#include <cstdlib>
#include <string_view>

#include "tests/support/xml/xml_events.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  // NOLINTNEXTLINE(cppcoreguidelines-pro-type-reinterpret-cast): bytes are what a text is made of.
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  // Where ours is meant to differ: declarations and what they may say, document types, and names
  // with letters beyond ASCII, whose full list it does not keep.
  if (text.find("<?xml") != text.npos || text.find("<!DOCTYPE") != text.npos) return 0;
  bool ascii = true;
  for (const char c : text) ascii = ascii && static_cast<unsigned char>(c) < 0x80;
  const auto ours = loftledger::support::scanner_events(text, 0);
  if (loftledger::support::scanner_events(text, 3) != ours) std::abort();
  if (ascii && loftledger::support::expat_events(text) != ours) std::abort();
  return 0;
}
