// Formulas down a column worked out many rows at a time, as loops over numbers side by side.
#pragma once

#include <cstdint>
#include <memory>
#include <span>
#include <vector>

#include "engine/calc/program/program.hpp"
#include "engine/sheet/workbook.hpp"
#include "engine/standard/values/kernels.hpp"

namespace loftledger::calc {

// Rows a step: a few blocks of this size stay in the fastest memory. A page is some of them.
inline constexpr std::int32_t kLanes = 512;
static_assert(sheet::kPageRows % kLanes == 0);

class ColumnProgram {
 public:
  // Nothing where the program needs anything but numbers, comparisons and the functions that have
  // kernels.
  static std::unique_ptr<ColumnProgram> make(const Program& program);

  // Room for what lies between the steps; the programs of one thread share it.
  struct Scratch {
    std::vector<double> numbers;
    std::vector<standard::Lanes> arguments;
  };
  // What one run of formulas holds while it is worked out.
  struct Room {
    std::vector<double> fixed;
    std::vector<standard::Lanes> registers;
  };

  // Reads what is the same in all rows. Any cell of the column will do.
  void prepare(const sheet::Workbook& workbook, CellAddress any, Room& room,
               Scratch& scratch) const;

  // Works out the rows from `first` on, as many as `out` has room for, at most kLanes. False where
  // some of them read or yield anything but a number: these hold NaN, and must be worked out by
  // themselves.
  bool run(const sheet::Workbook& workbook, CellAddress first, Room& room, Scratch& scratch,
           std::span<double> out) const;

  // The results are TRUE and FALSE.
  bool yields_truth() const { return yields_truth_; }

 private:
  using Register = std::uint16_t;
  enum class Task : std::uint8_t { infix, unary, function, choose };
  // `begin` and `count`: in operands_.
  struct Step {
    Task task = Task::infix;
    formula::Operator op = formula::Operator::none;
    Register to = 0;
    std::uint16_t block = 0;  // of the scratch numbers, none of those it reads
    std::uint32_t begin = 0;
    std::uint32_t count = 0;
    standard::Kernel kernel = nullptr;
  };
  // One cell, as a distance from the row's own.
  struct Place {
    Register to = 0;
    std::uint16_t block =
        0;  // of the scratch numbers, for cells that are not just numbers side by side
    std::int32_t sheet = -1;
    std::int32_t row = 0;
    std::int32_t column = 0;
    bool row_absolute = false;
    bool column_absolute = false;
    // Whether a truth value computes as 1 or 0, and an empty cell as 0, in all uses of the cell.
    bool truth_counts = true;
    bool blank_counts = true;

    bool same_cell(const Place& other) const {
      return sheet == other.sheet && row == other.row && column == other.column &&
             row_absolute == other.row_absolute && column_absolute == other.column_absolute;
    }
  };
  struct Constant {
    Register to = 0;
    double number = 0;
  };
  class Builder;

  static const double* load(const sheet::Workbook& workbook, const Place& place, CellAddress first,
                            std::span<double> copy);

  std::vector<Constant> constants_;
  std::vector<Place> fixed_;   // the same cell for all rows
  std::vector<Place> places_;  // a cell for each row
  std::vector<Step> steps_;
  std::vector<Register> operands_;
  Register registers_ = 0;
  std::uint16_t blocks_ = 0;
  Register result_ = 0;
  bool yields_truth_ = false;
};

}  // namespace loftledger::calc
