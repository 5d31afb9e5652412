#include "tests/support/tables/call_reader.hpp"

#include "engine/calc/calculator.hpp"
#include "engine/formula/parse.hpp"
#include "engine/planning/catalogue.hpp"

namespace loftledger::support {

Result<catalogue::Answer> evaluate(std::string_view formula, const Cells& cells) {
  const Result<formula::Tree> tree = formula::parse(formula, formula::Syntax::plain);
  if (!tree) return tree.error();
  sheet::Workbook workbook;
  workbook.add_sheet("Sheet1");
  for (const auto& [name, value] : cells) {
    const auto cell = parse_cell(name);
    if (!cell) return Error(Code::reference, name + " is no cell");
    workbook.sheet(0).set(cell->row, cell->column, value);
  }
  calc::Calculator calculator(workbook, planning::catalogue(), {});
  // A corner of the sheet where no formula of the tables looks.
  constexpr CellAddress kHere{0, 999, 99};
  Matrix matrix = calculator.evaluate_matrix(*tree, kHere);
  if (matrix.size() == 1) return catalogue::Answer(matrix.cells()[0]);
  return catalogue::Answer(std::move(matrix));
}

Result<Value> evaluate_one(std::string_view formula, const Cells& cells) {
  Result<catalogue::Answer> answer = evaluate(formula, cells);
  if (!answer) return std::move(answer).error();
  if (const Value* value = std::get_if<Value>(&*answer)) return *value;
  return std::get<Matrix>(*answer).cells()[0];
}

const catalogue::Function* outer_function(std::string_view formula) {
  const Result<formula::Tree> tree = formula::parse(formula, formula::Syntax::plain);
  if (!tree) return nullptr;
  const formula::Node* node = &tree->nodes[tree->root];
  while (node->kind == formula::Kind::group) node = &tree->nodes[node->children[0]];
  return node->kind == formula::Kind::call ? planning::catalogue().find(node->text) : nullptr;
}

}  // namespace loftledger::support
