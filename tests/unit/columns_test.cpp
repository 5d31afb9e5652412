// Runs of formulas in loops must give, bit by bit, what single cells give; and after a change only
// what depends on it is worked out, to the same results.
#include <gtest/gtest.h>

#include <atomic>
#include <bit>
#include <new>
#include <random>
#include <string>
#include <vector>

#include "engine/calc/calculator.hpp"
#include "engine/calc/threads.hpp"

namespace loftledger::calc {
namespace {

const catalogue::Catalogue kNoPlanning;

void put(sheet::Workbook& workbook, CellAddress a, const std::string& formula) {
  workbook.sheet(a.sheet).set_formula(a.row, a.column, workbook.intern(formula, a));
}

// The formula with # replaced by the row's number, and by earlier and later ones where a digit
// follows: "#-1" is the row above.
std::string in_row(const std::string& formula, std::int32_t row) {
  std::string out;
  for (std::size_t i = 0; i < formula.size(); ++i) {
    if (formula[i] != '#') {
      out += formula[i];
      continue;
    }
    std::int32_t number = row + 1;
    if (i + 2 < formula.size() && (formula[i + 1] == '<' || formula[i + 1] == '>')) {
      number += (formula[i + 1] == '<' ? -1 : 1) * (formula[i + 2] - '0');
      i += 2;
    }
    // Above the first row there is none: the second one will do.
    out += std::to_string(number < 1 ? 2 : number);
  }
  return out;
}

bool same_bits(const Value& a, const Value& b) {
  if (a.kind() != b.kind()) return false;
  if (a.is_error()) return a.code() == b.code();
  if (a.is_text()) return a.text() == b.text();
  return std::bit_cast<std::uint64_t>(a.number()) == std::bit_cast<std::uint64_t>(b.number());
}

std::string words(const Value& value) {
  if (value.is_error()) return std::string(shown(value.code()));
  if (value.is_text()) return std::string(value.text());
  return testing::PrintToString(std::bit_cast<std::uint64_t>(value.number())) + " (" +
         testing::PrintToString(value.number()) + ")";
}

// Columns A to C hold inputs; the formulas stand from D on and may read earlier ones.
const std::vector<std::string> kFormulas = {
    "[.A#]+[.B#]*2-[.C#]/3",                              // D
    "IF([.A#]>[.B#];[.A#]-[.B#];[.B#]-[.A#])",            // E
    "SUM([.A#:.C#])",                                     // F
    "MAX([.A#];[.B#];0.5)-MIN([.A#:.C#])",                // G
    "ROUND([.A#]*[.B#];2)",                               // H
    "ROUND([.A#];1)+ROUND([.B#];0)",                      // I
    "IF([.C#]=0;0;[.A#]/[.C#])",                          // J
    "IF(AND([.A#]>0;[.B#]<1);-[.C#];ABS([.C#])%)",        // K
    "[.A#]-[.B#]",                                        // L
    "[.A#]=[.B#]",                                        // M
    "[.A#]^[.B#]",                                        // N
    "NOT([.A#]<[.C#])",                                   // O
    "IF(OR([.A#]=1;[.B#]=1);[.A#];[.$B$1])",              // P
    "INT([.A#]*3)",                                       // Q
    "SUM([.A#];[.B#])",                                   // R
    "SUM([.A#];[.B#];[.C#];-[.A#])",                      // S
    "SUM([.A#:.C#];[.D#];[.F#])",                         // T
    "MAX([.A#:.B#])",                                     // U
    "MIN([.A#];[.B#])",                                   // V
    "[.D#]+[.E#]",                                        // W
    "ROUND([.D#];3)-ROUND([.D#])",                        // X
    "ROUND([.A#];[.B#])",                                 // Y
    "ROUND(-[.A#]/7;9)",                                  // Z
    "IF([.A#]<>[.B#];IF([.A#]<=[.C#];1/[.A#];2);[.W#])",  // AA
    "-[.A#]*0",                                           // AB
    "([.A#]+[.B#])-[.A#]",                                // AC
    "[.A#]>=[.B#]",                                       // AD
    "AND([.A#];[.M#])",                                   // AE
    "IF([.M#];TRUE();FALSE())",                           // AF
    "[.AC#]*[.$A$1]+[.A#>1]",                             // AG
    "[.A#]",                                              // AH
    "1.5",                                                // AI
    "[.A#]/[.B#]*[.B#]-[.A#]",                            // AJ
    "INT([.A#])+INT(-[.B#])",                             // AK
    "MAX(IF([.A#]>0;[.B#];-5);-3)",                       // AL
    "IF([.B#];1;2)+IF(NOT([.C#]);3;4)",                   // AM
    "+[.A#]",                                             // AN
    "MIN([.B#];5)*SUM([.B#];1)",                          // AO
    "AND([.B#])",                                         // AP
    "[.B#]=[.C#]",                                        // AQ
    "ABS([.B#])+ROUND([.B#];0)-[.C#]%",                   // AR
    "IF([.A#];[.B#];[.C#])",                              // AS
    "[.A#]*[.$B$5]+[.$C$6]",                              // AT
    "MAX([.A#];[.$C$7])",                                 // AU
    "IF([.$A$3];[.A#<2];[.$B$4])",                        // AV
    "[.A#<1]+[.B#>2]",                                    // AW
    "SUM([.A#<2:.B#>1])",                                 // AX
};

// Numbers that lie where rules change: sums that all but cancel, halves, the ends of what a number
// can be, negative zero, whole numbers too large to have a fraction.
const std::vector<double> kCorners = {0,
                                      -0.0,
                                      1,
                                      0.1,
                                      0.3,
                                      0.1 + 0.2,
                                      1.005,
                                      2.675,
                                      -1,
                                      0.5,
                                      -0.5,
                                      2.5,
                                      0.49999999999999994,
                                      1e308,
                                      -1e308,
                                      1.7e308,
                                      1e-300,
                                      5e-324,
                                      1e15,
                                      1e15 + 0.5,
                                      4503599627370497.5,
                                      9007199254740993.0,
                                      123456789.125,
                                      1e12 + 0.005,
                                      2.9999999999999996,
                                      1e-9,
                                      33.3333333333333,
                                      1 + 0x1p-52,
                                      1 + 0x1p-49,
                                      1 + 0x1p-47,
                                      1e22};

Value some_value(std::mt19937_64& random, std::int32_t row, std::int32_t troubled_from) {
  if (row >= troubled_from) {
    // A stretch of the rows holds what no loop over numbers can take.
    switch (random() % 16) {
      case 0:
        return "word";
      case 1:
        return Value();
      case 2:
        return Value::boolean(true);
      case 3:
        return Value(Code::not_available);
      case 4:
        return "12.5";
      default:
        break;
    }
  }
  switch (random() % 8) {
    case 0:
    case 1:
      return kCorners[random() % kCorners.size()];
    case 2:
      // Close to another corner by some bits.
      return kCorners[random() % kCorners.size()] *
             (1 + static_cast<double>(random() % 64) * 0x1p-52);
    case 3:
      return static_cast<double>(random() % 2000) / 1000;
    default:
      return static_cast<double>(random() % 2000) / 100 - 10;
  }
}

// Sheet 0 has runs; on sheet 1 other brackets in the next row keep every cell by itself.
void make_both(sheet::Workbook& workbook, std::int32_t rows, std::int32_t troubled_from,
               std::uint64_t seed) {
  workbook.add_sheet("Many");
  workbook.add_sheet("One");
  std::mt19937_64 random(seed);
  for (std::int32_t row = 0; row < rows; ++row) {
    for (std::int32_t column = 0; column < 3; ++column) {
      const Value value = some_value(random, row, troubled_from);
      for (std::int32_t s = 0; s < 2; ++s) workbook.sheet(s).set(row, column, value);
    }
    for (std::size_t f = 0; f < kFormulas.size(); ++f) {
      const auto column = static_cast<std::int32_t>(3 + f);
      const std::string text = in_row(kFormulas[f], row);
      put(workbook, {0, row, column}, text);
      const std::string open(static_cast<std::size_t>(row % 3), '(');
      const std::string close(static_cast<std::size_t>(row % 3), ')');
      put(workbook, {1, row, column}, open + text + close);
    }
  }
}

void expect_both_same(const sheet::Workbook& workbook, std::int32_t rows) {
  for (std::int32_t row = 0; row < rows; ++row) {
    for (std::size_t f = 0; f < kFormulas.size(); ++f) {
      const auto column = static_cast<std::int32_t>(3 + f);
      const Value many = workbook.get({0, row, column});
      const Value one = workbook.get({1, row, column});
      ASSERT_TRUE(same_bits(many, one))
          << kFormulas[f] << " in row " << row << ": " << words(many) << " beside " << words(one)
          << " of " << words(workbook.get({0, row, 0})) << ", " << words(workbook.get({0, row, 1}))
          << ", " << words(workbook.get({0, row, 2}));
    }
  }
}

TEST(Columns, GiveBitByBitWhatSingleCellsGive) {
  for (std::uint64_t seed = 1; seed <= 4; ++seed) {
    sheet::Workbook workbook;
    constexpr std::int32_t kRows = 2000;
    make_both(workbook, kRows, seed % 2 == 0 ? 0 : 1200, seed);
    Calculator calculator(workbook, kNoPlanning, {});
    calculator.recalculate();
    expect_both_same(workbook, kRows);
    if (HasFatalFailure()) return;
  }
}

// As many cells as two threads are used for; some blocks hold what loops cannot take.
TEST(Columns, GiveTheSameOnSeveralThreads) {
  sheet::Workbook workbook;
  constexpr std::int32_t kRows = 12000;
  make_both(workbook, kRows, 9000, 77);
  ASSERT_GT(kRows * static_cast<std::int32_t>(kFormulas.size()), 2 * 200000);
  Calculator calculator(workbook, kNoPlanning, {});
  calculator.recalculate();
  expect_both_same(workbook, kRows);
  EXPECT_EQ(calculator.calculated(), 2 * kRows * static_cast<std::int64_t>(kFormulas.size()));
}

// The test above would mean nothing if these formulas were not worked out in loops.
TEST(Columns, WorkOutPlainNumbersInLoops) {
  sheet::Workbook workbook;
  workbook.add_sheet("S");
  constexpr std::int32_t kRows = 2000;
  for (std::int32_t row = 0; row <= kRows; ++row) {
    for (std::int32_t c = 0; c < 3; ++c) workbook.sheet(0).set(row, c, 1.25 + row + c);
    if (row == kRows) break;
    for (std::size_t f = 0; f < kFormulas.size(); ++f) {
      put(workbook, {0, row, static_cast<std::int32_t>(3 + f)}, in_row(kFormulas[f], row));
    }
  }
  Calculator calculator(workbook, kNoPlanning, {});
  calculator.recalculate();
  const std::int64_t all = kRows * static_cast<std::int64_t>(kFormulas.size());
  EXPECT_EQ(calculator.calculated(), all);
  // All but most rows of N, which pass the largest number, all of Y, whose places are no whole
  // numbers, all of AF, whose functions have no loop, and rows that read past the first one.
  EXPECT_GE(calculator.calculated_in_loops(), all - 3 * kRows - 2 * 512);
}

// A row that loops cannot take leaves the other rows to them.
TEST(Columns, LeaveOnlySomeRowsToSingleCells) {
  sheet::Workbook workbook;
  workbook.add_sheet("S");
  constexpr std::int32_t kRows = 5000;
  int texts = 0;
  for (std::int32_t row = 0; row < kRows; ++row) {
    Value value = row / 8.0;
    if (row % 100 == 7) value = "none";
    if (row % 100 == 8) value = Value();
    if (row % 100 == 9) value = Value::boolean(true);
    texts += row % 100 == 7 ? 1 : 0;
    workbook.sheet(0).set(row, 0, value);
    put(workbook, {0, row, 1}, in_row("[.A#]*2+1", row));
    put(workbook, {0, row, 2}, in_row("IF([.A#]>100;[.B#];0)", row));
  }
  Calculator calculator(workbook, kNoPlanning, {});
  calculator.recalculate();
  EXPECT_EQ(calculator.calculated(), 2 * kRows);
  EXPECT_EQ(calculator.calculated_in_loops(), 2 * (kRows - texts));
  EXPECT_EQ(workbook.get({0, 107, 1}).code(), Code::value);
  EXPECT_EQ(workbook.get({0, 108, 1}).number(), 1);
  EXPECT_EQ(workbook.get({0, 109, 1}).number(), 3);
  EXPECT_EQ(workbook.get({0, 110, 1}).number(), 28.5);
}

TEST(Threads, ShareOutEveryNumberOnce) {
  for (std::size_t workers = 1; workers <= 4; ++workers) {
    std::vector<std::atomic<int>> taken(1000);
    std::atomic<bool> strange = false;
    share_out(3, 1000, 7, workers, [&](std::size_t worker, std::int32_t begin, std::int32_t end) {
      strange = strange || worker >= workers || begin >= end || end - begin > 7;
      for (std::int32_t i = begin; i < end; ++i) ++taken[static_cast<std::size_t>(i)];
    });
    EXPECT_FALSE(strange);
    for (std::size_t i = 0; i < taken.size(); ++i) ASSERT_EQ(taken[i], i < 3 ? 0 : 1) << i;
  }
}

// In whichever thread something goes wrong, it comes out where the threads are joined.
TEST(Threads, ThrowOnWhatAWorkerThrows) {
  for (std::size_t workers = 1; workers <= 4; ++workers) {
    for (const std::int32_t bad : {0, 500, 999}) {
      const auto work = [&](std::size_t, std::int32_t begin, std::int32_t end) {
        if (begin <= bad && bad < end) throw std::bad_alloc();
      };
      EXPECT_THROW(share_out(0, 1000, 2, workers, work), std::bad_alloc);
    }
  }
}

class Changes : public testing::Test {
 protected:
  static constexpr std::int32_t kRows = 5000;

  Changes() { workbook_.add_sheet("S"); }

  void column(std::int32_t column, const std::string& formula, std::int32_t first = 0,
              std::int32_t end = kRows) {
    for (std::int32_t row = first; row < end; ++row) {
      put(workbook_, {0, row, column}, in_row(formula, row));
    }
  }
  void numbers() {
    for (std::int32_t row = 0; row < kRows; ++row) workbook_.sheet(0).set(row, 0, row / 4.0);
  }
  // How many cells are worked out after A of that row changes.
  std::int64_t after_change(std::int32_t row, std::int32_t column = 0) {
    if (!calculator_) {
      calculator_ = std::make_unique<Calculator>(workbook_, kNoPlanning, Surroundings{});
      calculator_->recalculate();
    }
    calculator_->set({0, row, column}, value_ += 1);
    calculator_->update();
    return calculator_->calculated();
  }

  sheet::Workbook workbook_;
  std::unique_ptr<Calculator> calculator_;
  double value_ = 1000;
};

TEST_F(Changes, ReachOnlyTheirOwnRow) {
  numbers();
  column(1, "[.A#]*2");
  column(2, "IF([.B#]>500;[.B#]-500;[.B#])");
  column(3, "SUM([.B#:.C#])");
  EXPECT_EQ(after_change(4321), 3);
  EXPECT_EQ(workbook_.get({0, 4321, 3}).number(), 2002 + 1502);
  EXPECT_EQ(after_change(0), 3);
}

TEST_F(Changes, OfOneCellReachAllThatReadIt) {
  numbers();
  workbook_.sheet(0).set(0, 9, 2.0);
  column(1, "[.A#]*[.$J$1]");
  column(2, "[.B#]+1");
  column(3, "[.A#]+1");
  EXPECT_EQ(after_change(0, 9), 2 * kRows);
}

TEST_F(Changes, ReachTheRowsWhoseWindowHoldsThem) {
  numbers();
  column(1, "SUM([.A#<3:.A#])", 3);
  column(2, "AVERAGE([.A#:.A#>9])", 0, kRows - 9);
  EXPECT_EQ(after_change(1000), 4 + 10);
}

TEST_F(Changes, ReachTheRowsBelowInSumsThatGrow) {
  numbers();
  column(1, "SUM([.A$1:.A#])");
  EXPECT_EQ(after_change(4000), kRows - 4000);
  column(2, "SUM([.A#:.A$5001])");
  calculator_.reset();
  EXPECT_EQ(after_change(4000), kRows - 4000 + 4001);
}

// SUMIF and LOOKUP read their third argument as far as another one reaches.
TEST_F(Changes, ReachWhatIsReadBeyondAReference) {
  for (std::int32_t row = 0; row < 9; ++row) {
    workbook_.sheet(0).set(row, 0, row);
    workbook_.sheet(0).set(row, 1, 10.0 * row);
  }
  put(workbook_, {0, 0, 2}, "SUMIF([.A1:.A9];\">=4\";[.B1])");
  put(workbook_, {0, 1, 2}, "LOOKUP(6;[.A1:.A9];[.B1:.B2])");
  put(workbook_, {0, 2, 2}, "SUMIF([.A1:.A9];\">=4\";[.B1:.B9])");
  put(workbook_, {0, 3, 2}, "SUM([.A1]:INDEX([.B1:.B9];7))");
  EXPECT_EQ(after_change(6, 1), 4);
  EXPECT_EQ(workbook_.get({0, 0, 2}).number(), 40 + 50 + 1001 + 70 + 80);
  EXPECT_EQ(workbook_.get({0, 1, 2}).number(), 1001);
  EXPECT_EQ(workbook_.get({0, 2, 2}).number(), 40 + 50 + 1001 + 70 + 80);
  EXPECT_EQ(workbook_.get({0, 3, 2}).number(), 21 + 150 + 1001);
  // What only finds out while it runs is worked out every time.
  EXPECT_EQ(after_change(8, 1), 3 + 1);
}

TEST_F(Changes, ReachNothingWhereNobodyReads) {
  numbers();
  column(1, "[.A#]*2", 100);
  EXPECT_EQ(after_change(50), 0);
  EXPECT_EQ(after_change(kRows + 3, 5), (kRows - 100));  // a new column: everything anew
}

TEST_F(Changes, OfARunningTotalGoOnToItsEnd) {
  numbers();
  put(workbook_, {0, 0, 1}, "[.A1]");
  column(1, "[.B#<1]+[.A#]", 1);
  column(2, "[.B#]*2");
  EXPECT_EQ(after_change(4000), 2 * (kRows - 4000));
  EXPECT_EQ(after_change(0), 2 * kRows);
  double total = 0;
  for (std::int32_t row = 0; row < kRows; ++row) {
    total += workbook_.get({0, row, 0}).number();
    ASSERT_EQ(workbook_.get({0, row, 2}).number(), 2 * total) << row;
  }
}

// Random columns with all kinds of references, random changes: after each, every cell is what
// calculating everything anew gives.
TEST_F(Changes, GiveWhatCalculatingAllAnewGives) {
  const std::vector<std::string> kinds = {"[.@#]+[.@#]",
                                          "[.@#]*[.$A$7]",
                                          "SUM([.@#<2:.@#])",
                                          "SUM([.@$1:.@#])",
                                          "MAX([.@#:.@$200])",
                                          "[.@#>1]-[.@#<1]",
                                          "SUM([.@$3:.@$40])",
                                          "IF([.@#]>5;[.@#];[.@#>3])",
                                          "SUM([.@#:.@#>4])/3",
                                          "ROUND([.@#]/3;2)",
                                          "COUNT([.@#<2:.@#>2])",
                                          "[.!#<1]+[.@#]",
                                          "OFFSET([.@#];0;0)+1",
                                          "INDEX([.@$1:.@$150];5)+[.@#]",
                                          "SUMIF([.@#:.@#>4];\">5\";[.B#])",
                                          "LOOKUP(6;[.@$1:.@$20];[.A#])",
                                          "SUM([.A#<2]:INDEX([.B$1:.B$150];#))"};
  constexpr std::int32_t kFew = 150;
  constexpr std::int32_t kColumns = 9;
  std::mt19937_64 random(4);
  for (int round = 0; round < 60; ++round) {
    sheet::Workbook workbook;
    workbook.add_sheet("S");
    for (std::int32_t row = 0; row < kFew; ++row) {
      for (std::int32_t c = 0; c < 2; ++c) {
        workbook.sheet(0).set(row, c, static_cast<double>(random() % 100) / 8);
      }
    }
    for (std::int32_t c = 2; c < kColumns; ++c) {
      // Runs of different lengths, some of them only a few rows, some with a hole.
      for (std::int32_t row = 3; row < kFew - 4;) {
        const auto rows = static_cast<std::int32_t>(random() % 90 + 1);
        std::string kind = kinds[random() % kinds.size()];
        for (char& letter : kind) {
          if (letter == '@')
            letter = static_cast<char>('A' + static_cast<int>(random() % static_cast<unsigned>(c)));
          if (letter == '!') letter = static_cast<char>('A' + c);
        }
        const std::int32_t end = std::min(row + rows, kFew - 4);
        for (; row < end; ++row) put(workbook, {0, row, c}, in_row(kind, row));
        row += static_cast<std::int32_t>(random() % 2);
      }
    }
    Calculator calculator(workbook, kNoPlanning, {});
    calculator.recalculate();
    for (int change = 0; change < 12; ++change) {
      std::vector<CellAddress> cells;
      for (std::uint64_t i = random() % 3 + 1; i > 0; --i) {
        cells.push_back({0, static_cast<std::int32_t>(random() % kFew),
                         static_cast<std::int32_t>(random() % 2)});
      }
      // Some values one after the other in the same cells, as somebody does who tries them out.
      for (std::uint64_t tries = random() % 3 + 1; tries > 0; --tries) {
        for (const CellAddress& cell : cells) {
          Value value = static_cast<double>(random() % 100) / 8;
          if (random() % 8 == 0) value = "text";
          calculator.set(cell, value);
        }
        calculator.update();
      }
      std::vector<Value> updated;
      for (std::int32_t c = 0; c < kColumns; ++c) {
        for (std::int32_t row = 0; row < kFew; ++row) updated.push_back(workbook.get({0, row, c}));
      }
      calculator.recalculate();
      for (std::int32_t c = 0; c < kColumns; ++c) {
        for (std::int32_t row = 0; row < kFew; ++row) {
          const Value& held = updated[static_cast<std::size_t>(c * kFew + row)];
          const Value anew = workbook.get({0, row, c});
          ASSERT_TRUE(same_bits(held, anew))
              << "round " << round << ", change " << change << ", " << cell_name(row, c) << ": "
              << words(held) << " beside " << words(anew);
        }
      }
    }
  }
}

}  // namespace
}  // namespace loftledger::calc
