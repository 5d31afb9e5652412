// The cells of one column: values in pages of rows, formulas as runs of one shape.
#pragma once

#include <array>
#include <cstdint>
#include <memory>
#include <span>
#include <vector>

#include "engine/base/address.hpp"
#include "engine/base/value.hpp"

namespace loftledger::sheet {

inline constexpr std::int32_t kPageRows = 1024;

// Values side by side, so that a loop over numbers reads nothing else.
class Page {
 public:
  Page() = default;
  ~Page();
  Page(const Page&) = delete;
  Page& operator=(const Page&) = delete;

  Value get(std::int32_t row) const;
  void set(std::int32_t row, Value value);
  Value::Kind kind(std::int32_t row) const { return kinds_[static_cast<std::size_t>(row)]; }
  // The number of a numeric cell, 0 of an empty one; meaningless for texts and errors.
  double number(std::int32_t row) const { return numbers_[static_cast<std::size_t>(row)]; }
  void set_number(std::int32_t row, double number);

  // True where every cell is a plain number: then numbers() may be read as one block.
  bool all_numbers() const { return plain_ == kPageRows; }
  std::span<const double, kPageRows> numbers() const { return numbers_; }
  std::span<const Value::Kind, kPageRows> kinds() const { return kinds_; }
  // Room for a block of results, numbers or truth values (1 and 0), to be written at once: what
  // stood there is gone.
  std::span<double> block_to_write(std::int32_t first, std::int32_t rows, Value::Kind kind);

 private:
  void clear(std::int32_t row);
  std::array<double, kPageRows> numbers_{};
  std::array<Value::Kind, kPageRows> kinds_{};
  // Texts and errors; allocated where the page has any.
  std::unique_ptr<std::array<Value, kPageRows>> others_;
  std::int32_t plain_ = 0;  // how many cells are plain numbers
};

using ShapeId = std::uint32_t;

// Formulas of one relative shape in consecutive rows.
struct Run {
  std::int32_t first_row = 0;
  std::int32_t rows = 0;
  ShapeId shape = 0;
  std::int32_t end() const { return first_row + rows; }
};

class Column {
 public:
  Value get(std::int32_t row) const;
  Value::Kind kind(std::int32_t row) const;
  void set(std::int32_t row, Value value);
  const Page* page(std::int32_t index) const;
  Page& page_to_write(std::int32_t index);
  std::int32_t pages() const { return static_cast<std::int32_t>(pages_.size()); }
  // One past the last row that holds, or held, a value or a formula.
  std::int32_t end() const { return end_; }
  // Counts the rows before `end` as used.
  void extend(std::int32_t end);

  // Runs in the order of rows, never overlapping.
  const std::vector<Run>& runs() const { return runs_; }
  // The run that holds the row, or nullptr.
  const Run* run_at(std::int32_t row) const;
  void set_formula(std::int32_t row, ShapeId shape);
  void remove_formula(std::int32_t row);

 private:
  std::vector<std::unique_ptr<Page>> pages_;
  std::vector<Run> runs_;
  std::int32_t end_ = 0;
};

}  // namespace loftledger::sheet
