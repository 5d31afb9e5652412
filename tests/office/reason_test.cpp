// REASON in Calc: the sentence follows references, sheets and names to where the error arose.
#include <gtest/gtest.h>

#include "tests/office/visit.hpp"

namespace loftledger::office {
namespace {

struct Case {
  const char* looked_at;  // the formula in column A
  const char* sentence;   // of REASON in column B; empty where the cell is fine
};

const std::vector<Case>& cases() {
  static const std::vector<Case> all = {
      // An argument of its own.
      {"of:=LOFTLEDGER.PLANNING.LOFTFACTOR(0;15)",
       "LOFTFACTOR: packed volume is 0; it must be more than 0"},
      // From a cell of this sheet, of another one, and of one whose name needs quotes.
      {"of:=LOFTLEDGER.PLANNING.LOFTFACTOR([.D1];15)",
       "LOFTFACTOR: packed volume is 0; it must be more than 0"},
      {"of:=LOFTLEDGER.PLANNING.LOFTFACTOR([$Inputs.B2];15)",
       "LOFTFACTOR: packed volume is -3; it must be more than 0"},
      {"of:=LOFTLEDGER.PLANNING.LOFTFACTOR([$'Last year''s'.A1];15)",
       "LOFTFACTOR: packed volume is \"many\""},
      // Handed on by a plain formula: the sentence says where it arose.
      {"of:=[.A1]*2", "Checks.A1: LOFTFACTOR: packed volume is 0; it must be more than 0"},
      // Units.
      {"of:=LOFTLEDGER.PLANNING.BODIESPERCASE(10;\"160 g\")", "bare number 10"},
      // Errors of the office's own functions.
      {"of:=1/[.D1]", "division by zero"},
      {"of:=NOSUCHFUNCTION(1)", "NOSUCHFUNCTION"},
      // Fine.
      {"of:=LOFTLEDGER.PLANNING.LOFTFACTOR(2;15)", ""},
      {"of:=\"a text\"", ""},
  };
  return all;
}

FlatDocument document() {
  FlatDocument out;
  out.sheet("Checks");
  out.value(0, 3, Value(0.0));
  for (std::size_t i = 0; i < cases().size(); ++i) {
    const auto row = static_cast<std::int32_t>(i);
    out.formula(row, 0, cases()[i].looked_at);
    out.formula(row, 1, "of:=LOFTLEDGER.PLANNING.REASON([.A" + std::to_string(i + 1) + "])");
  }
  out.sheet("Inputs");
  out.value(1, 1, Value(-3.0));
  out.sheet("Last year's");
  out.value(0, 0, Value("many"));
  return out;
}
const Registered kDocument("reasons", document);

TEST(OfficeReason, SaysWhatIsWrongAndWhere) {
  ASSERT_EQ(Visit::get().problem(), "");
  const FlatCells& cells = Visit::get().cells("reasons");
  const FlatCells engine = calculated_by_engine(document());
  for (std::size_t i = 0; i < cases().size(); ++i) {
    const Case& each = cases()[i];
    SCOPED_TRACE(each.looked_at);
    const auto row = static_cast<std::int32_t>(i);
    const Value sentence = cells.at("Checks", row, 1);
    EXPECT_FALSE(sentence.is_error());
    if (std::string_view(each.sentence).empty()) {
      EXPECT_EQ(sentence.text(), "");
    } else {
      EXPECT_NE(sentence.text().find(each.sentence), std::string_view::npos) << sentence.text();
    }
    // The program says the same, word for word.
    EXPECT_EQ(sentence.text(), engine.at("Checks", row, 1).text());
  }
}

}  // namespace
}  // namespace loftledger::office
