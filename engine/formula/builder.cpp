#include "engine/formula/builder.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "engine/base/number_text.hpp"
#include "engine/formula/error_names.hpp"
#include "engine/formula/parse.hpp"
#include "engine/formula/spelling.hpp"

namespace loftledger::formula {

namespace {

// Takes a leading dollar sign off and tells whether there was one.
bool take_dollar(std::string_view& written) {
  if (written.empty() || written[0] != '$') return false;
  written.remove_prefix(1);
  return true;
}

std::string plain_name(std::string_view written) {
  return written[0] == '\'' ? unquoted(written, '\'') : std::string(written);
}

}  // namespace

void Draft::start() {
  reference_ = Reference{};
  name_.clear();
  in_second_ = false;
}

void Draft::source(std::string_view quoted_source) {
  reference_.source = unquoted(quoted_source, '\'');
}

void Draft::sheet(std::string_view written) {
  SheetPart part;
  part.absolute = take_dollar(written);
  part.name = plain_name(written);
  part.given = true;
  sheet_part() = std::move(part);
}

void Draft::lost_sheet(std::string_view written) {
  SheetPart part;
  part.absolute = take_dollar(written);
  part.given = true;
  part.lost = true;
  sheet_part() = std::move(part);
}

bool Draft::column(std::string_view written) {
  corner().lost = false;
  corner().column_absolute = take_dollar(written);
  const auto index = column_index(written);
  corner().column = index.value_or(0);
  return index.has_value();
}

bool Draft::row(std::string_view written) {
  corner().lost = false;
  corner().row_absolute = take_dollar(written);
  std::int64_t row = 0;
  for (char c : written) row = std::min<std::int64_t>(row * 10 + (c - '0'), kMaxRows + 1);
  if (row < 1 || row > kMaxRows) return false;
  corner().row = static_cast<std::int32_t>(row - 1);
  return true;
}

void Draft::lost_corner() {
  corner() = Corner{};
  corner().lost = true;
}

void Draft::second() {
  in_second_ = true;
  reference_.last_sheet = SheetPart{};
}

void Draft::range_done() { reference_.range = true; }

void Draft::columns_done() {
  reference_.range = reference_.whole_columns = true;
  reference_.first.row = 0;
  reference_.last.row = kMaxRows - 1;
  reference_.first.row_absolute = reference_.last.row_absolute = true;
}

void Draft::rows_done() {
  reference_.range = reference_.whole_rows = true;
  reference_.first.column = 0;
  reference_.last.column = kMaxColumns - 1;
  reference_.first.column_absolute = reference_.last.column_absolute = true;
}

void Draft::name(std::string_view written) { name_ = plain_name(written); }

void Draft::name_into(Node& node) const {
  node.source = reference_.source;
  node.sheet = reference_.first_sheet.name;
  node.sheet_absolute = reference_.first_sheet.absolute;
  node.text = name_;
}

Reference Draft::reference() const {
  Reference out = reference_;
  if (!out.range) {
    // What an attempt at a second corner left behind does not count.
    out.last = out.first;
    out.last_sheet = SheetPart{};
  }
  return out;
}

void Builder::refuse(Code code, std::size_t at, std::string sentence) {
  if (!problem_) problem_ = Problem{code, at, std::move(sentence)};
}

Node Builder::leaf(Kind kind, std::size_t begin, std::size_t end) const {
  Node node;
  node.kind = kind;
  node.begin = static_cast<std::uint32_t>(begin);
  node.end = static_cast<std::uint32_t>(end);
  return node;
}

void Builder::push(Node node) {
  if (tree_.nodes.size() >= kMaxNodes) {
    refuse(Code::too_long, node.begin,
           fmt::format("the formula has more than {} parts", kMaxNodes));
    // The tree is given up; an index of any node keeps the stacks in step.
    operands_.push_back(0);
    return;
  }
  operands_.push_back(static_cast<NodeIndex>(tree_.nodes.size()));
  tree_.nodes.push_back(std::move(node));
}

void Builder::number(std::size_t begin, std::size_t end) {
  const auto value = read_number(piece(begin, end));
  if (!value) {
    refuse(Code::argument, begin,
           fmt::format("the number {} is out of range", piece(begin, std::min(end, begin + 40))));
  }
  Node node = leaf(Kind::number, begin, end);
  node.number = value.value_or(0);
  push(std::move(node));
}

void Builder::negative_number(std::size_t begin, std::size_t end) {
  number(text_.find_first_of(".0123456789", begin), end);
  Node& node = tree_.nodes[operands_.back()];
  node.begin = static_cast<std::uint32_t>(begin);
  if (node.number != 0) node.number = -node.number;  // never -0
}

void Builder::text(std::size_t begin, std::size_t end) {
  Node node = leaf(Kind::text, begin, end);
  node.text = unquoted(piece(begin, end), '"');
  push(std::move(node));
}

void Builder::error(std::size_t begin, std::size_t end) {
  Node node = leaf(Kind::error, begin, end);
  node.code = error_code(piece(begin, end));
  push(std::move(node));
}

void Builder::reference(std::size_t begin, std::size_t end) {
  Reference made = draft.reference();
  // A reference of which nothing is left is the error itself, as the office writes it.
  if (made.first.lost && !made.range && !made.first_sheet.given && made.source.empty()) {
    Node node = leaf(Kind::error, begin, end);
    node.code = Code::reference;
    push(std::move(node));
    return;
  }
  Node node = leaf(Kind::reference, begin, end);
  node.reference = static_cast<std::uint32_t>(tree_.references.size());
  tree_.references.push_back(std::move(made));
  push(std::move(node));
}

void Builder::name(std::size_t begin, std::size_t end) {
  Node node = leaf(Kind::name, begin, end);
  draft.name_into(node);
  push(std::move(node));
}

void Builder::label(std::size_t begin, std::size_t end) {
  Node node = leaf(Kind::label, begin, end);
  node.text = unquoted(piece(begin, end), '\'');
  push(std::move(node));
}

void Builder::missing(std::size_t at) { push(leaf(Kind::missing, at, at)); }

void Builder::truth(std::size_t begin, std::size_t end) {
  // TRUE() is a call, which the office refuses in an inline array.
  const std::string_view written = piece(begin, end);
  Node node = leaf(written.back() == ')' ? Kind::call : Kind::name, begin, end);
  const char first = written[0];
  node.text = first == 'T' || first == 't' ? "TRUE" : "FALSE";
  push(std::move(node));
}

void Builder::open_expression() { expressions_.push_back(operators_.size()); }

void Builder::close_expression() {
  reduce(0);
  expressions_.pop_back();
}

bool Builder::prefix(Operator op, std::size_t end) {
  const OperatorRow& row = row_of(op, Place::prefix);
  if (operators_.size() > expressions_.back()) {
    const Pending& before = operators_.back();
    if (before.place == Place::infix && row_of(before.op, Place::infix).binding > row.binding) {
      return false;
    }
  }
  operators_.push_back({op, Place::prefix, end - row.symbol.size()});
  return true;
}

bool Builder::infix(Operator op, std::size_t) {
  const int binding = row_of(op, Place::infix).binding;
  const Node& before = tree_.nodes[operands_.back()];
  if (before.kind == Kind::postfix && row_of(before.op, Place::postfix).binding < binding) {
    return false;
  }
  reduce(binding);
  operators_.push_back({op, Place::infix, 0});
  return true;
}

bool Builder::postfix(Operator op, std::size_t end) {
  reduce(row_of(op, Place::postfix).binding);
  Node node = leaf(Kind::postfix, tree_.nodes[operands_.back()].begin, end);
  node.op = op;
  node.children = take_operands(operands_.size() - 1);
  push(std::move(node));
  return true;
}

void Builder::reduce(int binding) {
  while (operators_.size() > expressions_.back()) {
    const Pending& top = operators_.back();
    if (row_of(top.op, top.place).binding < binding) return;
    reduce_top();
  }
}

void Builder::reduce_top() {
  const Pending top = operators_.back();
  operators_.pop_back();
  const bool infix = top.place == Place::infix;
  Node node = leaf(infix ? Kind::infix : Kind::prefix, top.begin, 0);
  node.op = top.op;
  node.children = take_operands(operands_.size() - (infix ? 2 : 1));
  if (infix) node.begin = tree_.nodes[node.children.front()].begin;
  node.end = tree_.nodes[node.children.back()].end;
  push(std::move(node));
}

std::vector<NodeIndex> Builder::take_operands(std::size_t from) {
  const auto first = operands_.begin() + static_cast<std::ptrdiff_t>(from);
  std::vector<NodeIndex> taken(first, operands_.end());
  operands_.erase(first, operands_.end());
  return taken;
}

bool Builder::open(Bracket bracket) {
  if (brackets_.size() >= kMaxDepth) {
    refuse(Code::too_deep, bracket.begin,
           fmt::format("the formula is nested deeper than {} levels", kMaxDepth));
    return false;
  }
  bracket.operands = bracket.row_start = operands_.size();
  brackets_.push_back(bracket);
  return true;
}

bool Builder::open_group(std::size_t begin) { return open({Kind::group, begin, begin, 0}); }

void Builder::close_group(std::size_t end) {
  const Bracket bracket = brackets_.back();
  brackets_.pop_back();
  Node node = leaf(Kind::group, bracket.begin, end);
  node.children = take_operands(bracket.operands);
  push(std::move(node));
}

bool Builder::open_call(std::size_t begin, std::size_t name_end) {
  return open({Kind::call, begin, name_end, 0});
}

void Builder::close_call(std::size_t end) {
  const Bracket bracket = brackets_.back();
  brackets_.pop_back();
  Node node = leaf(Kind::call, bracket.begin, end);
  node.text = piece(bracket.begin, bracket.name_end);
  node.children = take_operands(bracket.operands);
  push(std::move(node));
}

void Builder::open_array(std::size_t begin) {
  // An array holds constants only, so it cannot add to the depth by more than one.
  brackets_.push_back({Kind::array, begin, begin, operands_.size(), 0, 0, operands_.size()});
}

void Builder::end_row(std::size_t at) {
  Bracket& array = brackets_.back();
  const auto columns = static_cast<std::uint32_t>(operands_.size() - array.row_start);
  if (array.rows > 0 && columns != array.columns) {
    refuse(Code::array_content, at,
           fmt::format("row {} of the array has {} values, but the rows before it have {}",
                       array.rows + 1, columns, array.columns));
  }
  array.columns = columns;
  array.row_start = operands_.size();
  ++array.rows;
}

void Builder::close_array(std::size_t end) {
  const Bracket array = brackets_.back();
  brackets_.pop_back();
  Node node = leaf(Kind::array, array.begin, end);
  node.rows = array.rows;
  node.columns = array.columns;
  node.children = take_operands(array.operands);
  push(std::move(node));
}

Tree Builder::take() {
  tree_.root = operands_.back();
  return std::move(tree_);
}

}  // namespace loftledger::formula
