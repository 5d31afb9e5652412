// The formula language: tables of formulas with their trees, and what must hold for any formula.
#include <gtest/gtest.h>

#include <random>

#include "engine/formula/parse.hpp"
#include "tests/support/formulas/formulas.hpp"
#include "tests/support/tables/tables.hpp"

namespace loftledger::formula {
namespace {

using support::read_table;
using support::Row;
using support::TextTable;

const std::vector<std::string> kFormulaHeader = {"syntax", "formula", "tree", "printed"};
const std::vector<std::string> kErrorHeader = {"formula", "error", "fragment", "office"};

std::string tree_of(std::string_view text, Syntax syntax = Syntax::open_formula) {
  const Result<Tree> tree = parse(text, syntax);
  return tree ? dump(*tree) : std::string(tree.error().text());
}

Error error_of(std::string_view text, Syntax syntax = Syntax::open_formula) {
  const Result<Tree> tree = parse(text, syntax);
  return tree ? Error() : tree.error();
}

std::string repeated(std::size_t times, std::string_view piece) {
  std::string out;
  out.reserve(times * piece.size());
  for (std::size_t i = 0; i < times; ++i) out += piece;
  return out;
}

std::string table_name(const testing::TestParamInfo<std::filesystem::path>& info) {
  return info.param.stem().string();
}

class FormulaTable : public testing::TestWithParam<std::filesystem::path> {};

TEST_P(FormulaTable, EveryRowReadsAndPrintsAsItSays) {
  std::string problem;
  const TextTable table = read_table(GetParam(), kFormulaHeader, problem);
  ASSERT_EQ(problem, "");
  ASSERT_FALSE(table.rows.empty());
  for (const Row& row : table.rows) {
    const Syntax syntax = row.fields[0] == "typed" ? Syntax::plain : Syntax::open_formula;
    ASSERT_TRUE(row.fields[0] == "typed" || row.fields[0] == "stored") << row.line;
    const Result<Tree> tree = parse(row.fields[1], syntax);
    ASSERT_TRUE(tree) << row.fields[1] << ": " << tree.error().text();
    EXPECT_EQ(dump(*tree), row.fields[2]) << row.fields[1];
    EXPECT_EQ(print(*tree, syntax), row.fields[3]) << row.fields[1];
    for (const Syntax other : {Syntax::open_formula, Syntax::plain}) {
      const std::string printed = print(*tree, other);
      const Result<Tree> again = parse(printed, other);
      ASSERT_TRUE(again) << printed << ": " << again.error().text();
      EXPECT_EQ(support::difference(*tree, *again), "") << row.fields[1] << " as " << printed;
    }
  }
}
INSTANTIATE_TEST_SUITE_P(Tables, FormulaTable, testing::ValuesIn(support::table_files("formula")),
                         table_name);

class FormulaErrors : public testing::TestWithParam<std::filesystem::path> {};

TEST_P(FormulaErrors, EveryRowIsRefusedInWordsThatHelp) {
  std::string problem;
  const TextTable table = read_table(GetParam(), kErrorHeader, problem);
  ASSERT_EQ(problem, "");
  ASSERT_FALSE(table.rows.empty());
  for (const Row& row : table.rows) {
    const Error error = error_of(row.fields[0]);
    EXPECT_EQ(shown(error.code), row.fields[1]) << row.fields[0];
    ASSERT_FALSE(row.fields[2].empty());
    EXPECT_NE(error.sentence.find(row.fields[2]), std::string::npos)
        << row.fields[0] << ": " << error.sentence;
  }
}
INSTANTIATE_TEST_SUITE_P(Tables, FormulaErrors,
                         testing::ValuesIn(support::table_files("formula_errors")), table_name);

TEST(Formula, TakesWhiteSpaceBetweenAnyTwoParts) {
  EXPECT_EQ(tree_of("= \t\r\n SUM\n(\t1 ;\r\n{ 1 ; 2 } ) % ^ - ( 2 )\n"),
            tree_of("=SUM(1;{1;2})%^-(2)"));
  // A no-break space is none, as in the office.
  EXPECT_EQ(error_of("=1\u00A0+2").code, Code::character);
  EXPECT_NE(error_of("=1\u00A0+2").sentence.find("no-break space"), std::string::npos);
}

TEST(Formula, TextsKeepEveryByte) {
  std::string any;
  for (int c = 0; c < 256; ++c) any += static_cast<char>(c);
  std::string doubled = any;
  doubled.insert(doubled.find('"'), 1, '"');
  const Result<Tree> whole = parse("=\"" + doubled + "\"", Syntax::open_formula);
  ASSERT_TRUE(whole) << whole.error().text();
  EXPECT_EQ(whole->nodes.at(0).text, any);
}

TEST(Formula, ASentenceStaysOnOneLine) {
  const std::string sentence = error_of("=1+\n\"ü\"\n\n1 + 2 + 3 + 4 + 5 + 6").sentence;
  EXPECT_EQ(sentence.find('\n'), std::string::npos);
  EXPECT_EQ(sentence,
            "expected an operator or the end of the formula at character 10, before "
            "\"1 + 2 + 3 + 4 + 5 + …\"");
}

TEST(Formula, TypedReferencesStandWithoutBrackets) {
  const Error error = error_of("=[.A1]", Syntax::plain);
  EXPECT_EQ(error.code, Code::name);
  EXPECT_NE(error.sentence.find("references stand here without brackets"), std::string::npos);
}

TEST(Formula, ReferencesKeepTheirCorners) {
  const Result<Tree> tree = parse("=[$'My sheet'.$B3:.D$9]", Syntax::open_formula);
  ASSERT_TRUE(tree);
  const Reference& r = tree->references.at(0);
  EXPECT_TRUE(r.range && r.first_sheet.given && r.first_sheet.absolute && !r.last_sheet.given);
  EXPECT_EQ(r.first_sheet.name, "My sheet");
  EXPECT_EQ(r.first.column, 1);
  EXPECT_EQ(r.first.row, 2);
  EXPECT_TRUE(r.first.column_absolute && !r.first.row_absolute);
  EXPECT_EQ(r.last.column, 3);
  EXPECT_EQ(r.last.row, 8);
  EXPECT_TRUE(!r.last.column_absolute && r.last.row_absolute);
}

TEST(Formula, ASingleCellEndsWhereItBegins) {
  for (const char* text : {"=[.C7]", "=C7", "=C7:SUM(1)", "=C7:B"}) {
    const Result<Tree> tree = parse(text, Syntax::open_formula);
    ASSERT_TRUE(tree) << text;
    const Reference& r = tree->references.at(0);
    EXPECT_FALSE(r.range) << text;
    EXPECT_EQ(r.last.row, 6) << text;
    EXPECT_EQ(r.last.column, 2) << text;
  }
}

TEST(Formula, WholeColumnsAndRowsReachAcrossTheSheet) {
  const Reference columns = parse("=[.B:.$C]", Syntax::open_formula)->references.at(0);
  EXPECT_TRUE(columns.range && columns.whole_columns && !columns.whole_rows);
  EXPECT_EQ(columns.first.row, 0);
  EXPECT_EQ(columns.last.row, kMaxRows - 1);
  EXPECT_EQ(columns.last.column, 2);
  const Reference rows = parse("=[.2:.3]", Syntax::open_formula)->references.at(0);
  EXPECT_TRUE(rows.range && rows.whole_rows && !rows.whole_columns);
  EXPECT_EQ(rows.first.column, 0);
  EXPECT_EQ(rows.last.column, kMaxColumns - 1);
  EXPECT_EQ(rows.last.row, 2);
}

TEST(Formula, TheSheetEndsAtItsLastColumn) {
  const std::string last = column_letters(kMaxColumns - 1) + "1";
  const std::string beyond = column_letters(kMaxColumns) + "1";
  EXPECT_EQ(tree_of("=[." + last + "]"), "[." + last + "]");
  EXPECT_EQ(error_of("=[." + beyond + "]").code, Code::name);
  EXPECT_EQ(tree_of("=" + beyond, Syntax::plain), "(name " + beyond + ")");
}

TEST(Formula, EveryNodeKnowsWhereItStands) {
  const std::string text = "= -ROUND( [.A1] * 2 ; 3 )% & \"ü\" & {1;-2}";
  const Result<Tree> tree = parse(text, Syntax::open_formula);
  ASSERT_TRUE(tree);
  std::vector<std::string> pieces;
  for (const Node& node : tree->nodes) {
    ASSERT_LT(node.begin, node.end);
    pieces.push_back(text.substr(node.begin, node.end - node.begin));
  }
  EXPECT_EQ(pieces, (std::vector<std::string>{
                        "[.A1]", "2", "[.A1] * 2", "3", "ROUND( [.A1] * 2 ; 3 )",
                        "-ROUND( [.A1] * 2 ; 3 )", "-ROUND( [.A1] * 2 ; 3 )%", "\"ü\"",
                        "-ROUND( [.A1] * 2 ; 3 )% & \"ü\"", "1", "-2", "{1;-2}", text.substr(2)}));
}

TEST(Formula, PrintsParenthesesWhereATreeNeedsThem) {
  // 2 ^ (3 ^ (-(1 + 2))) and (1 + 2)%, built without groups.
  Tree tree;
  const auto add = [&tree](Kind kind, Operator op, double number, std::vector<NodeIndex> children) {
    Node node;
    node.kind = kind;
    node.op = op;
    node.number = number;
    node.children = std::move(children);
    tree.nodes.push_back(std::move(node));
    return tree.root = static_cast<NodeIndex>(tree.nodes.size() - 1);
  };
  const NodeIndex one = add(Kind::number, Operator::none, 1, {});
  const NodeIndex two = add(Kind::number, Operator::none, 2, {});
  const NodeIndex three = add(Kind::number, Operator::none, 3, {});
  const NodeIndex sum = add(Kind::infix, Operator::plus, 0, {one, two});
  add(Kind::postfix, Operator::percent, 0, {sum});
  EXPECT_EQ(print(tree, Syntax::open_formula), "(1+2)%");
  const NodeIndex negative = add(Kind::prefix, Operator::minus, 0, {sum});
  const NodeIndex inner = add(Kind::infix, Operator::power, 0, {three, negative});
  add(Kind::infix, Operator::power, 0, {two, inner});
  EXPECT_EQ(print(tree, Syntax::open_formula), "2^(3^-(1+2))");
}

TEST(FormulaLimits, TakesTheNestingThatItPromises) {
  for (const std::size_t depth : {std::size_t{80}, kMaxDepth}) {
    for (const std::string_view opening : {"(", "ABS(", "F(1;-", "{1;2}+("}) {
      const std::string text = repeated(depth, opening) + "1" + repeated(depth, ")");
      const Result<Tree> tree = parse(text, Syntax::open_formula);
      ASSERT_TRUE(tree) << opening << tree.error().text();
      EXPECT_EQ(print(*tree, Syntax::open_formula), text);
    }
  }
}

TEST(FormulaLimits, RefusesDeeperNestingHoweverDeep) {
  for (const std::size_t depth : {kMaxDepth + 1, std::size_t{10000}, kMaxLength / 2 - 1}) {
    for (const std::string_view opening : {"(", "F("}) {
      const std::string text = repeated(depth, opening);
      if (text.size() > kMaxLength) continue;
      const Error error = error_of(text);
      EXPECT_EQ(error.code, Code::too_deep);
      EXPECT_NE(error.sentence.find("nested deeper than 200 levels"), std::string::npos)
          << error.sentence;
    }
  }
}

TEST(FormulaLimits, ChainsAreLoopsInEveryPass) {
  for (const std::string_view link : {"+1", "-1", "*1", "/1", "^1", "&1", "=1", "<>1", "%"}) {
    const std::string text = "1" + repeated(8000, link);
    const Result<Tree> tree = parse(text, Syntax::open_formula);
    ASSERT_TRUE(tree) << link;
    EXPECT_EQ(print(*tree, Syntax::open_formula), text);
    EXPECT_GT(dump(*tree).size(), text.size());
  }
  const std::string signs = repeated(16000, "-") + "1";
  EXPECT_EQ(print(*parse(signs, Syntax::open_formula), Syntax::open_formula), signs);
  const std::string cells = "[.A1]" + repeated(4000, ":[.A1]");
  EXPECT_EQ(print(*parse(cells, Syntax::open_formula), Syntax::open_formula), cells);
}

TEST(FormulaLimits, RefusesTooManyPartsAndTooMuchText) {
  EXPECT_TRUE(parse("SUM(1" + repeated(kMaxNodes - 2, ";1") + ")", Syntax::open_formula));
  for (const std::string& text :
       {"SUM(1" + repeated(kMaxNodes - 1, ";1") + ")", "1" + repeated(kMaxNodes, "+1"),
        repeated(kMaxNodes, "-") + "1", "{1" + repeated(kMaxNodes, ";1") + "}"}) {
    EXPECT_EQ(error_of(text).code, Code::too_long);
    EXPECT_NE(error_of(text).sentence.find("more than 16384 parts"), std::string::npos);
  }
  EXPECT_TRUE(parse("\"" + std::string(kMaxLength - 2, 'x') + "\"", Syntax::open_formula));
  const Error error = error_of("\"" + std::string(kMaxLength - 1, 'x') + "\"");
  EXPECT_EQ(error.code, Code::too_long);
  EXPECT_NE(error.sentence.find("65537 bytes"), std::string::npos) << error.sentence;
}

// What must hold for any bytes: a tree that survives being written, or a sentence.
void check_any(const std::string& text) {
  for (const Syntax syntax : {Syntax::open_formula, Syntax::plain}) {
    const Result<Tree> tree = parse(text, syntax);
    if (!tree) {
      EXPECT_NE(tree.error().code, Code::none);
      EXPECT_GT(tree.error().sentence.size(), 20U);
      EXPECT_LT(tree.error().sentence.size(), 400U);
      continue;
    }
    const std::string printed = print(*tree, syntax);
    const Result<Tree> again = parse(printed, syntax);
    ASSERT_TRUE(again) << text << " printed as " << printed << ": " << again.error().text();
    EXPECT_EQ(support::difference(*tree, *again), "") << text << " printed as " << printed;
  }
}

TEST(FormulaRandom, BytesNeverCrash) {
  std::mt19937 random(20240611);
  for (int round = 0; round < 300; ++round) {
    std::string text(round % 30 == 0 ? kMaxLength : random() % 200, '\0');
    for (char& c : text) c = static_cast<char>(random() % 256);
    check_any(text);
  }
}

TEST(FormulaRandom, PiecesOfFormulasInAnyOrderNeverCrash) {
  constexpr std::string_view kPieces[] = {
      "1",       "0.5", "1e5", "\"a\"",   "\"",   "'",  "'a'", "A1", "[.A1]", "[",
      "]",       ".",   "$",   "$$",      "x",    "F(", "(",   ")",  ";",     "{",
      "}",       "|",   "+",   "-",       "*",    "/",  "^",   "%",  "&",     "=",
      "<",       ">",   "<>",  "~",       "!",    "!!", ":",   "#",  "#REF!", "#N/A",
      "Err:502", "A:A", "1:2", "Sheet1.", "TRUE", " ",  "ü",   "“",  "\t",    "Rate"};
  std::mt19937 random(7);
  for (int round = 0; round < 40000; ++round) {
    std::string text;
    for (std::size_t n = random() % 12; n > 0; --n) text += kPieces[random() % std::size(kPieces)];
    check_any(text);
  }
}

TEST(FormulaRandom, BrokenFormulasNeverCrash) {
  for (const std::filesystem::path& file : support::table_files("formula")) {
    std::string problem;
    for (const Row& row : read_table(file, kFormulaHeader, problem).rows) {
      const std::string& text = row.fields[1];
      for (std::size_t i = 0; i < text.size(); ++i) {
        check_any(text.substr(0, i));
        check_any(text.substr(0, i) + text.substr(i + 1));
        check_any(text.substr(0, i) + text[i] + text.substr(i));
      }
    }
  }
}

TEST(FormulaRandom, TreesSurvivePrintingAndReading) {
  for (unsigned seed = 1; seed <= 4000; ++seed) {
    const Tree tree = support::random_tree(seed, support::Groups::where_due);
    for (const Syntax syntax : {Syntax::open_formula, Syntax::plain}) {
      const std::string printed = print(tree, syntax);
      const Result<Tree> again = parse("=" + printed, syntax);
      ASSERT_TRUE(again) << "seed " << seed << ": " << printed << ": " << again.error().text();
      ASSERT_EQ(support::difference(tree, *again), "") << "seed " << seed << ": " << printed;
      ASSERT_EQ(print(*again, syntax), printed);
    }
  }
}

TEST(FormulaRandom, TreesWithoutGroupsKeepTheirShape) {
  for (unsigned seed = 1; seed <= 4000; ++seed) {
    const Tree tree = support::random_tree(seed, support::Groups::none);
    for (const Syntax syntax : {Syntax::open_formula, Syntax::plain}) {
      const std::string printed = print(tree, syntax);
      const Result<Tree> again = parse(printed, syntax);
      ASSERT_TRUE(again) << "seed " << seed << ": " << printed << ": " << again.error().text();
      ASSERT_EQ(support::difference(tree, support::without_groups(*again)), "")
          << "seed " << seed << ": " << printed;
    }
  }
}

TEST(FormulaRandom, TheComparisonCanFail) {
  const auto tree = [](const char* text) { return *parse(text, Syntax::open_formula); };
  EXPECT_EQ(support::difference(tree("=1+2"), tree(" = 1 + 2")), "");
  for (const char* other : {"=1+3", "=1-2", "=1", "=(1+2)", "=1+\"2\""}) {
    EXPECT_NE(support::difference(tree("=1+2"), tree(other)), "") << other;
  }
  for (const char* other : {"=[.A2]", "=[.$A1]", "=[.A1:.A1]", "=[S.A1]", "=['f'#S.A1]"}) {
    EXPECT_NE(support::difference(tree("=[.A1]"), tree(other)), "") << other;
  }
  EXPECT_NE(support::difference(tree("=S.n"), tree("=$S.n")), "");
}

}  // namespace
}  // namespace loftledger::formula
