// What Calc hands over at the edges: left out, empty, too many, ranges, texts, truths, errors.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include "tests/office/visit.hpp"

namespace loftledger::office {
namespace {

struct Case {
  const char* formula;  // with F for the stored name's beginning
  Value expected;
};

// Column A of the sheet: 1 a number, 2 empty, 3 a text with a unit, 4 a truth, 5 and 6 errors,
// 7 a text that is no quantity, 8 a text of spaces.
void givens(FlatDocument& out) {
  out.value(0, 0, Value(10.0));
  out.value(2, 0, Value("10 kg"));
  out.formula(3, 0, "of:=TRUE()");
  out.formula(4, 0, "of:=1/0");
  out.formula(5, 0, "of:=NA()");
  out.value(6, 0, Value("ten"));
  out.value(7, 0, Value("  "));
}

const std::vector<Case>& cases() {
  static const std::vector<Case> all = {
      // Left out, from the end and in the middle.
      {"F.BODIESPERCASE(10;0.5)", Value(20.0)},
      {"F.BODIESPERCASE(10;0.5;)", Value(20.0)},
      {"F.COSTPERBODY(66;105;;5)", Value(71.0 / 105)},
      {"F.BODIESPERCASE(10)", Value(Code::argument)},
      {"F.BODIESPERCASE()", Value(Code::argument)},
      {"F.BODIESPERCASE(;0.5)", Value(Code::argument)},
      {"F.BODIESPERCASE(10;0.5;0;1)", Value(Code::parameters)},
      // Empty cells count as 0, alone and as an only cell of a range.
      {"F.BODIESPERCASE(10;0.5;[.A2])", Value(20.0)},
      {"F.BODIESPERCASE([.A2];0.5)", Value(Code::argument)},
      {"F.BODIESPERCASE(10;0.5;[.A2:.A2])", Value(20.0)},
      // A range where one cell is due.
      {"F.BODIESPERCASE([.A1:.A2];0.5)", Value(Code::argument)},
      {"F.BODIESPERCASE([.A1:.A1];0.5)", Value(20.0)},
      {"F.BODIESPERCASE({10;20};0.5)", Value(Code::argument)},
      // Texts.
      {"F.BODIESPERCASE([.A3];\"160 g\")", Value(62.5)},
      {"F.BODIESPERCASE([.A3];0.16)", Value(Code::argument)},
      {"F.BODIESPERCASE(\"10\";\"0.5\")", Value(20.0)},
      {"F.BODIESPERCASE([.A7];0.5)", Value(Code::argument)},
      {"F.BODIESPERCASE([.A8];0.5)", Value(Code::argument)},
      {"F.BODIESPERCASE(\"\";0.5)", Value(Code::argument)},
      {"F.QUANTITY([.A3];\"g\")", Value(10000.0)},
      {"F.QUANTITY([.A3];5)", Value(Code::argument)},
      // Truths are 1 and 0.
      {"F.BODIESPERCASE([.A4];0.5)", Value(2.0)},
      {"F.BODIESPERCASE(10;0.5;FALSE())", Value(20.0)},
      // Errors come out as they went in; a range with one does not fit.
      {"F.BODIESPERCASE([.A5];0.5)", Value(Code::division)},
      {"F.BODIESPERCASE(10;0.5;[.A6])", Value(Code::not_available)},
      {"F.BODIESPERCASE([.A5];[.A6])", Value(Code::not_available)},
      {"F.BODIESPERCASE([.A6];[.A5])", Value(Code::division)},
      {"F.BODIESPERCASE([.A5:.A6];0.5)", Value(Code::parameters)},
      {"F.BODIESPERCASE(1/{1;0};0.5)", Value(Code::division)},
      // A reference where one cell is due, and nothing else.
      {"F.REASON([.A1])", Value("")},
      {"F.REASON([.A1:.A2])", Value(Code::parameters)},
      {"F.REASON(\"A1\")", Value(Code::parameters)},
      {"F.REASON()", Value(Code::parameters)},
      // Too large for a number.
      {"F.LOFTFACTOR(1E-300;1E300)", Value(Code::number)},
      // The stored name is read without regard to case.
      {"loftledger.planning.loftFactor(2;15)", Value(7.5)},
  };
  return all;
}

std::string stored(std::string formula) {
  if (formula.starts_with("F.")) formula = "LOFTLEDGER.PLANNING" + formula.substr(1);
  return "of:=" + formula;
}

FlatDocument document() {
  FlatDocument out;
  givens(out);
  for (std::size_t i = 0; i < cases().size(); ++i) {
    out.formula(static_cast<std::int32_t>(i), 1, stored(cases()[i].formula));
  }
  return out;
}
const Registered kDocument("arguments", document);

void expect_table(const FlatCells& cells) {
  ASSERT_EQ(cells.problem, "");
  for (std::size_t i = 0; i < cases().size(); ++i) {
    const Case& each = cases()[i];
    const Value got = cells.at("Sheet1", static_cast<std::int32_t>(i), 1);
    SCOPED_TRACE(each.formula);
    EXPECT_EQ(shown(got.code()), shown(each.expected.code()));
    if (each.expected.is_numeric()) {
      EXPECT_TRUE(got.is_numeric());
      EXPECT_DOUBLE_EQ(got.number(), each.expected.number());
    } else if (each.expected.is_text()) {
      EXPECT_EQ(got.text(), each.expected.text());
    }
  }
}

TEST(OfficeArguments, AreTakenAsThisTableSays) {
  ASSERT_EQ(Visit::get().problem(), "");
  expect_table(Visit::get().cells("arguments"));
}

TEST(OfficeArguments, AreTakenByTheEngineInTheSameWay) {
  expect_table(calculated_by_engine(document()));
}

}  // namespace
}  // namespace loftledger::office
