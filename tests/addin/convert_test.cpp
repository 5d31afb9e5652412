// Values between the office and the engine; no office is started.
#include <gtest/gtest.h>

#include <bit>
#include <cmath>
#include <com/sun/star/uno/Sequence.hxx>
#include <cstdint>

#include "addin/uno/convert.hpp"
#include "addin/uno/text.hpp"

namespace loftledger::uno {
namespace {

using catalogue::Argument;
using com::sun::star::uno::Any;
using com::sun::star::uno::Sequence;
using Rows = Sequence<Sequence<Any>>;

Rows two_by_two(const Any& a, const Any& b, const Any& c, const Any& d) {
  const Any first[] = {a, b};
  const Any second[] = {c, d};
  const Sequence<Any> rows[] = {{first, 2}, {second, 2}};
  return {rows, 2};
}

TEST(Convert, TakesEveryKindOfArgument) {
  EXPECT_EQ(Received(Any()).argument().kind, Argument::Kind::omitted);
  EXPECT_EQ(Received(Any(2.5)).argument().scalar.number(), 2.5);
  EXPECT_EQ(Received(Any(sal_Int32(-7))).argument().scalar.number(), -7.0);
  EXPECT_TRUE(Received(Any(true)).argument().scalar.is_boolean());
  EXPECT_EQ(Received(Any(from_utf8("½ kg"))).argument().scalar.text(), "½ kg");
}

TEST(Convert, TakesARangeAndReadsEmptyTextsInItAsEmptyCells) {
  const Received received(
      Any(two_by_two(Any(1.0), Any(from_utf8("")), Any(from_utf8("x")), Any())));
  const Argument argument = received.argument();
  ASSERT_EQ(argument.kind, Argument::Kind::matrix);
  ASSERT_EQ(argument.matrix->rows(), 2U);
  ASSERT_EQ(argument.matrix->columns(), 2U);
  EXPECT_EQ(argument.matrix->at(0, 0).number(), 1.0);
  EXPECT_TRUE(argument.matrix->at(0, 1).is_empty());
  EXPECT_EQ(argument.matrix->at(1, 0).text(), "x");
  EXPECT_TRUE(argument.matrix->at(1, 1).is_empty());
}

TEST(Convert, TakesWhatItDoesNotKnowAsAnError) {
  const Sequence<double> numbers(3);
  EXPECT_EQ(Received(Any(numbers)).argument().scalar.code(), Code::value);
  EXPECT_EQ(Received(Any(std::nan(""))).argument().scalar.code(), Code::value);
}

// How Calc keeps an error where only a number fits: a not-a-number with the code in its lower half.
TEST(Convert, GivesAnErrorAsTheNumberThatCalcReads) {
  for (const Code code : {Code::division, Code::not_available, Code::number, Code::parameters}) {
    double number = 0;
    ASSERT_TRUE(to_any(Value(code)) >>= number);
    EXPECT_TRUE(std::isnan(number));
    EXPECT_EQ(static_cast<std::uint32_t>(std::bit_cast<std::uint64_t>(number)),
              static_cast<std::uint32_t>(code));
    EXPECT_EQ(Received(Any(number)).argument().scalar.code(), code);
  }
}

TEST(Convert, OnlyTwoErrorsLeaveAsExceptions) {
  EXPECT_EQ(exit_of(Code::argument), Exit::illegal_argument);
  EXPECT_EQ(exit_of(Code::no_convergence), Exit::no_convergence);
  EXPECT_EQ(exit_of(Code::value), Exit::number);
  EXPECT_EQ(exit_of(Code::internal), Exit::number);
}

TEST(Convert, GivesEveryKindOfAnswer) {
  rtl::OUString text;
  EXPECT_EQ(to_any(Value(2.5)), Any(2.5));
  EXPECT_EQ(to_any(Value::boolean(true)), Any(true));
  ASSERT_TRUE(to_any(Value("½ kg")) >>= text);
  EXPECT_EQ(to_utf8(text), "½ kg");
  // Void would show as #N/A.
  ASSERT_TRUE(to_any(Value()) >>= text);
  EXPECT_TRUE(text.isEmpty());
  Matrix matrix(1, 2);
  matrix.at(0, 0) = Value("x");
  matrix.at(0, 1) = Value(3.0);
  Rows rows;
  ASSERT_TRUE(to_any(matrix) >>= rows);
  ASSERT_EQ(rows.getLength(), 1);
  ASSERT_EQ(rows[0].getLength(), 2);
  EXPECT_EQ(rows[0][1], Any(3.0));
}

}  // namespace
}  // namespace loftledger::uno
