// A formula compiled: a row of steps for a stack machine. One program serves every cell of a shape.
#pragma once

#include <cstdint>
#include <memory>
#include <string>
#include <vector>

#include "engine/base/address.hpp"
#include "engine/base/value.hpp"
#include "engine/catalogue/catalogue.hpp"
#include "engine/formula/ast.hpp"
#include "engine/sheet/workbook.hpp"
#include "engine/standard/call/call.hpp"

namespace loftledger::calc {

// A reference as distances from the formula's cell; absolute parts are the places themselves.
struct RelativeArea {
  std::int32_t first_sheet = -1;  // -1: the formula's own sheet
  std::int32_t last_sheet = -1;
  std::int32_t first_row = 0;
  std::int32_t last_row = 0;
  std::int32_t first_column = 0;
  std::int32_t last_column = 0;
  bool first_row_absolute = false;
  bool last_row_absolute = false;
  bool first_column_absolute = false;
  bool last_column_absolute = false;
  bool range = false;  // written as a range, maybe of one cell
  bool wraps = false;  // in a named expression: past the edge it comes in at the other side
};

// The area for a formula in that cell, its corners in order; nothing where it leaves the sheet.
std::optional<Area> placed(const RelativeArea& relative, CellAddress cell);

enum class Step : std::uint8_t {
  constant,   // operand: index into constants
  reference,  // operand: index into references
  missing,
  prefix,        // op
  postfix,       // op
  infix,         // op
  call,          // operand: index into functions; count arguments
  planning,      // operand: index into planning; count arguments
  condition,     // IF: pops the condition; operand: index into branches
  error_branch,  // IFERROR, IFNA: looks at the top; operand: index into branches
  choose,        // CHOOSE: pops the index; operand: index into branches
  jump,          // operand: where to go on
  refuse,        // a call that cannot be: operand: index into constants, its error; count arguments
  fail,          // operand: index into constants, an error that ends the formula
};

struct Instruction {
  Step step = Step::missing;
  formula::Operator op = formula::Operator::none;
  bool array = false;         // evaluated in array mode
  bool only_missing = false;  // IFNA: of all errors only #N/A
  bool meets_errors = false;  // a call that looks at errors
  bool wrong_count = false;   // a call of too few or too many arguments, which comes to an error
  std::uint16_t count = 0;
  std::uint32_t operand = 0;
};

// The parts of a jump: where each begins, and where all of them end.
struct Branches {
  std::vector<std::uint32_t> begins;
  std::uint32_t end = 0;
};

struct Program {
  std::vector<Instruction> code;
  std::vector<standard::Operand> constants;
  // Those of the formula, and what functions read beyond them (SUMIF, LOOKUP).
  std::vector<RelativeArea> references;
  std::vector<const standard::StandardFunction*> functions;
  std::vector<const catalogue::Function*> planning;
  std::vector<Branches> branches;
  std::uint32_t meeting_errors = 0;  // how many calls look at errors, which end the formula else
  bool dynamic = false;      // reads cells that its references do not tell (OFFSET, [.A1]:INDEX())
  bool is_volatile = false;  // NOW, RAND: calculated every time
  bool uses_names = false;   // may read differently on another sheet
};

// Compiles a shape for formulas on that sheet, which may call the functions of the standard and
// those of the catalogue. A syntax error gives a program that ends with it.
Program compile(const sheet::Workbook& workbook, const catalogue::Catalogue& planning,
                const sheet::Shape& shape, std::int32_t sheet, bool array_mode);

// Compiles a tree whose relative references count from `base`.
Program compile(const sheet::Workbook& workbook, const catalogue::Catalogue& planning,
                const formula::Tree& tree, CellAddress base, std::int32_t sheet, bool array_mode);

}  // namespace loftledger::calc
