// Every example of every record gives what the record says.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <cmath>

#include "engine/planning/catalogue.hpp"
#include "tests/support/tables/call_reader.hpp"

namespace loftledger::catalogue {
namespace {

constexpr double kTolerance = 1e-9;

// Nothing where the value is as expected, else what it is.
std::optional<std::string> differs(const Value& got, const Expected& expected) {
  const std::string is = got.is_error()
                             ? fmt::format("{} ({})", shown(got.code()), got.error().text())
                         : got.is_text() ? fmt::format("\"{}\"", got.text())
                                         : fmt::format("{}", got.number());
  if (const double* number = std::get_if<double>(&expected)) {
    const double scale = *number == 0 ? 1 : std::abs(*number);
    const bool near =
        got.kind() == Value::Kind::number && std::abs(got.number() - *number) <= kTolerance * scale;
    return near ? std::nullopt : std::optional(is);
  }
  if (const auto* text = std::get_if<std::string_view>(&expected)) {
    return got.is_text() && got.text() == *text ? std::nullopt : std::optional(is);
  }
  if (const bool* truth = std::get_if<bool>(&expected)) {
    return got.is_boolean() && (got.number() != 0) == *truth ? std::nullopt : std::optional(is);
  }
  return got.code() == std::get<Code>(expected) ? std::nullopt : std::optional(is);
}

TEST(Examples, EachGivesWhatItsRecordSays) {
  ASSERT_FALSE(planning::catalogue().functions().empty());
  for (const Function* function : planning::catalogue().functions()) {
    int values = 0;
    int errors = 0;
    for (const Example& example : function->examples) {
      SCOPED_TRACE(std::string(example.formula));
      support::Cells cells;
      if (!example.given.empty()) {
        Result<Value> given = support::evaluate_one(example.given);
        ASSERT_TRUE(given) << given.error().text();
        cells["A1"] = *given;
      }
      Result<Value> got = support::evaluate_one(example.formula, cells);
      ASSERT_TRUE(got) << got.error().text();
      const std::optional<std::string> wrong = differs(*got, example.expected);
      EXPECT_FALSE(wrong) << "it is " << wrong.value_or("");
      ++(std::holds_alternative<Code>(example.expected) ? errors : values);
    }
    EXPECT_GE(values, 1) << function->record.name;
    EXPECT_GE(errors, 1) << function->record.name;
  }
}

TEST(Examples, TheComparisonCanFail) {
  EXPECT_FALSE(differs(Value(2.0), 2.0));
  EXPECT_TRUE(differs(Value(2.0), 2.00001));
  EXPECT_TRUE(differs(Value(0.0), std::string_view("")));
  EXPECT_TRUE(differs(Value("a"), std::string_view("b")));
  EXPECT_TRUE(differs(Value::boolean(true), 1.0));
  EXPECT_TRUE(differs(Value::boolean(true), false));
  EXPECT_TRUE(differs(Value(1.0), Code::argument));
  EXPECT_TRUE(differs(Value(Code::value), Code::argument));
}

}  // namespace
}  // namespace loftledger::catalogue
