// Every row of tests/data/refusals is refused, in words that help; and the checker can fail.
#include <gtest/gtest.h>

#include "tests/support/tables/tables.hpp"

namespace loftledger::support {
namespace {

class Refusals : public testing::TestWithParam<std::filesystem::path> {};

TEST_P(Refusals, EveryRowIsRefused) {
  std::string problem;
  const TextTable table = read_table(GetParam(), kRefusalHeader, problem);
  EXPECT_EQ(problem, "");
  EXPECT_FALSE(table.rows.empty());
  for (const Row& row : table.rows) {
    const std::optional<std::string> wrong = check_refusal(row);
    EXPECT_FALSE(wrong) << table.name << ".tsv:" << row.line << " " << row.fields[0] << ": "
                        << wrong.value_or("");
  }
}

std::string table_name(const testing::TestParamInfo<std::filesystem::path>& info) {
  return info.param.stem().string();
}
INSTANTIATE_TEST_SUITE_P(Tables, Refusals, testing::ValuesIn(table_files("refusals")), table_name);

Row row(std::string formula, std::string error, std::string fragment) {
  return {1, {std::move(formula), std::move(error), std::move(fragment)}};
}

TEST(RefusalChecker, PassesWhatIsRefusedAsItShould) {
  EXPECT_FALSE(check_refusal(row("=LOFTFACTOR(0;15)", "Err:502", "more than 0")));
}

TEST(RefusalChecker, FailsTheRest) {
  EXPECT_TRUE(check_refusal(row("=LOFTFACTOR(2;15)", "Err:502", "more than 0")));
  EXPECT_TRUE(check_refusal(row("=LOFTFACTOR(0;15)", "#VALUE!", "more than 0")));
  EXPECT_TRUE(check_refusal(row("=LOFTFACTOR(0;15)", "Err:502", "less than 0")));
  EXPECT_TRUE(check_refusal(row("=LOFTFACTOR(0;15)", "Err:502", "")));
  EXPECT_TRUE(check_refusal(row("=LOFTFACTOR(0;15", "Err:508", "bracket")));
  // The error of an inner call does not name the outer one.
  EXPECT_TRUE(check_refusal(row("=BODIESPERCASE(LOFTFACTOR(0;15);1)", "Err:502", "more than 0")));
}

}  // namespace
}  // namespace loftledger::support
