// The other side of a ratio: the same workbook in real headless Calc, timed from one call to its
// answer. Starting the office is in none of the times.
#pragma once

#include <cstdint>
#include <filesystem>
#include <memory>
#include <string>

#include "tests/support/office/office.hpp"

namespace loftledger::bench {

using Seconds = double;

class CalcSide {
 public:
  // Starts the office with a profile of its own, and with the extension unless the path is empty.
  // problem() says what went wrong.
  explicit CalcSide(const std::filesystem::path& extension = {},
                    support::Results results = support::Results::calculated_anew);
  ~CalcSide();
  CalcSide(const CalcSide&) = delete;
  CalcSide& operator=(const CalcSide&) = delete;

  // Empty where all went well so far.
  const std::string& problem() const;

  // Loads a file without a window, in place of the one before.
  Seconds open(const std::filesystem::path& file);
  // As .ods, the way the office writes it.
  Seconds save_as_ods(const std::filesystem::path& file);
  void close();

  // Every formula anew.
  Seconds calculate_all();
  // The sheet that the following are about; after open() it is the first.
  void choose_sheet(std::int32_t index);
  // One number into a cell, and all that depends on it.
  Seconds change(std::int32_t row, std::int32_t column, double number);
  double number(std::int32_t row, std::int32_t column);
  // What one call takes that asks for nothing but a cell's value.
  Seconds call();

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

}  // namespace loftledger::bench
