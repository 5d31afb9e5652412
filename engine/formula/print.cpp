#include <string>
#include <variant>
#include <vector>

#include "engine/base/address.hpp"
#include "engine/base/number_text.hpp"
#include "engine/formula/error_names.hpp"
#include "engine/formula/operators.hpp"
#include "engine/formula/parse.hpp"
#include "engine/formula/spelling.hpp"

namespace loftledger::formula {

namespace {

void add_corner(std::string& out, const Reference& r, const Corner& corner) {
  if (corner.lost) {
    out += "#REF!";
    return;
  }
  if (!r.whole_rows) {
    if (corner.column_absolute) out += '$';
    out += column_letters(corner.column);
  }
  if (!r.whole_columns) {
    if (corner.row_absolute) out += '$';
    out += std::to_string(corner.row + 1);
  }
}

void add_sheet(std::string& out, const SheetPart& sheet) {
  if (!sheet.given) return;
  if (sheet.absolute) out += '$';
  out += sheet.lost ? "#REF!" : sheet_text(sheet.name);
}

void add_reference(std::string& out, const Reference& r, Syntax syntax) {
  const bool brackets = syntax == Syntax::open_formula;
  const auto add_place = [&](const SheetPart& sheet, const Corner& corner) {
    add_sheet(out, sheet);
    if (brackets || sheet.given) out += '.';
    add_corner(out, r, corner);
  };
  if (brackets) out += '[';
  if (!r.source.empty()) out += quoted(r.source, '\'') + '#';
  add_place(r.first_sheet, r.first);
  if (r.range) {
    out += ':';
    add_place(r.last_sheet, r.last);
  }
  if (brackets) out += ']';
}

void add_name(std::string& out, const Node& node) {
  if (!node.source.empty()) out += quoted(node.source, '\'') + '#';
  if (!node.sheet.empty()) {
    if (node.sheet_absolute) out += '$';
    out += sheet_text(node.sheet) + '.';
  }
  if (reads_as_name(node.text)) {
    out += node.text;
  } else {
    out += "$$";
    out += quoted(node.text, '\'');
  }
}

constexpr int kTightest = 100;

// How tightly a node holds together as an operand.
int binding_of(const Node& node) {
  switch (node.kind) {
    case Kind::prefix:
    case Kind::infix:
    case Kind::postfix:
      return row_of(node.op, place_of(node.kind)).binding;
    default:
      return kTightest;
  }
}

// Kinds that a colon could join with the next of them to one reference, as in "1:3" and "A1:B2".
bool may_merge(Kind kind, Syntax syntax) {
  return kind == Kind::name || kind == Kind::number || kind == Kind::error ||
         (kind == Kind::reference && syntax == Syntax::plain);
}

// Writes a tree with a stack of its own. Items wait on the stack in reverse.
class Printer {
 public:
  Printer(const Tree& tree, Syntax syntax) : tree_(tree), syntax_(syntax) {}

  std::string run() {
    if (tree_.root != kNoNode) waiting_.push_back(tree_.root);
    while (!waiting_.empty()) {
      const Item item = waiting_.back();
      waiting_.pop_back();
      if (const auto* literal = std::get_if<std::string_view>(&item)) {
        out_ += *literal;
      } else {
        write(tree_.nodes[std::get<NodeIndex>(item)]);
      }
    }
    return std::move(out_);
  }

 private:
  using Item = std::variant<NodeIndex, std::string_view>;

  void write(const Node& node) {
    switch (node.kind) {
      case Kind::number:
        out_ += number_text(node.number);
        return;
      case Kind::text:
        out_ += quoted(node.text, '"');
        return;
      case Kind::error:
        out_ += error_text(node.code);
        return;
      case Kind::reference:
        add_reference(out_, tree_.references[node.reference], syntax_);
        return;
      case Kind::name:
        add_name(out_, node);
        return;
      case Kind::label:
        out_ += quoted(node.text, '\'');
        return;
      case Kind::missing:
        return;
      case Kind::call:
        out_ += node.text;
        write_list("(", node, node.children.size(), ")");
        return;
      case Kind::array:
        write_list("{", node, node.columns, "}");
        return;
      case Kind::group:
        wait({"(", node.children[0], ")"});
        return;
      case Kind::prefix:
      case Kind::postfix:
      case Kind::infix:
        write_operator(node);
        return;
    }
  }

  void wait(std::initializer_list<Item> items) {
    waiting_.insert(waiting_.end(), std::rbegin(items), std::rend(items));
  }

  void write_list(std::string_view opening, const Node& node, std::size_t columns,
                  std::string_view closing) {
    out_ += opening;
    waiting_.push_back(closing);
    for (std::size_t i = node.children.size(); i-- > 0;) {
      waiting_.push_back(node.children[i]);
      if (i > 0) waiting_.push_back(i % columns == 0 ? "|" : ";");
    }
  }

  // A tree that was parsed holds its parentheses as groups; others get them where they are due.
  void wait_operand(NodeIndex index, int at_least) {
    if (binding_of(tree_.nodes[index]) < at_least) {
      wait({"(", index, ")"});
    } else {
      waiting_.push_back(index);
    }
  }

  void write_operator(const Node& node) {
    const OperatorRow& row = row_of(node.op, place_of(node.kind));
    if (row.place == Place::prefix) {
      out_ += row.symbol;
      wait_operand(node.children[0], row.binding);
      return;
    }
    if (row.place == Place::postfix) {
      waiting_.push_back(row.symbol);
      wait_operand(node.children[0], row.binding);
      return;
    }
    const bool space = row.op == Operator::range && merges(node);
    wait_operand(node.children[1], row.binding + 1);
    if (space) waiting_.push_back(" ");
    waiting_.push_back(row.symbol);
    if (space) waiting_.push_back(" ");
    wait_operand(node.children[0], row.binding);
  }

  // Spaces keep apart what the tree has as two operands.
  bool merges(const Node& node) const {
    const Node* left = &tree_.nodes[node.children[0]];
    if (left->kind == Kind::infix) left = &tree_.nodes[left->children[1]];
    return may_merge(left->kind, syntax_) && may_merge(tree_.nodes[node.children[1]].kind, syntax_);
  }

  const Tree& tree_;
  Syntax syntax_;
  std::vector<Item> waiting_;
  std::string out_;
};

}  // namespace

std::string print(const Tree& tree, Syntax syntax) { return Printer(tree, syntax).run(); }

}  // namespace loftledger::formula
