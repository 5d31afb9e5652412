// An array formula over a range of another shape than the result: what does not belong there says
// so, in Calc, instead of showing a number.
#include <gtest/gtest.h>

#include "tests/office/visit.hpp"
#include "tests/support/office/stored_formula.hpp"

namespace loftledger::office {
namespace {

constexpr std::string_view kColumn = "=ALLOCATE(100;{1|1|1})";
constexpr std::string_view kLedger = "=STOCKLEDGER({10|6|-12};{90|96|0})";
constexpr std::string_view kUneven = "=STOCKLEDGER({10|6|-12};{90|96})";

FlatDocument document() {
  FlatDocument out;
  out.sheet("Arrays");
  out.array(0, 0, 5, 1, support::stored_formula(kColumn));
  out.array(0, 2, 4, 4, support::stored_formula(kLedger));
  out.array(0, 7, 3, 3, support::stored_formula(kUneven));
  out.array(10, 0, 1, 3, support::stored_formula(kColumn));
  return out;
}
const Registered kDocument("arrays", document);

Value at(std::int32_t row, std::int32_t column) {
  return Visit::get().cells("arrays").at("Arrays", row, column);
}

TEST(OfficeArrays, CellsBeyondTheResultAreNotAvailable) {
  ASSERT_EQ(Visit::get().problem(), "");
  EXPECT_EQ(at(0, 0).number(), 33.34);
  EXPECT_EQ(at(2, 0).number(), 33.33);
  EXPECT_EQ(at(3, 0).code(), Code::not_available);
  EXPECT_EQ(at(4, 0).code(), Code::not_available);
  EXPECT_EQ(at(2, 2).number(), -1092);
  EXPECT_EQ(at(2, 4).number(), 384);
  EXPECT_EQ(at(3, 2).code(), Code::not_available);
  EXPECT_EQ(at(0, 5).code(), Code::not_available);
}

// A rule of the office, not of ours; the reference warns of it.
TEST(OfficeArrays, AColumnFilledAlongARowRepeatsItsFirstCell) {
  ASSERT_EQ(Visit::get().problem(), "");
  for (std::int32_t column = 0; column < 3; ++column) EXPECT_EQ(at(10, column).number(), 33.34);
}

TEST(OfficeArrays, RangesThatDoNotMatchAreRefusedInEveryCell) {
  ASSERT_EQ(Visit::get().problem(), "");
  for (std::int32_t row = 0; row < 3; ++row) {
    for (std::int32_t column = 7; column < 10; ++column) {
      EXPECT_EQ(at(row, column).code(), Code::argument) << row << " " << column;
    }
  }
}

}  // namespace
}  // namespace loftledger::office
