// Decimal arithmetic: the published rounding examples, and exactness against whole numbers.
#include "engine/base/decimal.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

namespace loftledger {
namespace {

double plus(double a, double b) { return (Decimal::seen(a) + Decimal::seen(b)).number(); }
double times(double a, double b) { return (Decimal::seen(a) * Decimal::seen(b)).number(); }

TEST(Decimal, HalvesGoAwayFromZeroOnTheNumberThatIsSeen) {
  // Exact decimals by IEEE 754-2019 roundTiesToAway; 2.675 as a binary number lies below the tie.
  EXPECT_EQ(round_to(2.5, 1), 3);
  EXPECT_EQ(round_to(3.5, 1), 4);
  EXPECT_EQ(round_to(0.125, 0.01), 0.13);
  EXPECT_EQ(round_to(0.135, 0.01), 0.14);
  EXPECT_EQ(round_to(2.675, 0.01), 2.68);
  EXPECT_EQ(round_to(1.005, 0.01), 1.01);
  EXPECT_EQ(round_to(-2.675, 0.01), -2.68);
  EXPECT_EQ(round_to(-2.5, 1), -3);
  EXPECT_EQ(round_to(0.8645, 0.01), 0.86) << "rounded once, not by way of 0.865";
}

TEST(Decimal, UpAndDownIgnoreTheNoiseOfBinarySums) {
  EXPECT_EQ(round_to(0.1 + 0.2, 0.1, Rounding::up), 0.3);
  EXPECT_EQ(round_to(1.1 * 1.1, 0.01, Rounding::up), 1.21);
  EXPECT_EQ(round_to(0.3 - 0.1, 0.1, Rounding::down), 0.2);
  EXPECT_EQ(round_to(-0.05, 0.1, Rounding::up), 0);
  EXPECT_EQ(round_to(-0.05, 0.1, Rounding::down), -0.1);
  EXPECT_EQ(round_to(0.0001, 1, Rounding::up), 1);
  EXPECT_EQ(round_to(-0.0001, 1, Rounding::down), -1);
  EXPECT_EQ(round_to(1e-30, 1, Rounding::up), 1);
  EXPECT_EQ(round_to(1e-30, 1), 0);
}

TEST(Decimal, GoesTowardsZeroAndAwayFromIt) {
  EXPECT_EQ(round_to(2.999, 1, Rounding::to_zero), 2);
  EXPECT_EQ(round_to(-2.999, 1, Rounding::to_zero), -2);
  EXPECT_EQ(round_to(2.001, 1, Rounding::from_zero), 3);
  EXPECT_EQ(round_to(-2.001, 1, Rounding::from_zero), -3);
  EXPECT_EQ(round_to(-2, 1, Rounding::from_zero), -2);
}

TEST(Decimal, TheShortestReadsBack) {
  EXPECT_EQ(Decimal::shortest(34.5).digits(), 345);
  EXPECT_EQ(Decimal::shortest(-0.1 - 0.2).digits(), -30000000000000004);
  EXPECT_EQ(Decimal::shortest(0.1 + 0.2).rounded(15).digits(), 3);
  EXPECT_EQ(Decimal::shortest(999.96).rounded(4).magnitude(), 3);
  EXPECT_EQ(Decimal::shortest(1e300).digits(), 1);
  std::mt19937_64 random(3);
  std::uniform_real_distribution<double> mantissa(-10, 10);
  std::uniform_int_distribution<int> exponent(-300, 300);
  for (int i = 0; i < 2000; ++i) {
    const double number = mantissa(random) * std::pow(10.0, exponent(random));
    EXPECT_EQ(Decimal::shortest(number).number(), number);
  }
}

TEST(Decimal, StepsNeedNotBePowersOfTen) {
  EXPECT_EQ(round_to(17.38, 0.05), 17.4);
  EXPECT_EQ(round_to(17.37, 0.05), 17.35);
  EXPECT_EQ(round_to(16.2, 0.5, Rounding::up), 16.5);
  EXPECT_EQ(round_to(16, 0.5, Rounding::up), 16);
  EXPECT_EQ(round_to(77.216, 2.54), 30 * 2.54) << "30.4 in in cm, to the whole inch";
}

TEST(Decimal, SumsAndProductsAreExact) {
  EXPECT_EQ(plus(0.1, 0.2), 0.3);
  EXPECT_EQ(plus(1e15, 0.25), 1e15 + 0.25);
  EXPECT_EQ(plus(1e20, -1e20), 0);
  EXPECT_EQ(plus(1e20, 1), 1e20);
  EXPECT_EQ(plus(123456789012345, 1e-300), 123456789012345);
  EXPECT_EQ(times(19.95, 0.08875), 1.7705625);
  EXPECT_EQ(times(-0.1, 0.1), -0.01);
  EXPECT_EQ(times(0, 5), 0);
}

TEST(Decimal, WhatHasNoAnswerIsLeftAlone) {
  EXPECT_EQ(round_to(2.675, 0), 2.675);
  EXPECT_EQ(round_to(1e300, 0.01), 1e300);
  EXPECT_FALSE(Decimal::seen(5).steps(Decimal::seen(0), Rounding::nearest));
  EXPECT_FALSE(Decimal::seen(5).steps(Decimal::seen(-1), Rounding::nearest));
  EXPECT_FALSE(Decimal::seen(1e17).steps(Decimal::whole(1), Rounding::nearest));
  EXPECT_EQ(Decimal::seen(std::nan("")).sign(), 0);
}

TEST(Decimal, ReadsBackEveryNumberOfFifteenDigits) {
  std::mt19937_64 random(20250719);
  std::uniform_int_distribution<std::int64_t> digits(1, 999'999'999'999'999);
  std::uniform_int_distribution<int> exponent(-30, 30);
  for (int i = 0; i < 100000; ++i) {
    const double number =
        std::stod(std::to_string(digits(random)) + "e" + std::to_string(exponent(random)));
    ASSERT_EQ(Decimal::seen(number).number(), number);
    ASSERT_EQ(Decimal::seen(-number).number(), -number);
    ASSERT_EQ(Decimal::seen(number).magnitude(), static_cast<int>(std::floor(std::log10(number))))
        << number;
  }
}

TEST(Decimal, RoundsAsWholeNumbersDo) {
  std::mt19937_64 random(4711);
  std::uniform_int_distribution<std::int64_t> thousandths(-99'999'999, 99'999'999);
  for (int i = 0; i < 100000; ++i) {
    const std::int64_t n = thousandths(random);
    const std::int64_t size = std::abs(n);
    const std::int64_t cents = (size + 5) / 10 * (n < 0 ? -1 : 1);
    ASSERT_EQ(round_to(static_cast<double>(n) / 1000, 0.01), static_cast<double>(cents) / 100) << n;
  }
}

TEST(Decimal, SumsAgreeWithWholeNumbers) {
  std::mt19937_64 random(99);
  std::uniform_int_distribution<std::int64_t> any(-999'999'999, 999'999'999);
  for (int i = 0; i < 100000; ++i) {
    const std::int64_t a = any(random);
    const std::int64_t b = any(random);
    ASSERT_EQ(plus(static_cast<double>(a) / 10000, static_cast<double>(b) / 1000000),
              static_cast<double>(a * 100 + b) / 1000000);
    ASSERT_EQ(times(static_cast<double>(a) / 10000, static_cast<double>(b) / 100000),
              std::stod(std::to_string(a * b) + "e-9"));
  }
}

}  // namespace
}  // namespace loftledger
