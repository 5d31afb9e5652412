// Books as programs see them: what they tell of themselves, and that following a change gives what
// calculating everything anew gives.
#include <gtest/gtest.h>

#include <bit>
#include <filesystem>
#include <limits>
#include <random>

#include "engine/engine.hpp"
#include "engine/ods/document.hpp"
#include "tests/support/documents/flat_text.hpp"
#include "tests/support/system/files.hpp"

namespace loftledger {
namespace {

namespace fs = std::filesystem;

// A Monday in 2026, so that TODAY() is the same in all books.
constexpr Moment kMoment{1767600000, 7};

bool same(const Value& a, const Value& b) {
  if (a.kind() != b.kind()) return false;
  if (a.is_error()) return a.code() == b.code() && a.error().text() == b.error().text();
  if (a.is_text()) return a.text() == b.text();
  return std::bit_cast<std::uint64_t>(a.number()) == std::bit_cast<std::uint64_t>(b.number());
}

std::string words(const Value& value) {
  if (value.is_error()) return shown(value.code()) + " " + std::string(value.error().text());
  if (value.is_text()) return "\"" + std::string(value.text()) + "\"";
  return value.is_empty() ? "nothing" : testing::PrintToString(value.number());
}

Book opened(const std::string& path) {
  Result<Book> book = Book::open(path, kMoment);
  EXPECT_TRUE(book) << (book ? "" : book.error().text());
  return *std::move(book);
}

using Settings = std::vector<std::pair<CellAddress, Value>>;

// One book that follows its changes, beside others that are opened anew, set and calculated whole.
class Followed {
 public:
  explicit Followed(std::string path) : path_(std::move(path)), book_(opened(path_)) {
    const Result<ods::Document> read = ods::Document::open(path_);
    for (std::int32_t s = 0; s < read->workbook().sheets(); ++s) {
      const sheet::Sheet& sheet = read->workbook().sheet(s);
      ends_.push_back({s, sheet.rows_end(), sheet.columns_end()});
    }
    book_.recalculate();
  }

  Book& book() { return book_; }
  std::int64_t set(const Settings& some) {
    for (const auto& [cell, value] : some) {
      EXPECT_TRUE(book_.set(cell, value));
      all_.emplace_back(cell, value);
    }
    return book_.update();
  }

  // The first cell that differs; empty where none does.
  std::string difference() const {
    Book anew = opened(path_);
    for (const auto& [cell, value] : all_) EXPECT_TRUE(anew.set(cell, value));
    anew.recalculate();
    for (const CellAddress& end : ends_) {
      for (std::int32_t r = 0; r < end.row; ++r) {
        for (std::int32_t c = 0; c < end.column; ++c) {
          const CellAddress at{end.sheet, r, c};
          if (same(book_.cell(at), anew.cell(at))) continue;
          return book_.sheets()[static_cast<std::size_t>(end.sheet)] + "." + cell_name(r, c) +
                 ": " + words(book_.cell(at)) + " beside " + words(anew.cell(at));
        }
      }
    }
    return {};
  }

 private:
  std::string path_;
  Book book_;
  std::vector<CellAddress> ends_;
  Settings all_;
};

// What somebody may type who tries something out, sensible or not.
Value tried(const Value& held, std::mt19937_64& random) {
  switch (random() % 12) {
    case 0:
      return Value();
    case 1:
      return "some words";
    case 2:
      return 0.0;
    case 3:
      return Value::boolean(random() % 2 == 0);
    default: {
      const double factor = 0.5 + static_cast<double>(random() % 1000) / 1000;
      return held.kind() == Value::Kind::number ? Value(held.number() * factor) : held;
    }
  }
}

std::vector<std::string> starters() {
  std::vector<std::string> out;
  for (const auto& entry : fs::directory_iterator(LOFTLEDGER_SOURCE "/templates")) {
    if (entry.path().extension() == ".fods") out.push_back(entry.path());
  }
  return out;
}

TEST(Update, GivesInTheStartersWhatCalculatingAllAnewGives) {
  constexpr int kRounds = 4;
  ASSERT_EQ(starters().size(), 6U);
  for (const std::string& path : starters()) {
    SCOPED_TRACE(path);
    std::mt19937_64 random(11);
    Followed followed(path);
    const std::vector<NamedCells> inputs = followed.book().inputs();
    const std::int64_t whole = followed.book().calculated();
    ASSERT_GE(inputs.size(), 10U);
    std::int64_t fewest = whole;
    for (int round = 0; round < kRounds; ++round) {
      // Some one after another, then some at once.
      Settings settings;
      for (int i = 0; i < 4; ++i) {
        const NamedCells& input = inputs[random() % inputs.size()];
        CellAddress cell = input.first;
        cell.row += static_cast<std::int32_t>(random() % input.values.rows());
        cell.column += static_cast<std::int32_t>(random() % input.values.columns());
        settings.emplace_back(cell, tried(followed.book().cell(cell), random));
        if (i < 2) fewest = std::min(fewest, followed.set({settings.back()}));
      }
      followed.set(settings);
      ASSERT_EQ(followed.difference(), "") << "round " << round;
    }
    EXPECT_LT(fewest, whole / 2) << "everything is calculated for one input";
  }
}

// A small book whose formulas read cells to the left of them and above in every way there is, plain
// or found out while they run.
std::string random_book(std::mt19937_64& random) {
  const std::vector<std::string> kinds = {
      "[.@#]+[.@<]",
      "SUM([.@$1:.@#])",
      "IF([.@#]>5;[.@<];\"low\")",
      "SUMIF([.@$1:.@#];\"&gt;3\";[.A$1])",
      "SUMIF([.@$1:.@$9];\"&gt;3\";[.B1])",
      "AVERAGEIF(all_a;\"&gt;2\";[.$B$2])",
      "LOOKUP(6;[.@$1:.@$9];[.B$1])",
      "LOOKUP(6;[.@$1:.@$9];[.A$1:.B$1])",
      "SUM([.@<]:INDEX([.B$1:.B$9];4))",
      "SUM([.A$2]:[.@#])",
      "SUM(OFFSET([.A$1];2;0;3;1))",
      "SUM(INDIRECT(\"B2:B\"&amp;#))",
      "SUBTOTAL(9;[.@$1:.@#])",
      "COUNTIF([.@$1:.@$9];[.A#])",
      "VLOOKUP([.A#];[.A$1:.B$9];2;0)",
      "SUMPRODUCT([.A$1:.A$9];[.@$1:.@$9])",
      "IFERROR([.@#]/[.A#];[.@<])",
      "CHOOSE(MOD([.A#];3);[.@#];[.B$3])",
      "left_of*2",
      "SUM(all_a;left_of)",
      "MULTIPLE.OPERATIONS([.@#];[.A$1];[.B$2])",
      "ISNUMBER([.@#])",
      "[.@#]&amp;\"/\"&amp;[.A#]",
      "MAX([$S.@$1:.@#];[.A#])",
      "BODIESPERCASE([.A#];1;[.@#])",
      "COUNT([$S.A$1:.B$1048576])",
  };
  constexpr int kRows = 9;
  std::string sheets;
  for (int s = 0; s < 2; ++s) {
    std::string rows;
    for (int row = 1; row <= kRows; ++row) {
      rows += "<table:table-row>";
      for (int column = 0; column < 8; ++column) {
        if (column < 2) {
          rows += "<table:table-cell office:value-type=\"float\" office:value=\"" +
                  std::to_string(random() % 12) + "\"/>";
          continue;
        }
        std::string text;
        for (const char c : kinds[random() % kinds.size()]) {
          // The first row has nothing above it.
          text += c == '@'   ? std::string(1, static_cast<char>('A' + random() % column))
                  : c == '#' ? std::to_string(row)
                  : c == '<' ? std::to_string(std::max(row - 1, 1))
                             : std::string(1, c);
        }
        std::string quoted;
        for (const char c : text) quoted += c == '"' ? std::string("&quot;") : std::string(1, c);
        const bool matrix = random() % 10 == 0;
        rows += std::string("<table:table-cell ") +
                (matrix ? "table:number-matrix-columns-spanned=\"1\" "
                          "table:number-matrix-rows-spanned=\"1\" "
                        : "") +
                "table:formula=\"of:=" + quoted + "\"/>";
      }
      rows += "</table:table-row>";
    }
    sheets += "<table:table table:name=\"" + std::string(s == 0 ? "S" : "T") + "\">" + rows +
              "</table:table>";
  }
  return support::flat_text(
      sheets +
      "<table:named-expressions>"
      "<table:named-range table:name=\"all_a\" table:cell-range-address=\"$S.$A$1:.$A$9\"/>"
      "<table:named-expression table:name=\"left_of\" table:base-cell-address=\"$S.$C$1\" "
      "table:expression=\"[.B1]\"/></table:named-expressions>");
}

TEST(Update, GivesInRandomBooksWhatCalculatingAllAnewGives) {
  const support::TemporaryFolder folder;
  std::mt19937_64 random(3);
  for (int book = 0; book < 60; ++book) {
    const std::string path = folder.path() / ("book" + std::to_string(book) + ".fods");
    const std::string text = random_book(random);
    support::write_file(path, text);
    Followed followed(path);
    for (int change = 0; change < 6; ++change) {
      Settings settings;
      for (std::uint64_t i = random() % 3 + 1; i > 0; --i) {
        const CellAddress cell{static_cast<std::int32_t>(random() % 2),
                               static_cast<std::int32_t>(random() % 9),
                               static_cast<std::int32_t>(random() % 2)};
        settings.emplace_back(cell, tried(Value(static_cast<double>(random() % 12)), random));
      }
      followed.set(settings);
      ASSERT_EQ(followed.difference(), "") << "change " << change << " of\n" << text;
    }
    // A formula gives way to a value.
    followed.set({{{0, static_cast<std::int32_t>(random() % 9), 3}, Value(2.5)}});
    ASSERT_EQ(followed.difference(), "") << "a formula set in\n" << text;
  }
}

const std::string kSmall = support::flat_rows(
    "<table:table-row><table:table-cell office:value-type=\"string\"><text:p>Fill</text:p>"
    "</table:table-cell><table:table-cell office:value-type=\"float\" office:value=\"160\"/>"
    "<table:table-cell office:value-type=\"string\"><text:p>g</text:p></table:table-cell>"
    "</table:table-row>"
    "<table:table-row><table:table-cell office:value-type=\"string\"><text:p>Cases</text:p>"
    "</table:table-cell><table:table-cell office:value-type=\"float\" office:value=\"3\"/>"
    "<table:table-cell office:value-type=\"float\" office:value=\"4\"/></table:table-row>"
    "<table:table-row><table:table-cell office:value-type=\"string\"><text:p>Twice</text:p>"
    "</table:table-cell><table:table-cell table:formula=\"of:=2*[.B1]\"/>"
    "<table:table-cell office:value-type=\"string\"><text:p>g</text:p></table:table-cell>"
    "</table:table-row>"
    "<table:table-row><table:table-cell table:formula=\"of:=SUM([.B2:.C2])\"/></table:table-row>",
    "",
    "<table:named-range table:name=\"twice\" table:cell-range-address=\"$S.$B$3\"/>"
    "<table:named-range table:name=\"fill\" table:cell-range-address=\"$S.$B$1\"/>"
    "<table:named-range table:name=\"cases\" table:cell-range-address=\"$S.$B$2:.$C$2\"/>"
    "<table:named-expression table:name=\"half\" table:expression=\"[.$B$1]/2\"/>");

class SmallBook : public testing::Test {
 protected:
  SmallBook() {
    path_ = folder_.path() / "small.fods";
    support::write_file(path_, kSmall);
  }
  support::TemporaryFolder folder_;
  std::string path_;
};

TEST_F(SmallBook, TellsInputsFromResults) {
  const Book book = opened(path_);
  const std::vector<NamedCells> inputs = book.inputs();
  ASSERT_EQ(inputs.size(), 2U);
  EXPECT_EQ(inputs[0].name, "fill");
  EXPECT_EQ(inputs[0].label, "Fill");
  EXPECT_EQ(inputs[0].unit, "g");
  EXPECT_EQ(inputs[0].place, "S.B1");
  EXPECT_EQ(inputs[0].values.cells()[0].number(), 160);
  EXPECT_EQ(inputs[1].name, "cases");
  EXPECT_EQ(inputs[1].place, "S.B2:C2");
  EXPECT_EQ(inputs[1].values.columns(), 2U);
  const std::vector<NamedCells> results = book.results();
  ASSERT_EQ(results.size(), 1U);
  EXPECT_EQ(results[0].name, "twice");
  EXPECT_EQ(book.names().size(), 3U);
}

TEST_F(SmallBook, WorksOutOnlyWhatAChangeReaches) {
  Book book = opened(path_);
  EXPECT_EQ(book.update(), 2);  // what was just opened
  EXPECT_EQ(book.update(), 0);
  ASSERT_TRUE(book.set("fill", "200"));
  EXPECT_EQ(book.update(), 1);
  EXPECT_EQ(book.calculated(), 1);
  EXPECT_EQ(book.cell("S.B3")->number(), 400);
  const Result<CellAddress> fill = book.find("fill");
  ASSERT_TRUE(fill);
  for (double value : {10.0, 20.0}) {
    ASSERT_TRUE(book.set(*fill, value));
    EXPECT_EQ(book.update(), 1);
    EXPECT_EQ(book.cell({0, 2, 1}).number(), 2 * value);
  }
}

TEST_F(SmallBook, RefusesCellsAndValuesThatCannotBe) {
  Book book = opened(path_);
  EXPECT_FALSE(book.set({1, 0, 0}, 1.0));
  EXPECT_FALSE(book.set({-1, 0, 0}, 1.0));
  EXPECT_FALSE(book.set({0, kMaxRows, 0}, 1.0));
  EXPECT_FALSE(book.set({0, 0, -1}, 1.0));
  EXPECT_FALSE(book.set({0, 0, 1}, std::numeric_limits<double>::quiet_NaN()));
  EXPECT_FALSE(book.set({0, 0, 1}, std::numeric_limits<double>::infinity()));
  EXPECT_TRUE(book.cell({7, 0, 0}).is_empty());
  EXPECT_FALSE(book.find("half"));
  EXPECT_FALSE(book.find("cases"));
  EXPECT_FALSE(book.find("nobody"));
  EXPECT_EQ(book.cell("S.B1")->number(), 160);
}

TEST_F(SmallBook, SaysWhatOfTheFileWasPassedOver) {
  EXPECT_TRUE(opened(path_).remarks().empty());
  const std::string path = folder_.path() / "tall.fods";
  support::write_file(
      path, support::flat_rows(
                "<table:table-row table:number-rows-repeated=\"1048576\"><table:table-cell/>"
                "</table:table-row><table:table-row><table:table-cell office:value-type=\"float\" "
                "office:value=\"1\"/></table:table-row>"));
  const Book book = opened(path);
  ASSERT_EQ(book.remarks().size(), 1U);
  EXPECT_NE(book.remarks()[0].find("\"S\" has values right of column XFD or below row 1048576"),
            std::string::npos)
      << book.remarks()[0];
}

}  // namespace
}  // namespace loftledger
