// Formulas down a column worked out many rows at a time, as loops over numbers side by side.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <span>
#include <vector>

#include "engine/calc/program.hpp"
#include "engine/sheet/workbook.hpp"
#include "engine/standard/kernels.hpp"

namespace loftledger::calc {

// Rows a step: a few blocks of this size stay in the fastest memory.
inline constexpr std::int32_t kLanes = 256;

class ColumnProgram {
 public:
  // Nothing where the program needs anything but numbers, comparisons and the functions that have
  // kernels.
  static std::unique_ptr<ColumnProgram> make(const Program& program);

  // Room for one run; one a thread.
  struct Room {
    std::vector<double> numbers;
    std::vector<const double*> registers;
  };

  // Works out the rows from `first` on, at most kLanes; nothing where some row reads or yields
  // anything but a number, and must be worked out by itself. The results live in `room`, or in the
  // workbook's own pages, until the next run.
  const double* run(const sheet::Workbook& workbook, CellAddress first, std::int32_t lanes,
                    Room& room) const;

  // The results are TRUE and FALSE.
  bool yields_truth() const { return yields_truth_; }

 private:
  enum class Task : std::uint8_t { load, constant, infix, negate, percent, function, choose };
  struct Step {
    Task task = Task::load;
    formula::Operator op = formula::Operator::none;
    std::uint16_t to = 0;     // register
    std::uint16_t count = 0;  // of a function's arguments, in registers from `to` on
    std::uint32_t index = 0;  // into places_, numbers_ or kernels_
  };
  // One cell, as a distance from the row's own.
  struct Place {
    std::int32_t sheet = -1;
    std::int32_t row = 0;
    std::int32_t column = 0;
    bool row_absolute = false;
    bool column_absolute = false;
  };
  class Builder;

  const double* load(const sheet::Workbook& workbook, const Place& place, CellAddress first,
                     std::int32_t lanes, double* room) const;

  std::vector<Step> steps_;
  std::vector<Place> places_;
  std::vector<double> numbers_;
  std::vector<const standard::FunctionKernel*> kernels_;
  std::uint16_t registers_ = 0;
  bool yields_truth_ = false;
};

}  // namespace loftledger::calc
