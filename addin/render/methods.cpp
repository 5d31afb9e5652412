#include <fmt/format.h>

#include "addin/render/render.hpp"

namespace loftledger::render {

using catalogue::Function;
using catalogue::Shape;

namespace {

// The method's line: every argument becomes an Any and goes to answer().
std::string method(const Function& function) {
  std::string taken;
  std::string passed;
  if (takes_document(function)) taken = "const Reference<XPropertySet>& document";
  for (std::size_t i = 0; i < function.parameters.size(); ++i) {
    const bool cell = function.types[i].shape == Shape::cell;
    const std::string name = catalogue::identifier(function.parameters[i]);
    if (!taken.empty()) taken += ", ";
    taken += fmt::format("const {}& {}", cell ? "Reference<XCellRange>" : "Any", name);
    if (!passed.empty()) passed += ", ";
    passed += cell ? fmt::format("Any({})", name) : name;
  }
  return fmt::format(
      "Any SAL_CALL {0}({1}) override {{ static const Function& f = function_of(\"{0}\"); "
      "return answer(f, {{{2}}}{3}); }}\n",
      function.record.id, taken, passed, takes_document(function) ? ", document" : "");
}

}  // namespace

std::string methods(Functions functions) {
  std::string out = "// Rendered from the catalogue.\n";
  for (const Function* f : by_id(functions)) out += method(*f);
  return out;
}

}  // namespace loftledger::render
