#include "engine/base/ascii.hpp"
#include "engine/formula/parse.hpp"
#include "engine/sheet/text_key.hpp"
#include "engine/sheet/workbook.hpp"

namespace loftledger::sheet {

namespace {

bool word(char c) { return ascii::is_letter(c) || ascii::is_digit(c) || c == '-'; }

// What stands before the first "=" where it names a formula language: "of", "oooc", "msoxl".
std::string_view language_of(std::string_view formula) {
  std::size_t i = 0;
  while (i < formula.size() && word(formula[i])) ++i;
  const bool named = i > 0 && formula.substr(i, 2) == ":=";
  return formula.substr(0, named ? i : 0);
}

Error unknown_language(std::string_view language) {
  return Error(Code::name, "the formula is written in \"" + std::string(language) +
                               "\", a form that is not read here; save the document as "
                               "OpenDocument 1.2 or later");
}

}  // namespace

ShapeId Workbook::intern(std::string_view formula, CellAddress base) {
  const std::string_view language = language_of(formula);
  const bool readable = language.empty() || language == "of";
  if (readable) {
    if (!language.empty()) formula.remove_prefix(language.size() + 1);
    if (!formula.empty() && formula[0] == '=') formula.remove_prefix(1);
  }
  key_.clear();
  if (readable) append_relative_key(key_, formula, base);
  // A key of a formula never begins with this mark, so that the two kinds cannot meet.
  if (!readable) key_.append("\1").append(formula);
  if (const auto found = shape_ids_.find(std::string_view(key_)); found != shape_ids_.end()) {
    return found->second;
  }
  auto shape = std::make_unique<Shape>();
  shape->text = formula;
  shape->base = base;
  if (readable) {
    Result<formula::Tree> tree = formula::parse(formula, formula::Syntax::open_formula);
    if (tree) shape->tree = std::move(*tree);
    if (!tree) shape->syntax = std::move(tree).error();
  } else {
    shape->syntax = unknown_language(language);
  }
  const auto id = static_cast<ShapeId>(shapes_.size());
  shapes_.push_back(std::move(shape));
  shape_ids_.emplace(key_, id);
  return id;
}

}  // namespace loftledger::sheet
