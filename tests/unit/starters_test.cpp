// The starter workbooks and their filled examples: what every one of them promises a user.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>
#include <random>
#include <set>

#include "tests/support/books/filled.hpp"
#include "tests/support/books/markup.hpp"

namespace loftledger {
namespace {

using support::Filled;
using support::MarkedCell;
using support::MarkedSheet;
using support::Markup;
using support::NamedArea;

std::vector<std::string> books_in(const char* folder) {
  std::vector<std::string> out;
  for (const auto& entry :
       std::filesystem::directory_iterator(std::filesystem::path(LOFTLEDGER_SOURCE) / folder)) {
    if (entry.path().extension() == ".fods") out.push_back(entry.path().string());
  }
  std::sort(out.begin(), out.end());
  return out;
}

std::vector<std::string> all_books() {
  auto out = books_in("templates");
  for (const std::string& path : books_in("examples")) out.push_back(path);
  return out;
}

// The example that is the filled starter.
std::filesystem::path example_of(const std::filesystem::path& starter) {
  return std::filesystem::path(LOFTLEDGER_SOURCE) / "examples" /
         ("quillfeather-" + starter.filename().string());
}

bool holds(const Area& area, CellAddress cell) {
  return area.first_sheet == cell.sheet && area.first_row <= cell.row &&
         cell.row <= area.last_row && area.first_column <= cell.column &&
         cell.column <= area.last_column;
}

std::vector<const NamedArea*> names_of(const Markup& book, CellAddress cell) {
  std::vector<const NamedArea*> out;
  for (const NamedArea& name : book.names) {
    if (holds(name.area, cell)) out.push_back(&name);
  }
  return out;
}

// A unit stands further right in the row, or above in the column.
bool has_unit(const Markup& book, CellAddress cell) {
  const auto is_unit = [&](const MarkedCell& c) {
    return book.follows(c.style, "Unit") && !c.text.empty();
  };
  for (const auto& [place, other] : book.sheets[static_cast<std::size_t>(cell.sheet)].cells) {
    const bool right = place.first == cell.row && place.second > cell.column;
    const bool above = place.second == cell.column && place.first < cell.row;
    if ((right || above) && is_unit(other)) return true;
  }
  return false;
}

std::string test_name(const testing::TestParamInfo<std::string>& param) {
  const std::filesystem::path path = param.param;
  std::string out = path.stem().string();
  std::replace(out.begin(), out.end(), '-', '_');
  return out + (path.parent_path().filename() == "examples" ? "_example" : "");
}

class Starters : public testing::TestWithParam<std::string> {
 protected:
  void SetUp() override {
    book_ = support::read_markup(GetParam());
    ASSERT_EQ(book_.problem, "");
    ASSERT_FALSE(book_.sheets.empty());
  }
  std::string place(CellAddress cell) const { return book_.place_of(cell); }
  Markup book_;
};

TEST_P(Starters, BeginWithAStartSheetAndEndWithChecks) {
  EXPECT_EQ(book_.sheets.front().name, "Start");
  EXPECT_EQ(book_.sheets.back().name, "Checks");
  int checks = 0;
  book_.each_cell([&](CellAddress, const MarkedCell& cell) {
    if (book_.follows(cell.style, "Check")) ++checks;
  });
  EXPECT_GE(checks, 4);
  int cautions = 0;
  for (const auto& [at, cell] : book_.sheets.front().cells) {
    if (book_.follows(cell.style, "Caution")) ++cautions;
  }
  EXPECT_GE(cautions, 1) << "the Start sheet shows no caution";
  int charts = 0;
  for (const MarkedSheet& sheet : book_.sheets) charts += sheet.charts;
  EXPECT_GE(charts, 1);
}

TEST_P(Starters, GiveEveryInputANameAUnitAValidationAndANote) {
  std::set<std::string> seen;
  int inputs = 0;
  book_.each_cell([&](CellAddress at, const MarkedCell& cell) {
    if (!book_.follows(cell.style, "Input")) return;
    ++inputs;
    SCOPED_TRACE(place(at));
    EXPECT_EQ(cell.formula, "") << "an input is typed";
    const auto names = names_of(book_, at);
    ASSERT_EQ(names.size(), 1U) << "one name is due";
    EXPECT_TRUE(has_unit(book_, at)) << "no unit stands beside or above it";
    const auto rule = book_.rules.find(cell.validation);
    ASSERT_TRUE(rule != book_.rules.end()) << "it has no validation";
    EXPECT_GE(rule->second.message.size(), 20U) << "its validation does not say what is due";
    const Area& area = names[0]->area;
    if (at.row == area.first_row && at.column == area.first_column) {
      EXPECT_GE(cell.note.size(), 20U) << "it has no note";
      seen.insert(names[0]->name);
    }
  });
  EXPECT_GE(inputs, 10);
  EXPECT_GE(seen.size(), 5U);
}

TEST_P(Starters, GiveEveryResultANameAndAUnit) {
  int results = 0;
  book_.each_cell([&](CellAddress at, const MarkedCell& cell) {
    const bool result = book_.follows(cell.style, "Result") || book_.follows(cell.style, "Total");
    if (!result || cell.formula.empty()) return;
    ++results;
    SCOPED_TRACE(place(at));
    EXPECT_GE(names_of(book_, at).size(), 1U) << "it has no name";
    // Sentences and truths have none.
    if (book_.follows(cell.style, "Result text") || book_.follows(cell.style, "Total text") ||
        book_.follows(cell.style, "Check") || book_.follows(cell.style, "Total check")) {
      return;
    }
    EXPECT_TRUE(has_unit(book_, at)) << "no unit stands beside or above it";
  });
  EXPECT_GE(results, 10);
}

TEST_P(Starters, LetNothingButInputsBeTypedOver) {
  for (const MarkedSheet& sheet : book_.sheets) EXPECT_TRUE(sheet.is_protected) << sheet.name;
  book_.each_cell([&](CellAddress at, const MarkedCell& cell) {
    EXPECT_EQ(book_.is_open(cell.style), book_.follows(cell.style, "Input")) << place(at);
    EXPECT_TRUE(cell.formula.empty() || !book_.is_open(cell.style)) << place(at);
  });
}

TEST_P(Starters, ArePreparedForPrinting) {
  for (const MarkedSheet& sheet : book_.sheets) {
    EXPECT_TRUE(sheet.page.empty()) << sheet.name << " lacks " << sheet.page.front();
  }
}

// The office reads a flat file in one go, and a chart that shows a sheet further on comes out
// empty.
TEST_P(Starters, HaveChartsOfTheirOwnOrEarlierSheetsOnly) {
  std::set<std::string> known;
  for (const MarkedSheet& sheet : book_.sheets) {
    known.insert(sheet.name);
    for (const std::string& place : sheet.shown_by_charts) {
      const std::string shown = place.substr(0, place.find('.'));
      EXPECT_TRUE(known.contains(shown)) << "a chart on " << sheet.name << " shows " << place;
    }
    EXPECT_EQ(sheet.shown_by_charts.empty(), sheet.charts == 0) << sheet.name;
  }
}

TEST_P(Starters, NameEveryAreaOnceAndInPlainWords) {
  std::set<std::string> seen;
  for (const NamedArea& name : book_.names) {
    EXPECT_TRUE(seen.insert(name.name).second) << name.name << " stands for two places";
    EXPECT_GE(name.name.size(), 4U) << name.name;
    for (const char c : name.name) {
      EXPECT_TRUE((c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '_') << name.name;
    }
  }
}

TEST_P(Starters, AreDeliveredWithInputsThatTheirRulesAllowAndAllChecksTrue) {
  Filled filled(GetParam(), book_);
  ASSERT_EQ(filled.problem(), "");
  EXPECT_EQ(filled.first_error(), "");
  for (const auto& [at, rule] : filled.inputs()) {
    EXPECT_TRUE(rule->allows(filled.value(at))) << place(at);
  }
  for (const NamedArea& name : book_.names) {
    if (!name.name.starts_with("check_") && name.name != "all_checks") continue;
    const Value value =
        filled.value({name.area.first_sheet, name.area.first_row, name.area.first_column});
    EXPECT_TRUE(value.is_numeric() && value.number() == 1) << name.name << " is not TRUE";
  }
}

TEST_P(Starters, WorkInBothSystemsOfUnits) {
  Filled filled(GetParam(), book_);
  ASSERT_EQ(filled.problem(), "");
  for (const NamedArea& name : book_.names) {
    if (name.name != "unit_system") continue;
    const CellAddress at{name.area.first_sheet, name.area.first_row, name.area.first_column};
    for (const char* system : {"metric", "US customary"}) {
      filled.set(at, Value(system));
      EXPECT_EQ(filled.first_error(), "") << system;
    }
  }
}

INSTANTIATE_TEST_SUITE_P(Books, Starters, testing::ValuesIn(all_books()), test_name);

class Shaken : public Starters {};

// Whatever a user may type, no cell shows an error.
TEST_P(Shaken, ShowNoErrorForAnyInputsWithinTheirRules) {
  constexpr int kRuns = 1000;
  Filled filled(GetParam(), book_);
  ASSERT_EQ(filled.problem(), "");
  ASSERT_FALSE(filled.inputs().empty());
  for (int run = 0; run < kRuns; ++run) {
    std::mt19937_64 random(static_cast<std::uint64_t>(run));
    filled.shake(random, run % 2 == 1);
    ASSERT_EQ(filled.first_error(), "") << "run " << run << ":" << filled.shown_inputs();
  }
}

// The filled example is its starter with other inputs and nothing else.
TEST_P(Shaken, HaveAnExampleWithTheSameFormulas) {
  const Markup example = support::read_markup(example_of(GetParam()).string());
  ASSERT_EQ(example.problem, "");
  ASSERT_EQ(example.sheets.size(), book_.sheets.size());
  EXPECT_EQ(example.names.size(), book_.names.size());
  book_.each_cell([&](CellAddress at, const MarkedCell& cell) {
    const MarkedCell* other = example.at(at);
    ASSERT_NE(other, nullptr) << place(at);
    EXPECT_EQ(cell.formula, other->formula) << place(at);
    EXPECT_EQ(cell.style, other->style) << place(at);
    EXPECT_EQ(cell.validation, other->validation) << place(at);
  });
}

INSTANTIATE_TEST_SUITE_P(Books, Shaken, testing::ValuesIn(books_in("templates")), test_name);

TEST(StarterFolder, HoldsTheSixBooksAndTheirExamples) {
  std::set<std::string> names;
  for (const auto& path : books_in("templates")) {
    names.insert(std::filesystem::path(path).stem().string());
    EXPECT_TRUE(std::filesystem::exists(example_of(path))) << path;
  }
  EXPECT_EQ(names, (std::set<std::string>{"busy-day", "fill-trial", "margin-sheet",
                                          "order-calendar", "store-comparison", "store-plan"}));
}

}  // namespace
}  // namespace loftledger
