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
#include "engine/study/names.hpp"

namespace loftledger {

// The functions that formulas may call beside those of the standard, with their records.
const catalogue::Catalogue& planning_functions();

// What a calculation takes from the world outside.
struct Moment {
  double now = 0;          // seconds since 1970-01-01, local time (TODAY, NOW)
  std::uint64_t seed = 1;  // of RAND and its like
};

// A name of the book that stands for cells: an input or a result, with its label and unit.
using study::NamedCells;

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

  // What of the file was passed over when it was read, a sentence each.
  const std::vector<std::string>& remarks() const;

  // The cell of a name that stands for one ("case_price"), or of an address ("Plan.B7"). Who sets
  // or reads the same cell many times asks once.
  Result<CellAddress> find(std::string_view name_or_cell) const;

  // Sets the cell of a name, or of an address, to the number, truth value or text that the words
  // read as. A formula there gives way to the value.
  Outcome set(std::string_view name_or_cell, std::string_view words);
  // The same with a value as it is; refused where the book has no such cell, and for numbers that
  // are none.
  Outcome set(CellAddress cell, Value value);

  // Every formula anew.
  void recalculate();
  // Only what the cells reach that were set since the last calculation (and what is calculated
  // every time: NOW, RAND, OFFSET and their like), to the same results as recalculate(). Gives how
  // many cells were worked out. What was just opened is calculated whole.
  std::int64_t update();
  // How many cells the last calculation worked out.
  std::int64_t calculated() const;

  // "Plan.B7"; the error says what is wrong with the address.
  Result<Value> cell(std::string_view address) const;
  // Empty where the book has no such cell.
  Value cell(CellAddress address) const;
  // Names that stand for cells, in the order of the book: all, those whose cells are typed, and
  // those whose cells hold formulas.
  std::vector<NamedCells> names() const;
  std::vector<NamedCells> inputs() const;
  std::vector<NamedCells> results() const;
  // Every formula cell that shows an error.
  std::vector<BookError> errors() const;
  std::vector<std::string> sheets() const;

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
