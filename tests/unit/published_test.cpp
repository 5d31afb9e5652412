// Every row of tests/data/published holds; and the checker itself can fail.
#include <gtest/gtest.h>

#include <map>
#include <set>

#include "tests/support/tables/tables.hpp"

namespace loftledger::support {
namespace {

class Published : public testing::TestWithParam<std::filesystem::path> {};

TEST_P(Published, EveryRowHolds) {
  std::string problem;
  const TextTable table = read_table(GetParam(), kPublishedHeader, problem);
  EXPECT_EQ(problem, "");
  // What a table must not shrink below.
  static const std::map<std::string, std::size_t> kFewest = {
      {"fibre", 60}, {"trade", 20}, {"orders", 115}, {"day", 105}};
  const auto fewest = kFewest.find(table.name);
  EXPECT_GE(table.rows.size(), fewest == kFewest.end() ? 1 : fewest->second);
  std::set<std::string> ids;
  for (const Row& row : table.rows) {
    EXPECT_TRUE(ids.insert(row.fields[0]).second) << row.fields[0] << " stands twice";
    const std::optional<std::string> wrong = check_published(row);
    EXPECT_FALSE(wrong) << table.name << ".tsv:" << row.line << " " << row.fields[0] << " "
                        << row.fields[1] << ": " << wrong.value_or("");
  }
}

std::string table_name(const testing::TestParamInfo<std::filesystem::path>& info) {
  return info.param.stem().string();
}
INSTANTIATE_TEST_SUITE_P(Tables, Published, testing::ValuesIn(table_files("published")),
                         table_name);

Row row(std::string formula, std::string expected, std::string tolerance = "1e-9",
        std::string source = "definition", std::string status = "derived here") {
  return {1,
          {"id", std::move(formula), std::move(expected), std::move(tolerance), std::move(source),
           std::move(status)}};
}

TEST(PublishedChecker, PassesWhatIsRight) {
  EXPECT_FALSE(check_published(row("=LOFTFACTOR(2;15)", "7.5", "0")));
  EXPECT_FALSE(check_published(row("=LOFTFACTOR(2;15)*2-1", "14", "0")));
  EXPECT_FALSE(check_published(row("=REASON(A1)", "\"\"")));
  EXPECT_FALSE(
      check_published(row("=LOFTFACTOR(2;15)", "7.6", "0.02", "a book", "excerpt; recomputed")));
}

TEST(PublishedChecker, FailsWhatIsWrong) {
  EXPECT_TRUE(check_published(row("=LOFTFACTOR(2;15)", "7.6")));
  EXPECT_TRUE(check_published(row("=LOFTFACTOR(2;15)", "7.50000001", "1e-10")));
  EXPECT_TRUE(check_published(row("=LOFTFACTOR(2;15)", "-7.5")));
  EXPECT_TRUE(check_published(row("=LOFTFACTOR(2;15)", "\"7.5\"")));
  EXPECT_TRUE(check_published(row("=LOFTFACTOR(2;15)", "TRUE")));
  EXPECT_TRUE(check_published(row("=LOFTFACTOR(0;15)", "0")));
  EXPECT_TRUE(check_published(row("=REASON(A1)", "0")));
  EXPECT_TRUE(check_published(row("=REASON(A1)", "\"x\"")));
  EXPECT_TRUE(check_published(row("=NOSUCHTHING(1)", "1")));
  EXPECT_TRUE(check_published(row("=LOFTFACTOR(2;15", "7.5")));
  EXPECT_TRUE(check_published(row("=LOFTFACTOR(2;15)", "")));
  EXPECT_TRUE(check_published(row("=LOFTFACTOR(2;15)", "7.5", "")));
  EXPECT_TRUE(check_published(row("=LOFTFACTOR(2;15)", "7.5", "1")));
  EXPECT_TRUE(check_published(row("=LOFTFACTOR(2;15)", "7.5", "0", "")));
  EXPECT_TRUE(check_published(row("=LOFTFACTOR(2;15)", "7.5", "0", "a book", "sure")));
}

}  // namespace
}  // namespace loftledger::support
