#include "tests/differential/term.hpp"

#include "engine/formula/parse.hpp"

namespace loftledger::differential {

using formula::Kind;
using formula::Node;
using formula::NodeIndex;
using formula::Tree;

namespace {

TermPointer made(Node node, std::vector<TermPointer> parts = {}) {
  return std::make_shared<const Term>(Term{std::move(node), {}, std::move(parts)});
}

Node of(Kind kind) {
  Node node;
  node.kind = kind;
  return node;
}

void move_down(formula::Corner& corner, std::int32_t rows) {
  if (!corner.row_absolute) corner.row = std::min(corner.row + rows, kMaxRows - 1);
}

NodeIndex add(const Term& term, std::int32_t rows_below, Tree& tree) {
  Node node = term.node;
  node.children.clear();
  for (const TermPointer& part : term.parts) node.children.push_back(add(*part, rows_below, tree));
  if (node.kind == Kind::reference) {
    formula::Reference reference = term.reference;
    if (!reference.whole_columns) {
      move_down(reference.first, rows_below);
      move_down(reference.last, rows_below);
    }
    node.reference = static_cast<std::uint32_t>(tree.references.size());
    tree.references.push_back(std::move(reference));
  }
  tree.nodes.push_back(std::move(node));
  return static_cast<NodeIndex>(tree.nodes.size() - 1);
}

TermPointer replace(const TermPointer& term, std::size_t& left, const TermPointer& by) {
  if (left-- == 0) return by;
  auto copy = std::make_shared<Term>(*term);
  bool changed = false;
  for (TermPointer& part : copy->parts) {
    const std::size_t inside = size(*part);
    if (left < inside) {
      part = replace(part, left, by);
      changed = true;
      break;
    }
    left -= inside;
  }
  return changed ? copy : term;
}

}  // namespace

TermPointer number_term(double number) {
  Node node = of(Kind::number);
  node.number = number;
  return made(std::move(node));
}

TermPointer text_term(std::string text) {
  Node node = of(Kind::text);
  node.text = std::move(text);
  return made(std::move(node));
}

TermPointer error_term(Code code) {
  Node node = of(Kind::error);
  node.code = code;
  return made(std::move(node));
}

TermPointer missing_term() { return made(of(Kind::missing)); }

TermPointer name_term(std::string name) {
  Node node = of(Kind::name);
  node.text = std::move(name);
  return made(std::move(node));
}

TermPointer reference_term(formula::Reference reference) {
  return std::make_shared<const Term>(Term{of(Kind::reference), std::move(reference), {}});
}

TermPointer call_term(std::string_view name, std::vector<TermPointer> arguments) {
  Node node = of(Kind::call);
  node.text = std::string(name);
  return made(std::move(node), std::move(arguments));
}

TermPointer operation_term(Kind kind, formula::Operator op, std::vector<TermPointer> operands) {
  Node node = of(kind);
  node.op = op;
  return made(std::move(node), std::move(operands));
}

TermPointer group_term(TermPointer inside) { return made(of(Kind::group), {std::move(inside)}); }

TermPointer array_term(std::uint32_t rows, std::uint32_t columns, std::vector<TermPointer> parts) {
  Node node = of(Kind::array);
  node.rows = rows;
  node.columns = columns;
  return made(std::move(node), std::move(parts));
}

TermPointer term_of(const Tree& tree, NodeIndex index) {
  const Node& node = tree.nodes[index];
  Term term{node, {}, {}};
  term.node.children.clear();
  if (node.kind == Kind::reference) term.reference = tree.references[node.reference];
  for (const NodeIndex child : node.children) term.parts.push_back(term_of(tree, child));
  return std::make_shared<const Term>(std::move(term));
}

std::string stored(const Term& term, std::int32_t rows_below) {
  Tree tree;
  tree.root = add(term, rows_below, tree);
  return "of:=" + formula::print(tree, formula::Syntax::open_formula);
}

std::size_t size(const Term& term) {
  std::size_t sum = 1;
  for (const TermPointer& part : term.parts) sum += size(*part);
  return sum;
}

void each_part(const TermPointer& term, const std::function<void(const TermPointer&)>& visit) {
  visit(term);
  for (const TermPointer& part : term->parts) each_part(part, visit);
}

TermPointer replaced(const TermPointer& term, std::size_t part, const TermPointer& by) {
  std::size_t left = part;
  return replace(term, left, by);
}

}  // namespace loftledger::differential
