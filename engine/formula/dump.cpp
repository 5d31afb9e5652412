#include <string>
#include <variant>
#include <vector>

#include "engine/formula/operators.hpp"
#include "engine/formula/parse.hpp"

namespace loftledger::formula {

namespace {

// What stands before a node's children, or nothing for a leaf.
std::string head(const Node& node) {
  switch (node.kind) {
    case Kind::call:
      return "call " + node.text;
    case Kind::array:
      return "array " + std::to_string(node.rows) + "x" + std::to_string(node.columns);
    case Kind::group:
      return "group";
    case Kind::prefix:
    case Kind::postfix:
    case Kind::infix:
      return std::string(row_of(node.op, place_of(node.kind)).symbol);
    default:
      return {};
  }
}

// A leaf is written as in a formula, marked where two kinds would look alike.
std::string leaf(const Tree& tree, const Node& node) {
  if (node.kind == Kind::missing) return "_";
  Tree alone;
  alone.nodes.push_back(node);
  if (node.kind == Kind::reference) {
    alone.references.push_back(tree.references[node.reference]);
    alone.nodes[0].reference = 0;
  }
  alone.root = 0;
  const std::string text = print(alone, Syntax::open_formula);
  return node.kind == Kind::name ? "(name " + text + ")" : text;
}

}  // namespace

std::string dump(const Tree& tree) {
  std::string out;
  std::vector<std::variant<NodeIndex, char>> waiting;
  if (tree.root != kNoNode) waiting.emplace_back(tree.root);
  while (!waiting.empty()) {
    const auto item = waiting.back();
    waiting.pop_back();
    if (const char* c = std::get_if<char>(&item)) {
      out += *c;
      continue;
    }
    const Node& node = tree.nodes[std::get<NodeIndex>(item)];
    const std::string opening = head(node);
    if (opening.empty()) {
      out += leaf(tree, node);
      continue;
    }
    out += "(" + opening;
    waiting.emplace_back(')');
    for (std::size_t i = node.children.size(); i-- > 0;) {
      waiting.emplace_back(node.children[i]);
      waiting.emplace_back(' ');
    }
  }
  return out;
}

}  // namespace loftledger::formula
