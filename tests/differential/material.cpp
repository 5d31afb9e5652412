#include "tests/differential/material.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "engine/formula/parse.hpp"
#include "engine/standard/registry.hpp"
#include "tests/differential/settled.hpp"
#include "tests/support/tables/standard_table.hpp"
#include "tests/support/tables/tables.hpp"

namespace loftledger::differential {

using formula::Kind;
using formula::Syntax;
using standard::StandardFunction;

namespace {

// A sheet of every kind of cell, in columns; the second has them in other rows and turned signs.
constexpr const char* kKinds[] = {"Kinds", "Other kinds"};
constexpr std::int32_t kKindRows = 16;
constexpr std::int32_t kKindColumns = 11;

// Without a record, as the interpreter jumps.
constexpr std::string_view kJumps[] = {"IF", "IFERROR", "IFNA", "CHOOSE"};

struct Name {
  const char* name;
  const char* expression;
};
constexpr Name kNames[] = {
    {"Amounts", "[$Kinds.$B$1:.$B$12]"},
    {"Mixed", "[$Kinds.$A$1:.$A$16]"},
    {"Table", "[$Kinds.$A$1:.$K$16]"},
    {"Cell", "[$Kinds.$B$3]"},
    {"Blank", "[$Kinds.$J$1]"},
    {"Three", "3"},
    {"Word", "\"word\""},
    {"Sum_of_both", "SUM([$Kinds.$B$1:.$B$4])+1"},
    {"Wide", "[$Kinds.$B$2:.$F$2]"},
    {"Stack", "[$Kinds.$B$1:$'Other kinds'.$C$4]"},
    {"Numbers_inline", "{1;2;3}"},
};

std::string key(std::string_view name) {
  std::string out(name);
  for (char& c : out) {
    if (c >= 'a' && c <= 'z') c = static_cast<char>(c - 'a' + 'A');
  }
  return out;
}

// Whether another calculation may show something else.
bool varies(const formula::Tree& tree) {
  return std::ranges::any_of(tree.nodes, [](const formula::Node& node) {
    return node.kind == Kind::call && !is_settled(node.text);
  });
}

// What a what-if over a cell that holds one shows depends, in the office, on which of them was
// calculated first.
bool is_what_if(const formula::Tree& tree) {
  return std::ranges::any_of(tree.nodes, [](const formula::Node& node) {
    return node.kind == Kind::call && key(node.text) == "MULTIPLE.OPERATIONS";
  });
}

// The same formula from another sheet: references without a sheet get one.
TermPointer on_sheet(const TermPointer& term, const std::string& sheet) {
  auto copy = std::make_shared<Term>(*term);
  if (copy->node.kind == Kind::reference && !copy->reference.first_sheet.given) {
    copy->reference.first_sheet.name = sheet;
    copy->reference.first_sheet.given = copy->reference.first_sheet.absolute = true;
  }
  for (TermPointer& part : copy->parts) part = on_sheet(part, sheet);
  return copy;
}

}  // namespace

const std::vector<double>& odd_numbers() {
  static const std::vector<double> all = {0,     1,         2,           3,
                                          4,     5,         7,           10,
                                          12,    -1,        -2,          -3,
                                          0.5,   1.5,       -0.5,        2.5,
                                          -2.5,  0.1,       0.3,         0.05,
                                          0.95,  99,        100,         255,
                                          256,   1000,      365,         360,
                                          43831, 44196,     36525,       60,
                                          -10,   1e-10,     1e10,        1e15,
                                          1e-5,  1234.5678, 2147483648., 32767,
                                          32768, 1e300,     -1e300,      1e-300,
                                          0.999, 1.001,     170,         171,
                                          9999,  2958465,   2958466,     1.0000000000000002};
  return all;
}

const std::vector<std::string>& odd_texts() {
  static const std::vector<std::string> all = {"",
                                               "a",
                                               "abc",
                                               "ABC",
                                               " x ",
                                               "1",
                                               "1.5",
                                               "-2",
                                               "1e3",
                                               "007",
                                               "2020-01-31",
                                               "12:30",
                                               "2020-01-31 12:30",
                                               "TRUE",
                                               "50%",
                                               "1/31/2020",
                                               "a*",
                                               "?b*",
                                               "~*",
                                               "äöü",
                                               "日本",
                                               "<5",
                                               ">=2",
                                               "=1",
                                               "<>",
                                               "=",
                                               "<>a",
                                               "a b c",
                                               "a,b,c",
                                               ".",
                                               "1,000",
                                               "$3",
                                               "#N/A",
                                               "0",
                                               "[a-c]+",
                                               "b",
                                               "word",
                                               "Word",
                                               "10",
                                               "-",
                                               "1 2/3",
                                               "a.c",
                                               "0.00",
                                               "yyyy-mm-dd",
                                               "MD",
                                               "Kinds.B2",
                                               "B3",
                                               "!",
                                               "\"",
                                               "it's",
                                               "\u00a0x",
                                               "ß",
                                               "12/31/99",
                                               "1E400"};
  return all;
}

Material::Material() {
  for (const StandardFunction* function : standard::all_functions()) {
    index_[key(function->name)] = functions_.size();
    functions_.push_back({std::string(function->name), function, {}});
  }
  for (const std::filesystem::path& path : support::table_files("standard")) read_table(path);
  std::erase_if(functions_, [](const Drawn& drawn) {
    if (drawn.record == nullptr) return !std::ranges::count(kJumps, drawn.name);
    return !is_settled(drawn.name);
  });
  index_.clear();
  for (std::size_t i = 0; i < functions_.size(); ++i) index_[key(functions_[i].name)] = i;
  for (const char* name : kKinds) sheets_.push_back({name, kKindRows, kKindColumns});
  for (const Name& name : kNames) names_.push_back(name.name);
}

const Drawn* Material::find(std::string_view name) const {
  const auto found = index_.find(key(name));
  return found == index_.end() ? nullptr : &functions_[found->second];
}

void Material::read_table(const std::filesystem::path& path) {
  Sheet sheet{path.stem().string(), {}};
  Filled filled{sheet.name};
  bool used = false;
  for (const support::StandardLine& line : support::read_standard_table(path)) {
    std::string text = line.fields[0];
    if (line.fills) {
      const auto at = parse_cell(text.substr(1));
      if (!at) problem_ = fmt::format("{}: no cell {}", path.string(), text);
      if (!at) return;
      for (std::size_t i = 1; i < line.fields.size(); ++i) {
        const std::string& field = line.fields[i];
        Cell cell{at->row + static_cast<std::int32_t>(i) - 1, at->column, {}, {}};
        if (field.starts_with('=')) {
          const auto tree = formula::parse(field, Syntax::plain);
          if (tree && !varies(*tree) && !is_what_if(*tree)) {
            cell.formula = stored(*term_of(*tree, tree->root));
          }
        } else {
          cell.value = support::standard_value(field);
        }
        filled.rows = std::max(filled.rows, cell.row + 1);
        filled.columns = std::max(filled.columns, cell.column + 1);
        sheet.cells.push_back(std::move(cell));
      }
      continue;
    }
    if (text.starts_with('{')) text = text.substr(1, text.size() - 2);
    const auto tree = formula::parse(text, Syntax::plain);
    // What cannot be asked is no material, nor is what stands around it.
    if (!tree || varies(*tree)) continue;
    used = true;
    for (const formula::Node& node : tree->nodes) {
      if (node.kind == Kind::call) read_call(*tree, node, sheet.name);
    }
  }
  // A table about nothing that can be asked.
  if (!used) return;
  if (sheet.cells.empty()) filled = {sheet.name, 1, 1};
  sheets_.push_back(filled);
  tables_.push_back(std::move(sheet));
}

void Material::read_call(const formula::Tree& tree, const formula::Node& node,
                         const std::string& sheet) {
  const StandardFunction* record = standard::find_function(key(node.text));
  const std::string name = record != nullptr ? std::string(record->name) : key(node.text);
  const auto [place, added] = index_.emplace(key(name), functions_.size());
  if (added) functions_.push_back({name, record, {}});
  std::vector<TermPointer> arguments;
  for (const formula::NodeIndex child : node.children) {
    arguments.push_back(on_sheet(term_of(tree, child), sheet));
  }
  functions_[place->second].calls.push_back(std::move(arguments));
}

void Material::add_to(support::FlatDocument& document, std::size_t variant) const {
  constexpr support::FlatDocument::Matching kVariants[] = {
      {.case_sensitive = false, .regular_expressions = false, .wildcards = true},
      {.case_sensitive = true, .regular_expressions = true, .wildcards = false},
      {.case_sensitive = false, .regular_expressions = false, .wildcards = false}};
  document.matching(kVariants[variant % std::size(kVariants)]);
  for (const Sheet& sheet : tables_) {
    document.sheet(sheet.name);
    for (const Cell& cell : sheet.cells) {
      if (!cell.formula.empty()) {
        document.formula(cell.row, cell.column, cell.formula);
      } else if (cell.value.is_error()) {
        // A value in a file is no error; a formula that is nothing else is.
        document.formula(cell.row, cell.column, stored(*error_term(cell.value.code())));
      } else if (!cell.value.is_empty()) {
        document.value(cell.row, cell.column, cell.value);
      }
    }
  }
  add_kinds(document);
  for (const Name& name : kNames) document.name(name.name, name.expression);
}

void Material::add_kinds(support::FlatDocument& document) const {
  for (std::int32_t which = 0; which < 2; ++which) {
    document.sheet(kKinds[which]);
    const double sign = which == 0 ? 1 : -1;
    const auto row = [which](std::int32_t r) { return (r * (1 + 4 * which) + which) % kKindRows; };
    for (std::int32_t r = 0; r < kKindRows; ++r) {
      const std::int32_t at = row(r);
      const double n = sign * (r * 1.5 - 4);
      document.value(at, 1, Value(n));
      const auto text = odd_texts()[static_cast<std::size_t>(3 * r + which) % odd_texts().size()];
      document.value(at, 2, Value(text));
      document.value(at, 3, r % 3 == 0 ? Value(n) : Value::boolean(r % 2 == 0));
      document.date(at, 4,
                    fmt::format("20{:02}-{:02}-{:02}", 20 + r % 4, 1 + r % 12, 1 + r * 2 % 28));
      document.value(r, 5, Value(static_cast<double>(r * r + which)));
      document.value(r, 6, Value(std::string(1, static_cast<char>('a' + r)) + "x"));
      if (r % 5 == 1) {
        document.formula(at, 7, r % 2 == 0 ? "of:=NA()" : "of:=1/0");
      } else {
        document.value(at, 7, Value(static_cast<double>(r + 1)));
      }
      document.value(at, 8, Value(fmt::format("{}", r % 4 == 0 ? n : r)));
      if (r % 4 == 2) document.formula(at, 9, "of:=\"\"");
      const double odd =
          odd_numbers()[static_cast<std::size_t>(r * 3 + which) % odd_numbers().size()];
      document.value(at, 10, Value(odd));
    }
    // One column of all kinds.
    document.value(row(0), 0, Value(sign * 2));
    document.value(row(1), 0, Value("text"));
    document.value(row(2), 0, Value("3"));
    document.value(row(3), 0, Value::boolean(which == 0));
    document.formula(row(5), 0, "of:=\"\"");
    document.value(row(6), 0, Value(sign * 0.25));
    document.date(row(7), 0, "2020-02-29");
    document.formula(row(8), 0, "of:=2>1");
    document.value(row(9), 0, Value(1e15));
    document.formula(row(10), 0, "of:=\"7\"");
    document.value(row(11), 0, Value("TEXT"));
    document.formula(row(12), 0, which == 0 ? "of:=NA()" : "of:=SQRT(-1)");
    document.value(row(14), 0, Value(sign * 2));
    document.formula(row(15), 0, "of:=[.B1]*2");
  }
}

}  // namespace loftledger::differential
