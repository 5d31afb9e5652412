// The syntax tree of a formula. Positions are bytes in the text that was parsed.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "engine/base/address.hpp"
#include "engine/base/error.hpp"

namespace loftledger::formula {

// One corner of a reference, as written from the formula's own cell.
struct Corner {
  std::int32_t row = 0;
  std::int32_t column = 0;
  bool row_absolute = false;
  bool column_absolute = false;
  bool lost = false;  // "#REF!" stands in its place
};

// A sheet as written before a corner.
struct SheetPart {
  std::string name;  // empty: the formula's own sheet (or the first corner's)
  bool given = false;
  bool absolute = false;  // "$Sheet"
  bool lost = false;      // "#REF!" in place of the sheet
};

// "[.A1]", "[.A1:.B2]", "[$Sheet2.A1:Sheet3.B2]", "[.A:.C]" (rows 0 to the last), "[.1:.3]".
struct Reference {
  std::string source;  // "file:///…" of an external reference; empty for this document
  SheetPart first_sheet;
  SheetPart last_sheet;  // given only where written
  Corner first;
  Corner last;  // equals first where it is no range
  bool range = false;
  bool whole_columns = false;
  bool whole_rows = false;
};

enum class Kind : std::uint8_t {
  number,     // number
  text,       // text
  error,      // code
  reference,  // reference index
  name,       // text, with sheet for a sheet-local name and source for another document's
  call,       // text = the function's name as written, children = arguments
  prefix,     // op, one child
  postfix,    // '%', one child
  infix,      // op, two children
  array,      // rows x columns of constants, children row by row: number, text, error, missing,
              // or a name TRUE or FALSE
  missing,    // an argument left out
  group,      // parentheses, one child
  label,      // 'text': the column or row under that heading
};

enum class Operator : std::uint8_t {
  none,
  plus,
  minus,
  multiply,
  divide,
  power,
  concatenate,
  equal,
  unequal,
  less,
  less_equal,
  greater,
  greater_equal,
  range,         // ':' between two expressions
  intersection,  // '!'
  joined,        // '~', union
  crossing,      // '!!', where the column and the row of two labels meet
  percent,
};

using NodeIndex = std::uint32_t;
inline constexpr NodeIndex kNoNode = 0xffffffff;

struct Node {
  Kind kind = Kind::missing;
  Operator op = Operator::none;
  Code code = Code::none;
  std::uint32_t begin = 0;
  std::uint32_t end = 0;
  double number = 0;
  std::uint32_t reference = 0;  // into Tree::references
  std::uint32_t rows = 0;       // of an array
  std::uint32_t columns = 0;
  std::string text;
  std::string sheet;  // of a sheet-local name
  bool sheet_absolute = false;
  std::string source;  // "file:///…" of a name in another document
  std::vector<NodeIndex> children;
};

// All nodes of one formula. Children always stand before their parent, so that passes over a tree
// are loops and never recursion.
struct Tree {
  std::vector<Node> nodes;
  std::vector<Reference> references;
  NodeIndex root = kNoNode;
};

}  // namespace loftledger::formula
