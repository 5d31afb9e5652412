// Builds the tree while the grammar reads: operands and operators wait on stacks, so that a chain
// of any length costs no recursion. Knows nothing of how text is read.
#pragma once

#include <cstddef>
#include <optional>
#include <string_view>
#include <vector>

#include "engine/formula/ast.hpp"
#include "engine/formula/operators.hpp"

namespace loftledger::formula {

// What is wrong, and where in the text.
struct Problem {
  Code code = Code::none;
  std::size_t at = 0;
  std::string sentence;
};

// A reference or a name while it is read. Its parts come as they are written, dollar signs and
// quotes included; a part that lies outside the sheet is refused.
class Draft {
 public:
  void start();
  void source(std::string_view quoted);
  void sheet(std::string_view written);
  void lost_sheet(std::string_view written);
  bool column(std::string_view written);
  bool row(std::string_view written);
  void lost_corner();
  // What follows belongs to the second corner.
  void second();
  void range_done();
  void columns_done();
  void rows_done();
  void name(std::string_view written);

  Reference reference() const;
  // Fills in the source, sheet and text of a name.
  void name_into(Node& node) const;

 private:
  Corner& corner() { return in_second_ ? reference_.last : reference_.first; }
  SheetPart& sheet_part() { return in_second_ ? reference_.last_sheet : reference_.first_sheet; }

  Reference reference_;
  std::string name_;
  bool in_second_ = false;
};

class Builder {
 public:
  explicit Builder(std::string_view text) : text_(text) {}

  Draft draft;  // for reference() and name()

  // Operands. `begin` and `end` are offsets in the text.
  void number(std::size_t begin, std::size_t end);
  void negative_number(std::size_t begin, std::size_t end);  // begins with its sign
  void text(std::size_t begin, std::size_t end);
  void error(std::size_t begin, std::size_t end);
  void reference(std::size_t begin, std::size_t end);
  void name(std::size_t begin, std::size_t end);
  void label(std::size_t begin, std::size_t end);
  void missing(std::size_t at);
  void truth(std::size_t begin, std::size_t end);

  // Operators inside the expression that was opened last. A sign after a tighter operator and a
  // tighter operator after "%" have no reading; they are refused.
  // `end` is behind the operator's sign.
  bool prefix(Operator op, std::size_t end);
  bool infix(Operator op, std::size_t end);
  bool postfix(Operator op, std::size_t end);
  void open_expression();
  void close_expression();

  // Brackets. open_* answers false, with the problem kept, where they stand too deep.
  bool open_group(std::size_t begin);
  void close_group(std::size_t end);
  bool open_call(std::size_t begin, std::size_t name_end);
  void close_call(std::size_t end);
  void open_array(std::size_t begin);
  void end_row(std::size_t at);
  void close_array(std::size_t end);
  bool in_call() const { return !brackets_.empty() && brackets_.back().kind == Kind::call; }
  bool in_brackets() const { return !brackets_.empty(); }

  // The first problem that was met beyond grammar: limits, ragged arrays, numbers out of range.
  const std::optional<Problem>& problem() const { return problem_; }
  Tree take();

 private:
  struct Pending {
    Operator op;
    Place place;
    std::size_t begin;
  };
  struct Bracket {
    Kind kind;
    std::size_t begin;
    std::size_t name_end;
    std::size_t operands;  // how many stood before it
    std::uint32_t rows = 0;
    std::uint32_t columns = 0;
    std::size_t row_start = 0;
  };

  std::string_view piece(std::size_t begin, std::size_t end) const {
    return text_.substr(begin, end - begin);
  }
  void refuse(Code code, std::size_t at, std::string sentence);
  bool open(Bracket bracket);
  Node leaf(Kind kind, std::size_t begin, std::size_t end) const;
  void push(Node node);
  void reduce_top();
  // Applies the waiting operators that bind at least as tightly.
  void reduce(int binding);
  std::vector<NodeIndex> take_operands(std::size_t from);

  std::string_view text_;
  Tree tree_;
  std::vector<NodeIndex> operands_;
  std::vector<Pending> operators_;
  std::vector<std::size_t> expressions_;  // where each open expression's operators begin
  std::vector<Bracket> brackets_;
  std::optional<Problem> problem_;
};

}  // namespace loftledger::formula
