// Any bytes as a formula: a tree that survives being written in both syntaxes, or an error.
#include <cstdint>
#include <cstdlib>
#include <string_view>

#include "engine/formula/parse.hpp"

namespace {

using loftledger::formula::dump;
using loftledger::formula::parse;
using loftledger::formula::print;
using loftledger::formula::Syntax;

void check(std::string_view text, Syntax syntax) {
  const auto tree = parse(text, syntax);
  if (!tree) {
    if (tree.error().sentence.empty()) std::abort();
    return;
  }
  const std::string tree_text = dump(*tree);
  for (const Syntax other : {Syntax::open_formula, Syntax::plain}) {
    const std::string printed = print(*tree, other);
    // What was short may be long once spelt out; then the limit answers.
    if (printed.size() > loftledger::formula::kMaxLength) continue;
    const auto again = parse(printed, other);
    if (!again || dump(*again) != tree_text) std::abort();
  }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  // NOLINTNEXTLINE(cppcoreguidelines-pro-type-reinterpret-cast): bytes are what a text is made of.
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  check(text, Syntax::open_formula);
  check(text, Syntax::plain);
  return 0;
}
