// How functions of any number of arguments read the numbers in them.
#pragma once

#include <cmath>
#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "engine/standard/call/call.hpp"
#include "engine/standard/call/last_first.hpp"

namespace loftledger::standard {

struct NumberRule {
  bool texts_are_zero = false;     // else texts in cells and arrays are passed over
  Code direct_text = Code::value;  // what a text given directly is answered with
  bool text_stands = false;        // a text given directly hides errors of single cells before it
  bool last_shows = false;         // of several errors that of the last argument
  bool missing_counts = true;      // an argument left out between separators is 0
};

// Hands over the numbers of all arguments from `first` on, the last argument first: that is the
// order in which the office adds them up, and which of several errors it shows depends on it.
void each_number(Call& call, std::size_t first, FunctionRef<void(std::span<const double>)> take,
                 NumberRule rule = {});

// The same in one vector; empty where the call failed.
std::vector<double> number_list(Call& call, std::size_t first = 0, NumberRule rule = {});

// The numbers of one argument, in order; texts and empty cells are passed over, and one value that
// is no number is an error.
std::vector<double> numbers_of(Call& call, std::size_t index, NumberRule rule = {});

// Every element of one argument as a number, row by row, as the office's analysis add-in reads
// arrays: texts and empty cells are 0; a value or cell by itself is converted. An error in a range
// is answered with Err:504.
std::vector<double> plain_numbers(Call& call, std::size_t index);

// A number, or an error in the place of one: no text, and not empty.
inline bool counts(const Value& value) { return value.is_numeric() || value.is_error(); }

// Where the call has failed, an error in the single cell of another argument hides what failed it.
void error_in_cell(Call& call, std::size_t index);

struct Shape {
  std::int64_t rows = 1;
  std::int64_t columns = 1;
  bool operator==(const Shape&) const = default;
};
// As it was written: a whole column has all its rows.
Shape shape_of(const Operand& operand);

// The numbers of two arguments where both have one at the same place, row by row.
struct Pairs {
  std::vector<double> first;
  std::vector<double> second;
};
// They stand side by side, and must have the same number of rows and columns; else the call fails
// with `unequal`.
Pairs number_pairs(Call& call, std::size_t first, std::size_t second,
                   Code unequal = Code::argument);

// The same, with arguments behind them read already.
Pairs number_pairs(Call& call, LastFirst& reader, std::size_t first, std::size_t second,
                   Code unequal = Code::argument);

// A rectangle of numbers, row by row.
class NumberMatrix {
 public:
  NumberMatrix() = default;
  NumberMatrix(std::size_t rows, std::size_t columns)
      : rows_(rows), columns_(columns), cells_(rows * columns) {}

  std::size_t rows() const { return rows_; }
  std::size_t columns() const { return columns_; }
  double& at(std::size_t row, std::size_t column) { return cells_[row * columns_ + column]; }
  double at(std::size_t row, std::size_t column) const { return cells_[row * columns_ + column]; }

 private:
  std::size_t rows_ = 0;
  std::size_t columns_ = 0;
  std::vector<double> cells_;
};

// An element of a result: the number, or an error where it is not finite.
inline Value finite_value(double number) {
  return std::isfinite(number) ? Value(number) : Value(Code::number);
}

// The argument as an array: one that is left out between separators is a 0, as
// the office reads it where a matrix or a series is due.
Matrix matrix_or_zero(Call& call, std::size_t index);

}  // namespace loftledger::standard
