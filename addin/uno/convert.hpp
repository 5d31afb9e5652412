// Between the office's values and the engine's.
#pragma once

#include <com/sun/star/uno/Any.hxx>
#include <optional>

#include "engine/catalogue/function.hpp"

namespace loftledger::uno {

// One argument as the office hands it over, kept for the length of the call. Void is an argument
// left out; an empty cell arrives as 0, or inside a range as an empty text, which counts as empty.
class Received {
 public:
  explicit Received(const com::sun::star::uno::Any& any);
  // The state of the cell that the argument refers to; nothing where it is not one cell.
  void set_cell(std::optional<catalogue::CellState> state);

  // True where the argument is an object, which only a reference may be.
  bool is_object() const { return object_; }
  // Points into this object.
  catalogue::Argument argument() const;

 private:
  Value scalar_;
  std::optional<Matrix> matrix_;
  std::optional<catalogue::CellState> cell_;
  bool omitted_ = false;
  bool object_ = false;
};

// A number, a boolean, a text, or rows of them. An error inside comes back as a not-a-number that
// carries its code: Calc shows it as that error, in a cell of its own or inside an array.
com::sun::star::uno::Any to_any(const catalogue::Answer& answer);

// The not-a-number for a code.
double error_number(Code code);

// How an error leaves the component.
enum class Exit { illegal_argument, no_convergence, number };
Exit exit_of(Code code);

}  // namespace loftledger::uno
