#include "tests/support/formulas/formulas.hpp"

#include <fmt/format.h>

#include <random>

#include "engine/formula/operators.hpp"

namespace loftledger::support {

using formula::Corner;
using formula::Kind;
using formula::kOperators;
using formula::Node;
using formula::NodeIndex;
using formula::Operator;
using formula::OperatorRow;
using formula::Place;
using formula::Reference;
using formula::SheetPart;
using formula::Tree;

namespace {

bool same(const Corner& a, const Corner& b) {
  return a.row == b.row && a.column == b.column && a.row_absolute == b.row_absolute &&
         a.column_absolute == b.column_absolute && a.lost == b.lost;
}
bool same(const SheetPart& a, const SheetPart& b) {
  return a.name == b.name && a.given == b.given && a.absolute == b.absolute && a.lost == b.lost;
}
bool same(const Reference& a, const Reference& b) {
  return a.source == b.source && same(a.first_sheet, b.first_sheet) &&
         same(a.last_sheet, b.last_sheet) && same(a.first, b.first) && same(a.last, b.last) &&
         a.range == b.range && a.whole_columns == b.whole_columns && a.whole_rows == b.whole_rows;
}
bool same(const Node& a, const Node& b) {
  return a.kind == b.kind && a.op == b.op && a.code == b.code && a.number == b.number &&
         a.reference == b.reference && a.rows == b.rows && a.columns == b.columns &&
         a.text == b.text && a.sheet == b.sheet && a.sheet_absolute == b.sheet_absolute &&
         a.source == b.source && a.children == b.children;
}

}  // namespace

std::string difference(const Tree& a, const Tree& b) {
  if (a.nodes.size() != b.nodes.size() || a.root != b.root) {
    return fmt::format("{} and {} nodes", a.nodes.size(), b.nodes.size());
  }
  for (std::size_t i = 0; i < a.nodes.size(); ++i) {
    if (!same(a.nodes[i], b.nodes[i])) return fmt::format("node {}", i);
  }
  if (a.references.size() != b.references.size()) return "how many references";
  for (std::size_t i = 0; i < a.references.size(); ++i) {
    if (!same(a.references[i], b.references[i])) return fmt::format("reference {}", i);
  }
  return {};
}

Tree without_groups(const Tree& tree) {
  Tree out;
  out.references = tree.references;
  std::vector<NodeIndex> moved;
  for (const Node& node : tree.nodes) {
    if (node.kind == Kind::group) {
      moved.push_back(moved[node.children[0]]);
      continue;
    }
    Node copy = node;
    for (NodeIndex& child : copy.children) child = moved[child];
    moved.push_back(static_cast<NodeIndex>(out.nodes.size()));
    out.nodes.push_back(std::move(copy));
  }
  out.root = moved[tree.root];
  return out;
}

namespace {

class Maker {
 public:
  Maker(unsigned seed, Groups groups) : random_(seed), groups_(groups) {}

  Tree run() {
    tree_.root = expression(static_cast<int>(pick(5)), 0);
    return std::move(tree_);
  }

 private:
  std::size_t pick(std::size_t choices) { return random_() % choices; }
  bool chance(std::size_t one_in) { return pick(one_in) == 0; }

  NodeIndex add(Node node) {
    tree_.nodes.push_back(std::move(node));
    return static_cast<NodeIndex>(tree_.nodes.size() - 1);
  }
  static Node of(Kind kind) {
    Node node;
    node.kind = kind;
    return node;
  }

  // An expression that holds together at least that tightly, of at most that depth.
  NodeIndex expression(int depth, int at_least) {
    if (depth <= 0) return leaf();
    const std::size_t choice = pick(10);
    if (choice < 5) return operation(depth, at_least);
    if (choice == 5 && groups_ == Groups::where_due) {
      Node node = of(Kind::group);
      node.children = {expression(depth - 1, 0)};
      return add(std::move(node));
    }
    if (choice < 8) return call(depth);
    return choice == 8 ? array() : leaf();
  }

  NodeIndex operation(int depth, int at_least) {
    const OperatorRow& row = kOperators[pick(std::size(kOperators))];
    const bool group = groups_ == Groups::where_due && row.binding < at_least;
    const auto operand = [&](int more) {
      return expression(depth - 1, groups_ == Groups::where_due ? row.binding + more : 0);
    };
    Node node;
    node.op = row.op;
    switch (row.place) {
      case Place::prefix:
        node.kind = Kind::prefix;
        node.children = {operand(0)};
        break;
      case Place::postfix:
        node.kind = Kind::postfix;
        node.children = {operand(0)};
        break;
      case Place::infix:
        node.kind = Kind::infix;
        node.children = {operand(0), 0};
        node.children[1] = operand(1);
        break;
    }
    const NodeIndex made = add(std::move(node));
    if (!group) return made;
    Node around = of(Kind::group);
    around.children = {made};
    return add(std::move(around));
  }

  NodeIndex call(int depth) {
    constexpr const char* kNames[] = {"SUM", "IF", "COM.MICROSOFT.CONCAT", "é", "_x2", "A1"};
    Node node = of(Kind::call);
    node.text = kNames[pick(std::size(kNames))];
    const std::size_t arguments = pick(4);
    for (std::size_t i = 0; i < arguments; ++i) {
      // A single missing argument cannot be told from none.
      node.children.push_back(arguments > 1 && chance(4) ? add(of(Kind::missing))
                                                         : expression(depth - 1, 0));
    }
    return add(std::move(node));
  }

  NodeIndex array() {
    Node node = of(Kind::array);
    node.rows = static_cast<std::uint32_t>(1 + pick(3));
    node.columns = static_cast<std::uint32_t>(1 + pick(3));
    for (std::uint32_t i = 0; i < node.rows * node.columns; ++i) {
      const std::size_t choice = pick(6);
      NodeIndex child = choice < 2    ? number(true)
                        : choice == 2 ? text()
                        : choice == 3 ? error()
                                      : add(of(Kind::missing));
      if (choice == 4) {
        tree_.nodes.back().kind = Kind::name;
        tree_.nodes.back().text = chance(2) ? "TRUE" : "FALSE";
      }
      node.children.push_back(child);
    }
    return add(std::move(node));
  }

  NodeIndex leaf() {
    switch (pick(8)) {
      case 0:
        return text();
      case 1:
        return error();
      case 2:
        return name();
      case 3:
        return label();
      case 4:
      case 5:
        return number(false);
      default:
        return reference();
    }
  }

  NodeIndex number(bool any_sign) {
    constexpr double kNumbers[] = {0, 1, 2, 3, 0.1, 1e-300, 1.7976931348623157e308, 1048576, 1e15};
    Node node = of(Kind::number);
    node.number = chance(2) ? kNumbers[pick(std::size(kNumbers))]
                            : static_cast<double>(random_()) / static_cast<double>(1 + pick(1000));
    if (any_sign && node.number != 0 && chance(2)) node.number = -node.number;
    return add(std::move(node));
  }

  std::string any_text() {
    constexpr const char* kTexts[] = {"a",  "My sheet", "it's", "\"", "a.b", "#REF!", "ü b", "2020",
                                      "A1", "Rate",     "x_1",  "[",  "]",   "=",     "$$",  "tax"};
    return kTexts[pick(std::size(kTexts))];
  }

  NodeIndex text() {
    Node node = of(Kind::text);
    if (!chance(5)) node.text = any_text();
    return add(std::move(node));
  }

  NodeIndex error() {
    constexpr Code kCodes[] = {Code::value,    Code::reference,       Code::division,
                               Code::argument, Code::no_intersection, Code::name,
                               Code::number,   Code::not_available};
    Node node = of(Kind::error);
    node.code = kCodes[pick(std::size(kCodes))];
    return add(std::move(node));
  }

  NodeIndex name() {
    Node node = of(Kind::name);
    node.text = any_text();
    if (chance(3)) {
      node.sheet = any_text();
      node.sheet_absolute = chance(2);
    }
    if (chance(6)) node.source = "file:///it's.ods";
    return add(std::move(node));
  }

  NodeIndex label() {
    Node node = of(Kind::label);
    node.text = any_text();
    return add(std::move(node));
  }

  SheetPart sheet() {
    SheetPart part;
    part.given = true;
    part.absolute = chance(2);
    part.lost = chance(6);
    if (!part.lost) part.name = any_text();
    return part;
  }

  Corner corner() {
    Corner out;
    out.lost = chance(8);
    if (out.lost) return out;
    out.row = chance(4) ? kMaxRows - 1 : static_cast<std::int32_t>(pick(100));
    out.column = chance(4) ? kMaxColumns - 1 : static_cast<std::int32_t>(pick(100));
    out.row_absolute = chance(2);
    out.column_absolute = chance(2);
    return out;
  }

  NodeIndex reference() {
    Reference r;
    if (chance(8)) r.source = "file:///it's.ods";
    if (chance(3)) r.first_sheet = sheet();
    r.first = corner();
    r.range = chance(2);
    if (r.range) {
      if (chance(4)) r.last_sheet = sheet();
      r.last = corner();
      if (!r.first.lost && !r.last.lost) whole(r);
    } else {
      // Alone, a lost corner is an error value.
      if (!r.first_sheet.given && r.source.empty() && r.first.lost) r.first = Corner();
      r.last = r.first;
    }
    Node node = of(Kind::reference);
    node.reference = static_cast<std::uint32_t>(tree_.references.size());
    tree_.references.push_back(std::move(r));
    return add(std::move(node));
  }

  void whole(Reference& r) {
    const std::size_t choice = pick(5);
    if (choice == 0) {
      r.whole_columns = true;
      r.first.row = 0;
      r.last.row = kMaxRows - 1;
      r.first.row_absolute = r.last.row_absolute = true;
    } else if (choice == 1) {
      r.whole_rows = true;
      r.first.column = 0;
      r.last.column = kMaxColumns - 1;
      r.first.column_absolute = r.last.column_absolute = true;
    }
  }

  std::mt19937 random_;
  Groups groups_;
  Tree tree_;
};

}  // namespace

Tree random_tree(unsigned seed, Groups groups) { return Maker(seed, groups).run(); }

}  // namespace loftledger::support
