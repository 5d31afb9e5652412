// One workbook for all measurements of speed: numbers down column A, one cell that all rows read in
// J1, and eight columns of formulas, B to I.
#pragma once

#include <array>
#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

#include "engine/sheet/workbook.hpp"

namespace loftledger::bench {

inline constexpr std::int32_t kFormulaColumns = 8;
inline constexpr std::int32_t kFactorColumn = 9;  // J
inline constexpr double kFactor = 1.5;

// The number in column A.
double input(std::int32_t row);

// The formula of a cell in the stored form, without "of:=".
std::string formula(std::int32_t row, std::int32_t column);

void fill(sheet::Workbook& workbook, std::int32_t rows);

// The same as a flat file without results, so that whoever loads it calculates it.
void write_flat(const std::filesystem::path& file, std::int32_t rows);

// The same in plain loops, as a programmer writes them who knows the formulas beforehand.
class ByHand {
 public:
  explicit ByHand(std::int32_t rows);
  // ROUND as the nearest multiple of 0.01, whatever a person sees.
  void run(double factor);
  // The whole of what Calc promises: ROUND of the decimal that a person sees, sums that forgive the
  // last bits.
  void run_exactly(double factor);
  const std::vector<double>& column(std::int32_t index) const {
    return columns_[static_cast<std::size_t>(index)];
  }

 private:
  std::array<std::vector<double>, kFormulaColumns + 1> columns_;
};

}  // namespace loftledger::bench
