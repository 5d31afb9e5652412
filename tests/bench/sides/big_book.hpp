// One workbook for all measurements of speed: numbers down column A, one cell that all rows read in
// J1, and eight columns of formulas, B to I.
#pragma once

#include <array>
#include <cstdint>
#include <filesystem>
#include <fstream>
#include <string>
#include <string_view>
#include <vector>

#include "engine/sheet/workbook.hpp"

namespace loftledger::bench {

inline constexpr std::int32_t kFormulaColumns = 8;
inline constexpr std::int32_t kFactorColumn = 9;  // J
inline constexpr double kFactor = 1.5;

// The number in column A.
double input(std::int32_t row);

// The pattern with every % replaced by the row's number.
std::string numbered(std::string_view pattern, std::int32_t row);

// The formula of a cell in the stored form, without "of:=".
std::string formula(std::int32_t row, std::int32_t column);

// Writes a flat spreadsheet of one sheet, row by row, however large it becomes.
class FlatWriter {
 public:
  explicit FlatWriter(const std::filesystem::path& file);
  ~FlatWriter();
  FlatWriter(const FlatWriter&) = delete;
  FlatWriter& operator=(const FlatWriter&) = delete;

  void begin_row();
  // With six decimals, which must be all that the number has.
  void number(double value);
  // In the stored form, without "of:=" and without a result.
  void formula(std::string_view text);
  void end_row();

 private:
  std::ofstream out_;
};

void fill(sheet::Workbook& workbook, std::int32_t rows);

// The same as a flat file without results, so that whoever loads it calculates it.
void write_flat(const std::filesystem::path& file, std::int32_t rows);

// The same in plain loops, as a programmer writes them who knows the formulas beforehand.
class ByHand {
 public:
  using Columns = std::array<std::vector<double>, kFormulaColumns + 1>;

  explicit ByHand(std::int32_t rows);
  // ROUND as the nearest multiple of 0.01, whatever a person sees.
  void run(double factor);
  // The same loops, compiled for this very processor.
  void run_at_best(double factor);
  // The whole of what Calc promises: ROUND of the decimal that a person sees, sums that forgive the
  // last bits.
  void run_exactly(double factor);
  const std::vector<double>& column(std::int32_t index) const {
    return columns_[static_cast<std::size_t>(index)];
  }

 private:
  Columns columns_;
};

}  // namespace loftledger::bench
