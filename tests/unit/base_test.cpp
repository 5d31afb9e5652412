#include <gtest/gtest.h>

#include "engine/base/address.hpp"
#include "engine/base/number_text.hpp"
#include "engine/base/value.hpp"

namespace loftledger {
namespace {

TEST(Address, ColumnLettersRunThroughTheLastColumn) {
  EXPECT_EQ(column_letters(0), "A");
  EXPECT_EQ(column_letters(25), "Z");
  EXPECT_EQ(column_letters(26), "AA");
  EXPECT_EQ(column_letters(kMaxColumns - 1), "XFD");
  for (std::int32_t column = 0; column < kMaxColumns; ++column) {
    ASSERT_EQ(column_index(column_letters(column)), column);
  }
  EXPECT_FALSE(column_index("XFE"));
  EXPECT_FALSE(column_index(""));
}

TEST(Address, ReadsCellsWithAndWithoutDollarSigns) {
  EXPECT_EQ(parse_cell("$B$7"), (CellAddress{0, 6, 1}));
  EXPECT_EQ(parse_cell("b7"), (CellAddress{0, 6, 1}));
  EXPECT_FALSE(parse_cell("B0"));
  EXPECT_FALSE(parse_cell("B1048577"));
  EXPECT_FALSE(parse_cell("B7x"));
}

TEST(Address, SplitsQuotedSheets) {
  const auto split = split_sheet("$'It''s mine'.$A$1");
  EXPECT_TRUE(split.has_sheet);
  EXPECT_EQ(split.sheet, "It's mine");
  EXPECT_EQ(split.rest, "$A$1");
  EXPECT_EQ(quoted_sheet("It's mine"), "'It''s mine'");
  EXPECT_EQ(quoted_sheet("Plan"), "Plan");
}

TEST(Value, CopiesShareAndCompare) {
  const Value text("fibre");
  Value copy = text;
  EXPECT_TRUE(copy.identical(text));
  copy = Value(Error(Code::argument, "no", 1));
  EXPECT_EQ(copy.error().sentence, "no");
  EXPECT_EQ(text.text(), "fibre");
  EXPECT_FALSE(Value(1.0).identical(Value::boolean(true)));
}

TEST(Code, ReadsWhatItShows) {
  for (unsigned number = 1; number <= 0xFFFF; ++number) {
    const Code code{static_cast<std::uint16_t>(number)};
    ASSERT_EQ(code_of(shown(code)), code);
  }
  EXPECT_EQ(shown(Code::no_intersection), "#NULL!");
  for (const char* text : {"", "Err:", "Err:5x", "Err:70000", "#LOST!", "502"}) {
    EXPECT_EQ(code_of(text), Code::none) << text;
  }
}

TEST(NumberText, IsTheShortestThatReadsBack) {
  EXPECT_EQ(number_text(0.1), "0.1");
  EXPECT_EQ(number_text(-0.0), "0");
  EXPECT_EQ(read_number("1e3"), 1000.0);
  EXPECT_FALSE(read_number("nan"));
  EXPECT_FALSE(read_number("1,5"));
}

}  // namespace
}  // namespace loftledger
