// The engine as programs see it: open a book, set inputs, calculate, read, write; evaluate
// formulas.
#pragma once

#include <cstdint>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "engine/base/address.hpp"
#include "engine/base/result.hpp"
#include "engine/base/value.hpp"
#include "engine/catalogue/catalogue.hpp"

namespace loftledger {

// The functions that formulas may call beside those of the standard, with their records.
const catalogue::Catalogue& planning_functions();

// What a calculation takes from the world outside.
struct Moment {
  double now = 0;          // seconds since 1970-01-01, local time (TODAY, NOW)
  std::uint64_t seed = 1;  // of RAND and its like
};

// A name of the book that stands for cells, with what it holds.
struct NamedCells {
  std::string name;
  std::string sheet;     // "Plan"
  std::string place;     // "Plan.B7", "Plan.B7:C9"
  CellAddress first;     // its first cell
  std::string label;     // the nearest text to the left of it or above, where there is one
  std::string unit;      // the text right behind it, where there is one
  bool formula = false;  // a result; false: an input
  Matrix values;
};

struct BookError {
  std::string cell;  // "Plan.B7"
  Error error;
  std::string sentence;  // with the cell it came from, where that is another one
};

class Book {
 public:
  static Result<Book> open(const std::string& path, Moment moment);
  Book(Book&&) noexcept;
  Book& operator=(Book&&) noexcept;
  ~Book();

  // Sets the cell of a name ("case_price"), or of an address ("Plan.B7"), to the number, truth
  // value or text that the words read as.
  Outcome set(std::string_view name_or_cell, std::string_view words);
  void recalculate();

  // "Plan.B7"; the error says what is wrong with the address.
  Result<Value> cell(std::string_view address) const;
  // Names that stand for cells, in the order of the book.
  std::vector<NamedCells> names() const;
  // Every formula cell that shows an error.
  std::vector<BookError> errors() const;
  std::vector<std::string> sheets() const;
  std::int64_t calculated() const;

  // By the ending of the name: .ods, .ots, .fods, or .csv (the first sheet).
  Outcome save(const std::string& path) const;

 private:
  struct Impl;
  explicit Book(std::unique_ptr<Impl> impl);
  std::unique_ptr<Impl> impl_;
};

// A formula by itself, as typed in a cell, with or without "=". Never an empty matrix.
Matrix evaluate(std::string_view formula, Moment moment);

}  // namespace loftledger
