#include <fmt/format.h>

#include <algorithm>

#include "addin/render/render.hpp"

namespace loftledger::render {

using catalogue::Function;
using catalogue::Shape;

namespace {

constexpr std::string_view kAny = "any";
constexpr std::string_view kCell = "com::sun::star::table::XCellRange";
constexpr std::string_view kDocument = "com::sun::star::beans::XPropertySet";

struct MethodParameter {
  std::string_view type;
  std::string name;
};

std::vector<MethodParameter> method_parameters(const Function& function) {
  std::vector<MethodParameter> out;
  if (takes_document(function)) out.push_back({kDocument, "document"});
  for (std::size_t i = 0; i < function.parameters.size(); ++i) {
    out.push_back({function.types[i].shape == Shape::cell ? kCell : kAny,
                   catalogue::identifier(function.parameters[i])});
  }
  return out;
}

std::string listed(const Function& function, std::string_view direction,
                   std::string_view separator) {
  std::string out;
  for (const MethodParameter& p : method_parameters(function)) {
    if (!out.empty()) out += separator;
    out += fmt::format("{}{} {}", direction, p.type, p.name);
  }
  return out;
}

}  // namespace

std::vector<const Function*> by_id(Functions functions) {
  std::vector<const Function*> out(functions.begin(), functions.end());
  std::sort(out.begin(), out.end(),
            [](const Function* a, const Function* b) { return a->record.id < b->record.id; });
  return out;
}

bool takes_document(const Function& function) {
  return std::any_of(function.types.begin(), function.types.end(),
                     [](const auto& type) { return type.shape == Shape::cell; });
}

std::vector<std::string> method_signatures(Functions functions) {
  std::vector<std::string> out;
  for (const Function* f : by_id(functions)) {
    out.push_back(fmt::format("any {}({})", f->record.id, listed(*f, "", ", ")));
  }
  return out;
}

std::string interface_description(Functions functions) {
  std::string out =
      "// Rendered from the catalogue; cmake --build --target render writes it anew.\n"
      "//\n"
      "// Saved workbooks hold these methods' names: a method is never renamed or taken away, and\n"
      "// its arguments never change once they are released (idl/published).\n"
      "module loftledger {\n"
      "\n"
      "/** The planning functions, as cells call them.\n"
      "\n"
      "    An argument that is left out arrives as void; whether it is due is the function's own\n"
      "    business. A result is a number, a text, a boolean or a rectangle of them. An error "
      "that\n"
      "    Calc has a number for, other than a wrong argument and a search without result, comes\n"
      "    back as a not-a-number that carries it, which Calc shows as that error.\n"
      "*/\n"
      "interface XPlanning {\n";
  for (const Function* f : by_id(functions)) {
    out += fmt::format("\n  /** {}\n\n      {}\n  */\n", f->record.summary, signature(*f));
    const std::string head = fmt::format("  any {}(", f->record.id);
    const std::string line = fmt::format("{}{})", head, listed(*f, "[in] ", ", "));
    constexpr std::size_t kWidth = 100;
    out += line.size() <= kWidth
               ? line
               : fmt::format("{}\n      {})", head, listed(*f, "[in] ", ",\n      "));
    out +=
        "\n      raises (com::sun::star::lang::IllegalArgumentException,\n"
        "              com::sun::star::sheet::NoConvergenceException);\n";
  }
  out += "};\n\n};\n";
  return out;
}

}  // namespace loftledger::render
