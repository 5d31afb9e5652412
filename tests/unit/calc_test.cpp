// Runs the scripts of tests/data/recalc, and what is too large for a script.
#include "engine/calc/calculator.hpp"

#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>
#include <sstream>

#include "engine/base/number_text.hpp"
#include "engine/planning/catalogue.hpp"
#include "engine/standard/values/arithmetic.hpp"

namespace loftledger::calc {
namespace {

std::string trimmed(std::string text) {
  const std::size_t first = text.find_first_not_of(" \t");
  if (first == std::string::npos) return {};
  return text.substr(first, text.find_last_not_of(" \t\r") - first + 1);
}

std::string unquoted(const std::string& text) {
  return text.size() >= 2 && text.front() == '"' && text.back() == '"'
             ? text.substr(1, text.size() - 2)
             : text;
}

Value literal(const std::string& text) {
  if (const auto number = read_number(text)) return *number;
  if (text == "TRUE" || text == "FALSE") return Value::boolean(text == "TRUE");
  return Value(unquoted(text));
}

class Script {
 public:
  explicit Script(const std::filesystem::path& path) : name_(path.filename()) {
    workbook_.add_sheet("Plan");
    std::ifstream in(path);
    std::string line;
    while (std::getline(in, line)) {
      ++line_;
      line = trimmed(line);
      if (!line.empty() && line[0] != '#') step(line);
    }
  }
  int checks() const { return checks_; }

 private:
  CellAddress cell(const std::string& text) const {
    CellAddress a = parse_cell(text).value();
    a.sheet = sheet_;
    return a;
  }

  void step(const std::string& line) {
    SCOPED_TRACE(name_ + ":" + std::to_string(line_) + ": " + line);
    std::istringstream words(line);
    std::string first;
    std::string second;
    words >> first;
    if (first == "calc") {
      calculator().recalculate();
    } else if (first == "update") {
      calculator().update();
    } else if (first == "calculated") {
      std::int64_t cells = 0;
      words >> cells;
      EXPECT_EQ(calculator().calculated(), cells);
      ++checks_;
    } else if (first == "sheet") {
      words >> first;
      const auto found = workbook_.find_sheet(first);
      sheet_ = found ? *found : workbook_.add_sheet(first);
      calculator_.reset();
    } else if (first == "name" || first == "local") {
      name(first == "local", words);
    } else if (first == "set") {
      words >> second;
      std::string rest;
      std::getline(words, rest);
      calculator().set(cell(second), literal(trimmed(rest)));
    } else if (first == "expect") {
      expect(words);
    } else {
      std::string rest;
      words >> second;
      std::getline(words, rest);
      fill(first, second, trimmed(rest));
    }
  }

  void name(bool local, std::istringstream& words) {
    sheet::NamedExpression named;
    std::string word;
    if (local) {
      words >> word;
      named.scope = workbook_.find_sheet(word).value();
    }
    words >> named.name >> word;
    std::string rest;
    std::getline(words, rest);
    rest = trimmed(rest);
    const std::size_t from = rest.find(" from ");
    named.base.sheet = sheet_;
    if (from != std::string::npos) {
      named.base = cell(rest.substr(from + 6));
      rest = rest.substr(0, from);
    }
    named.expression = rest;
    workbook_.add_name(named);
  }

  void fill(const std::string& place, const std::string& how, const std::string& what) {
    sheet::Sheet& sheet = workbook_.sheet(sheet_);
    if (how == "=") {
      const CellAddress a = cell(place);
      sheet.set(a.row, a.column, literal(what));
    } else if (how == ":=") {
      const CellAddress a = cell(place);
      sheet.set_formula(a.row, a.column, workbook_.intern(what, a));
    } else if (how == "{}") {
      const CellAddress a = cell(place.substr(0, place.find(':')));
      const CellAddress b = cell(place.substr(place.find(':') + 1));
      sheet.add_matrix(
          {Area{sheet_, sheet_, a.row, b.row, a.column, b.column}, workbook_.intern(what, a)});
    } else {
      FAIL() << "no such step";
    }
    calculator_.reset();
  }

  void expect(std::istringstream& words) {
    std::string place;
    std::string rest;
    words >> place;
    std::getline(words, rest);
    rest = trimmed(rest);
    const Value value = workbook_.get(cell(place));
    ++checks_;
    const std::string head = rest.substr(0, rest.find(' '));
    if (const Code code = code_of(head); code != Code::none) {
      ASSERT_TRUE(value.is_error()) << to_text_for_message(value);
      EXPECT_EQ(shown(value.code()), head);
      const std::string words_due = unquoted(trimmed(rest.substr(head.size())));
      EXPECT_NE(value.error().text().find(words_due), std::string_view::npos)
          << value.error().text();
      return;
    }
    ASSERT_FALSE(value.is_error()) << shown(value.code()) << " " << value.error().text();
    const Value due = literal(rest);
    if (due.is_text()) {
      EXPECT_EQ(value.text(), due.text());
    } else {
      EXPECT_TRUE(standard::nearly_equal(value.number(), due.number()))
          << to_text_for_message(value);
    }
  }

  static std::string to_text_for_message(const Value& value) {
    return value.is_text() ? std::string(value.text()) : number_text(value.number());
  }

  Calculator& calculator() {
    if (!calculator_)
      calculator_ = std::make_unique<Calculator>(workbook_, planning::catalogue(), Surroundings{});
    return *calculator_;
  }

  std::string name_;
  int line_ = 0;
  int checks_ = 0;
  std::int32_t sheet_ = 0;
  sheet::Workbook workbook_;
  std::unique_ptr<Calculator> calculator_;
};

TEST(Recalculation, FollowsTheScripts) {
  int scripts = 0;
  for (const auto& entry :
       std::filesystem::directory_iterator(LOFTLEDGER_SOURCE "/tests/data/recalc")) {
    const Script script(entry.path());
    EXPECT_GT(script.checks(), 0) << entry.path();
    ++scripts;
  }
  EXPECT_GE(scripts, 6);
}

void put(sheet::Workbook& workbook, CellAddress a, const std::string& formula) {
  workbook.sheet(a.sheet).set_formula(a.row, a.column, workbook.intern(formula, a));
}

TEST(Recalculation, AChainOfAHundredThousandInWorstOrderIsFine) {
  // Each cell needs the one below it; and no two formulas have the same shape, so that nothing but
  // the order of needs can help.
  constexpr std::int32_t kLength = 100000;
  sheet::Workbook workbook;
  workbook.add_sheet("S");
  for (std::int32_t row = 0; row < kLength; ++row) {
    put(workbook, {0, row, 0}, "[." + cell_name(row + 1, 0) + "]+1+0*" + std::to_string(row));
  }
  workbook.sheet(0).set(kLength, 0, 1.0);
  Calculator calculator(workbook, planning::catalogue(), {});
  calculator.recalculate();
  EXPECT_EQ(workbook.get({0, 0, 0}).number(), kLength + 1);
  calculator.set({0, kLength, 0}, 2.0);
  calculator.update();
  EXPECT_EQ(workbook.get({0, 0, 0}).number(), kLength + 2);
  EXPECT_EQ(calculator.calculated(), kLength);
}

TEST(Recalculation, AChainThroughTwoColumnsIsWorkedOutOnDemand) {
  constexpr std::int32_t kLength = 20000;
  sheet::Workbook workbook;
  workbook.add_sheet("S");
  workbook.sheet(0).set(0, 1, 1.0);
  for (std::int32_t row = 1; row < kLength; ++row) {
    put(workbook, {0, row, 0}, "[." + cell_name(row - 1, 1) + "]+1");
    put(workbook, {0, row, 1}, "[." + cell_name(row, 0) + "]*1");
  }
  Calculator calculator(workbook, planning::catalogue(), {});
  calculator.recalculate();
  EXPECT_EQ(workbook.get({0, kLength - 1, 1}).number(), kLength);
}

TEST(Recalculation, AReplacedCellIsFollowedThroughALongChain) {
  constexpr std::int32_t kLength = 50000;
  sheet::Workbook workbook;
  workbook.add_sheet("S");
  workbook.sheet(0).set(0, 0, 1.0);
  workbook.sheet(0).set(0, 1, 100.0);
  for (std::int32_t row = 1; row < kLength; ++row) {
    put(workbook, {0, row, 0}, "[." + cell_name(row - 1, 0) + "]+1");
  }
  put(workbook, {0, 1, 1}, "MULTIPLE.OPERATIONS([.A50000];[.A1];[.B1])");
  Calculator calculator(workbook, planning::catalogue(), {});
  calculator.recalculate();
  EXPECT_EQ(workbook.get({0, kLength - 1, 0}).number(), kLength);
  EXPECT_EQ(workbook.get({0, 1, 1}).number(), kLength + 99);
}

TEST(Recalculation, AChainThroughSheetsInWorstOrderIsFine) {
  // Links of several kinds, each on another sheet than the next; the first of all sheets and rows
  // needs all others.
  constexpr std::int32_t kSheets = 4;
  constexpr std::int32_t kRows = 25000;
  const std::vector<std::string> links = {"[$S%.A#]+1", "SUM([$S%.A#];1)",
                                          "IF([$S%.A#]>0;[$S%.A#]+1;0)", "INDIRECT(\"S%.A#\")+1"};
  sheet::Workbook workbook;
  for (std::int32_t s = 0; s < kSheets; ++s) workbook.add_sheet("S" + std::to_string(s));
  for (std::int32_t row = 0; row < kRows; ++row) {
    for (std::int32_t s = 0; s < kSheets; ++s) {
      const bool last = s == kSheets - 1;
      std::string text;
      for (const char c : links[static_cast<std::size_t>(row + s) % links.size()]) {
        text += c == '%'   ? std::to_string(last ? 0 : s + 1)
                : c == '#' ? std::to_string(row + 1 + (last ? 1 : 0))
                           : std::string(1, c);
      }
      // INDIRECT reads the address as it is shown.
      put(workbook, {s, row, 0}, text);
    }
  }
  workbook.sheet(0).set(kRows, 0, 1.0);
  Calculator calculator(workbook, planning::catalogue(), {});
  calculator.recalculate();
  EXPECT_EQ(workbook.get({0, 0, 0}).number(), kSheets * kRows + 1);
  calculator.set({0, kRows, 0}, 2.0);
  calculator.update();
  EXPECT_EQ(workbook.get({0, 0, 0}).number(), kSheets * kRows + 2);
}

}  // namespace
}  // namespace loftledger::calc
