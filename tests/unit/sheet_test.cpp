#include <gtest/gtest.h>

#include <map>
#include <random>
#include <vector>

#include "engine/sheet/workbook.hpp"

namespace loftledger::sheet {
namespace {

std::vector<std::array<std::int32_t, 3>> runs_of(const Column& column) {
  std::vector<std::array<std::int32_t, 3>> out;
  for (const sheet::Run& run : column.runs()) {
    out.push_back({run.first_row, run.rows, static_cast<std::int32_t>(run.shape)});
  }
  return out;
}

TEST(Page, KnowsWhenAllItsCellsAreNumbers) {
  Page page;
  for (std::int32_t row = 0; row < kPageRows; ++row) page.set_number(row, row);
  EXPECT_TRUE(page.all_numbers());
  EXPECT_EQ(page.numbers()[700], 700.0);
  page.set(3, "fibre");
  EXPECT_FALSE(page.all_numbers());
  EXPECT_EQ(page.get(3).text(), "fibre");
  const auto block = page.block_to_write(0, kPageRows, Value::Kind::number);
  std::fill(block.begin(), block.end(), 2.5);
  EXPECT_TRUE(page.all_numbers());
  EXPECT_EQ(page.get(3).number(), 2.5);
  page.block_to_write(2, 2, Value::Kind::boolean)[1] = 1;
  EXPECT_FALSE(page.all_numbers());
  EXPECT_TRUE(page.get(3).identical(Value::boolean(true)));
  EXPECT_TRUE(page.get(4).identical(Value(2.5)));
  page.block_to_write(0, 10, Value::Kind::number)[3] = 7;
  EXPECT_TRUE(page.all_numbers());
  EXPECT_TRUE(page.get(3).identical(Value(7.0)));
  page.set(3, {});
  EXPECT_FALSE(page.all_numbers());
  EXPECT_TRUE(page.get(3).is_empty());
}

TEST(Page, KeepsEveryKindOfValue) {
  Page page;
  page.set(0, Value::boolean(true));
  page.set(1, Value(Code::division));
  page.set(2, "a");
  page.set(3, -1.5);
  EXPECT_TRUE(page.get(0).is_boolean());
  EXPECT_EQ(page.get(0).number(), 1.0);
  EXPECT_EQ(page.get(1).code(), Code::division);
  page.set(2, Value::boolean(false));
  EXPECT_TRUE(page.get(2).identical(Value::boolean(false)));
  page.set_number(1, 4);
  EXPECT_TRUE(page.get(1).identical(Value(4.0)));
  EXPECT_TRUE(page.get(3).identical(Value(-1.5)));
}

TEST(Column, EmptyingWhatIsEmptyTakesNoRoom) {
  Column column;
  column.set(kMaxRows - 1, {});
  EXPECT_EQ(column.pages(), 0);
  EXPECT_EQ(column.end(), 0);
  column.set(kMaxRows - 1, 1.0);
  EXPECT_EQ(column.end(), kMaxRows);
  EXPECT_EQ(column.page(0), nullptr);
  EXPECT_EQ(column.get(kMaxRows - 1).number(), 1.0);
  EXPECT_TRUE(column.get(0).is_empty());
}

TEST(Column, RunsGrowWhileLoadingAndSplitInTheMiddle) {
  Column column;
  for (std::int32_t row = 1; row < 9; ++row) column.set_formula(row, 7);
  EXPECT_EQ(runs_of(column), (std::vector<std::array<std::int32_t, 3>>{{1, 8, 7}}));
  column.remove_formula(4);
  EXPECT_EQ(runs_of(column), (std::vector<std::array<std::int32_t, 3>>{{1, 3, 7}, {5, 4, 7}}));
  column.set_formula(6, 2);
  EXPECT_EQ(runs_of(column),
            (std::vector<std::array<std::int32_t, 3>>{{1, 3, 7}, {5, 1, 7}, {6, 1, 2}, {7, 2, 7}}));
  column.set_formula(6, 7);
  column.set_formula(4, 7);
  EXPECT_EQ(runs_of(column), (std::vector<std::array<std::int32_t, 3>>{{1, 8, 7}}));
  column.remove_formula(1);
  column.remove_formula(8);
  EXPECT_EQ(runs_of(column), (std::vector<std::array<std::int32_t, 3>>{{2, 6, 7}}));
  EXPECT_EQ(column.end(), 9);  // what was used once stays in the used area
}

// Against a plain map from row to shape, which cannot be wrong about runs.
TEST(Column, RunsAgreeWithAMapAfterAnyChanges) {
  std::mt19937 random(20240611);
  for (int round = 0; round < 200; ++round) {
    Column column;
    std::map<std::int32_t, ShapeId> cells;
    for (int step = 0; step < 60; ++step) {
      const auto row = static_cast<std::int32_t>(random() % 24);
      const auto shape = static_cast<ShapeId>(random() % 3);
      if (shape == 0) {
        column.remove_formula(row);
        cells.erase(row);
      } else {
        column.set_formula(row, shape);
        cells[row] = shape;
      }
    }
    std::int32_t end = -1;
    ShapeId before = 0;
    for (const sheet::Run& run : column.runs()) {
      ASSERT_GT(run.rows, 0);
      ASSERT_TRUE(run.first_row > end || (run.first_row == end && run.shape != before));
      end = run.end();
      before = run.shape;
    }
    for (std::int32_t row = 0; row < 26; ++row) {
      const sheet::Run* run = column.run_at(row);
      const auto held = cells.find(row);
      ASSERT_EQ(run != nullptr, held != cells.end());
      if (run != nullptr) {
        ASSERT_EQ(run->shape, held->second);
      }
    }
  }
}

TEST(Sheet, MatricesCoverTheirSpanAndCountAsUsed) {
  Sheet sheet("Plan");
  sheet.add_matrix({Area{0, 0, 2, 4, 1, 2}, 0});
  EXPECT_NE(sheet.matrix_at(4, 2), nullptr);
  EXPECT_EQ(sheet.matrix_at(5, 2), nullptr);
  EXPECT_EQ(sheet.matrix_at(4, 3), nullptr);
  EXPECT_EQ(sheet.rows_end(), 5);
  EXPECT_EQ(sheet.columns_end(), 3);
}

TEST(Sheet, TellsFilteredRowsFromRowsHiddenByHand) {
  Sheet sheet("Plan");
  sheet.hide_rows({2, 4, false});
  sheet.hide_rows({6, 7, true});
  EXPECT_FALSE(sheet.hidden(1, false));
  EXPECT_TRUE(sheet.hidden(3, false));
  EXPECT_FALSE(sheet.hidden(3, true));
  EXPECT_TRUE(sheet.hidden(6, true));
  EXPECT_TRUE(sheet.hidden(6, false));
  EXPECT_FALSE(sheet.hidden(7, false));
}

TEST(Workbook, FindsSheetsAndNamesWithoutRegardToCase) {
  Workbook book;
  book.add_sheet("Übersicht");
  book.add_sheet("Plan");
  EXPECT_EQ(book.find_sheet("ÜBERSICHT"), 0);
  EXPECT_EQ(book.find_sheet("übersicht"), 0);
  EXPECT_EQ(book.find_sheet("pLAN"), 1);
  EXPECT_FALSE(book.find_sheet("Plans"));

  book.add_name({"Case_price", -1, "[$Plan.$A$1]", {}});
  book.add_name({"case_PRICE", 1, "[$Plan.$B$1]", {}});
  EXPECT_EQ(book.find_name("CASE_price", 0)->expression, "[$Plan.$A$1]");
  EXPECT_EQ(book.find_name("CASE_price", 1)->expression, "[$Plan.$B$1]");
  EXPECT_EQ(book.find_name("price", 0), nullptr);
}

TEST(Workbook, RemembersEachEditedCellOnce) {
  Workbook book;
  book.add_sheet("Plan");
  book.sheet(0).set_formula(1, 1, 0);
  for (int i = 0; i < 3; ++i) book.put({0, 1, 1}, double(i));
  book.put({0, 0, 0}, "x");
  EXPECT_EQ(book.edited(), (std::vector<CellAddress>{{0, 1, 1}, {0, 0, 0}}));
  EXPECT_EQ(book.get({0, 1, 1}).number(), 2.0);
  EXPECT_EQ(book.sheet(0).column(1)->run_at(1), nullptr);
  EXPECT_TRUE(book.get({5, 0, 0}).is_empty());
}

TEST(Workbook, AnEditInsideAMatrixTakesTheWholeFormulaAway) {
  Workbook book;
  book.add_sheet("Plan");
  book.sheet(0).set(0, 0, 1.0);
  book.sheet(0).set(1, 0, 2.0);
  book.sheet(0).add_matrix({Area{0, 0, 0, 1, 0, 0}, 0});
  book.put({0, 1, 0}, 5.0);
  EXPECT_TRUE(book.sheet(0).matrices().empty());
  EXPECT_EQ(book.get({0, 0, 0}).number(), 1.0);
  EXPECT_EQ(book.get({0, 1, 0}).number(), 5.0);
  EXPECT_EQ(book.edited().size(), 2u);
}

TEST(Folded, LowersLettersOfTheCommonAlphabets) {
  EXPECT_EQ(folded("Größe ÀÉÞ Łódź Ω ЖЁ 7_x"), "größe àéþ łódź ω жё 7_x");
  EXPECT_EQ(folded("\xC3"), "\xC3");  // cut short: as it is
}

TEST(RelativeKey, IsTheSameWhereOnlyThePlaceDiffers) {
  const CellAddress b2{0, 1, 1};
  const CellAddress c9{3, 8, 2};
  const auto same = [&](const char* at_b2, const char* at_c9) {
    return relative_key(at_b2, b2) == relative_key(at_c9, c9);
  };
  EXPECT_TRUE(same("SUM([.A1:.A2])*2", "SUM([.B8:.B9])*2"));
  EXPECT_TRUE(same("[$Plan.$A$1]+[.A$1]", "[$Plan.$A$1]+[.B$1]"));
  EXPECT_TRUE(same("[.A1]&\"[.A1]\"", "[.B8]&\"[.A1]\""));
  EXPECT_TRUE(same("[.A:.B]", "[.B:.C]"));
  EXPECT_TRUE(same("[.1:.$3]", "[.8:.$3]"));
  EXPECT_TRUE(same("[.A1:B2]", "[.B8:C9]"));
  EXPECT_TRUE(same("['It''s.A1'.A1]", "['It''s.A1'.B8]"));
  EXPECT_FALSE(same("[.A1]", "[.A1]"));
  EXPECT_FALSE(same("[.$A$1]", "[.$B$8]"));
  EXPECT_FALSE(same("[.$A1]", "[.A8]"));
  EXPECT_FALSE(same("[.A1:B2]", "[.B8:B2]"));
  EXPECT_FALSE(same("\"[.A1]\"", "\"[.B8]\""));
  EXPECT_FALSE(same("[Plan.A1]", "[Plat.B8]"));
  // A sheet whose name reads like a cell, and places past the last row or column, stay as written.
  EXPECT_TRUE(same("[.A1:AB2.C3]", "[.B8:AB2.D10]"));
  EXPECT_FALSE(same("[.A1:AB2.C3]", "[.B8:AC9.D10]"));
  EXPECT_EQ(relative_key("[.A1048577]+[.ZZZ1]", b2), "[.A1048577]+[.ZZZ1]");
  EXPECT_EQ(relative_key("[.#REF!]+[.A$]+1.5", b2), "[.#REF!]+[.A$]+1.5");
  EXPECT_EQ(relative_key("\"open", b2), "\"open");
}

TEST(MovedFormula, TakesRelativeReferencesAlong) {
  const CellAddress b2{0, 1, 1};
  const CellAddress c9{0, 8, 2};
  EXPECT_EQ(moved_formula("of:=SUM([.A1:.$B2])+[$Plan.$A$1]&\"[.A1]\"", b2, c9),
            "of:=SUM([.B8:.$B9])+[$Plan.$A$1]&\"[.A1]\"");
  EXPECT_EQ(moved_formula("[.A:.B]+[.1:.$3]+['It''s.A1'.A1]", b2, c9),
            "[.B:.C]+[.8:.$3]+['It''s.A1'.B8]");
  EXPECT_EQ(moved_formula("[.B8]", c9, b2), "[.A1]");
  EXPECT_EQ(moved_formula("[.A8]*[.B7]", c9, b2), "[.#REF!]*[.#REF!]");
  // A formula keeps its shape wherever it is copied.
  const std::string formula = "[.A1]*[.$C$4]+SUM([.B1:.B1048570])";
  EXPECT_EQ(relative_key(moved_formula(formula, b2, {0, 5, 7}), {0, 5, 7}),
            relative_key(formula, b2));
}

TEST(Workbook, ParsesFormulasOfOneShapeOnce) {
  Workbook book;
  book.add_sheet("Plan");
  const ShapeId first = book.intern("of:=[.A1]*2", {0, 0, 1});
  EXPECT_EQ(book.intern("of:=[.A2]*2", {0, 1, 1}), first);
  EXPECT_EQ(book.intern("=[.A3]*2", {0, 2, 1}), first);
  EXPECT_EQ(book.intern("[.A4]*2", {0, 3, 1}), first);
  EXPECT_NE(book.intern("of:=[.$A$1]*2", {0, 0, 1}), first);
  EXPECT_EQ(book.shapes(), 2u);
  EXPECT_EQ(book.shape(first).text, "[.A1]*2");
  EXPECT_EQ(book.shape(first).base, (CellAddress{0, 0, 1}));
  EXPECT_FALSE(book.shape(first).syntax);
  EXPECT_NE(book.shape(first).tree.root, formula::kNoNode);
}

TEST(Workbook, KeepsWhatIsNoFormulaWithTheReason) {
  Workbook book;
  const Shape& broken = book.shape(book.intern("of:=1+*", {}));
  ASSERT_TRUE(broken.syntax);
  EXPECT_FALSE(broken.syntax->sentence.empty());
  const Shape& foreign = book.shape(book.intern("oooc:=[.A1]+1", {}));
  ASSERT_TRUE(foreign.syntax);
  EXPECT_EQ(foreign.syntax->sentence,
            "the formula is written in \"oooc\", a form that is not read here; save the document "
            "as OpenDocument 1.2 or later");
  EXPECT_EQ(foreign.text, "oooc:=[.A1]+1");
}

}  // namespace
}  // namespace loftledger::sheet
