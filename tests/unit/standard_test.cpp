// Evaluates the rows of tests/data/standard: formula, expected value, where the value comes from.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <set>

#include "engine/calc/calculator.hpp"
#include "engine/formula/parse.hpp"
#include "engine/planning/catalogue.hpp"
#include "engine/standard/call/call.hpp"
#include "engine/standard/registry.hpp"
#include "tests/support/tables/standard_table.hpp"
#include "tests/support/tables/tables.hpp"

namespace loftledger::standard {
namespace {

using support::shown_value;
using support::split;

bool agree(const Value& got, const Value& wanted) {
  if (wanted.is_error()) return got.is_error() && got.code() == wanted.code();
  if (wanted.is_text()) return got.is_text() && got.text() == wanted.text();
  if (wanted.is_empty()) return got.is_empty();
  if (wanted.is_boolean() && !got.is_boolean()) return false;
  if (!got.is_numeric()) return false;
  const double size = std::max(std::fabs(wanted.number()), std::fabs(got.number()));
  return std::fabs(got.number() - wanted.number()) <= 1e-12 * size;
}

// One file.
class Table {
 public:
  explicit Table(const std::filesystem::path& path) : name_(path.filename()) {
    workbook_.add_sheet("Data");
    workbook_.settings.case_sensitive = false;
    workbook_.settings.regular_expressions = false;
    workbook_.settings.wildcards = true;
    for (const support::StandardLine& line : support::read_standard_table(path)) {
      line_ = line.number;
      if (line.fills) {
        fill(line.fields);
      } else {
        check(line.fields);
      }
    }
  }
  int checks() const { return checks_; }

 private:
  void fill(const std::vector<std::string>& fields) {
    CellAddress at = parse_cell(fields[0].substr(1)).value();
    for (std::size_t i = 1; i < fields.size(); ++i, ++at.row) {
      if (fields[i].starts_with('=')) {
        const auto tree = formula::parse(fields[i], formula::Syntax::plain);
        ASSERT_TRUE(tree) << fields[i];
        const std::string stored = formula::print(*tree, formula::Syntax::open_formula);
        workbook_.sheet(0).set_formula(at.row, at.column, workbook_.intern(stored, at));
      } else {
        workbook_.sheet(0).set(at.row, at.column, support::standard_value(fields[i]));
      }
    }
    calculator_.reset();
  }

  void check(const std::vector<std::string>& fields) {
    SCOPED_TRACE(name_ + ":" + std::to_string(line_) + ": " + fields[0]);
    ASSERT_EQ(fields.size(), 3U) << "formula, expected value and source, with tabs between";
    ++checks_;
    if (!calculator_) {
      calculator_ = std::make_unique<calc::Calculator>(workbook_, planning::catalogue(),
                                                       calc::Surroundings{0, 1});
      calculator_->recalculate();
    }
    if (fields[0].starts_with('{')) {
      check_array(fields[0].substr(1, fields[0].size() - 2), fields[1]);
      return;
    }
    const auto tree = formula::parse(fields[0], formula::Syntax::plain);
    ASSERT_TRUE(tree) << tree.error().text();
    const Value got = single(calculator_->evaluate(*tree, kFrom), calculator_->cells(), kFrom);
    EXPECT_TRUE(agree(got, support::standard_value(fields[1])))
        << "got " << shown_value(got) << ", expected " << fields[1];
  }

  // A matrix formula over as many cells as values are expected ("{1;2|3;4}").
  void check_array(const std::string& formula, const std::string& expected) {
    const auto tree = formula::parse(formula, formula::Syntax::plain);
    ASSERT_TRUE(tree) << tree.error().text();
    const std::vector<std::string> rows = split(expected.substr(1, expected.size() - 2), '|');
    const std::size_t columns = split(rows[0], ';').size();
    next_array_.row += static_cast<std::int32_t>(rows.size());
    const CellAddress at = next_array_;
    const Area span{at.sheet,  at.sheet,
                    at.row,    at.row + static_cast<std::int32_t>(rows.size()) - 1,
                    at.column, at.column + static_cast<std::int32_t>(columns) - 1};
    const std::string stored = formula::print(*tree, formula::Syntax::open_formula);
    workbook_.sheet(0).add_matrix({span, workbook_.intern(stored, at)});
    next_array_.row += static_cast<std::int32_t>(rows.size());
    calculator_ = std::make_unique<calc::Calculator>(workbook_, planning::catalogue(),
                                                     calc::Surroundings{0, 1});
    calculator_->recalculate();
    for (std::size_t r = 0; r < rows.size(); ++r) {
      const std::vector<std::string> row = split(rows[r], ';');
      ASSERT_EQ(row.size(), columns);
      for (std::size_t c = 0; c < columns; ++c) {
        const Value got = calculator_->cells().at({at.sheet, at.row + static_cast<std::int32_t>(r),
                                                   at.column + static_cast<std::int32_t>(c)});
        EXPECT_TRUE(agree(got, support::standard_value(row[c])))
            << "row " << r + 1 << ", column " << c + 1 << ": got " << shown_value(got)
            << ", expected " << row[c];
      }
    }
  }

  // Beside no row and no column that holds data.
  static constexpr CellAddress kFrom{0, 5000, 200};
  CellAddress next_array_{0, 6000, 300};
  std::string name_;
  int line_ = 0;
  int checks_ = 0;
  sheet::Workbook workbook_;
  std::unique_ptr<calc::Calculator> calculator_;
};

class StandardTable : public testing::TestWithParam<std::filesystem::path> {};

TEST_P(StandardTable, EveryRowHolds) {
  const Table table(GetParam());
  EXPECT_GT(table.checks(), 0);
}

// What random formulas led to stands in tables by itself, which none are drawn from: so a row that
// is added leaves the formulas of a seed as they are.
std::vector<std::filesystem::path> tables() {
  std::vector<std::filesystem::path> out = support::table_files("standard");
  for (const std::filesystem::path& path : support::table_files("found")) out.push_back(path);
  return out;
}

std::string table_name(const testing::TestParamInfo<std::filesystem::path>& info) {
  return info.param.stem().string();
}

INSTANTIATE_TEST_SUITE_P(Standard, StandardTable, testing::ValuesIn(tables()), table_name);

TEST(StandardRegistry, NamesAreUnique) {
  std::set<std::string_view> names;
  for (const StandardFunction* function : all_functions()) {
    EXPECT_TRUE(names.insert(function->name).second) << function->name;
    EXPECT_EQ(find_function(function->name), function);
  }
}

}  // namespace
}  // namespace loftledger::standard
