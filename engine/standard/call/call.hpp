// One call of a spreadsheet function: its arguments, converted as the office converts them.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "engine/standard/call/cells.hpp"
#include "engine/standard/call/operand.hpp"
#include "engine/standard/values/conversions.hpp"

namespace loftledger::standard {

struct StandardFunction;

// How many rows and columns an array formula fills.
struct Extent {
  std::int32_t rows = 1;
  std::int32_t columns = 1;
};

class Call {
 public:
  Call(const StandardFunction& function, std::span<const Operand> arguments, Cells& cells,
       CellAddress here, bool array_mode, Extent extent = {})
      : function_(function),
        arguments_(arguments),
        cells_(cells),
        here_(here),
        array_mode_(array_mode),
        extent_(extent) {}

  const StandardFunction& function() const { return function_; }
  std::string_view name() const;
  std::size_t count() const { return arguments_.size(); }
  const Operand& operator[](std::size_t index) const { return arguments_[index]; }
  Cells& cells() { return cells_; }
  const sheet::Settings& settings() const { return cells_.settings(); }
  CellAddress here() const { return here_; }
  // True inside an array formula or an argument that is evaluated as one.
  bool array_mode() const { return array_mode_; }
  // Of the array formula that the call stands in; one cell for any other.
  Extent extent() const { return extent_; }

  // Whether the argument is there at all: not past the end, and not left out between separators.
  bool given(std::size_t index) const {
    return index < count() && arguments_[index].kind != Operand::Kind::missing;
  }

  // Conversions of one argument. The first that fails decides the call's error; what comes back
  // then is a default that nobody will see, since the caller returns failure().
  Value scalar(std::size_t index);  // a single value; a range is intersected
  double number(std::size_t index);
  // With a default: for an argument past the end. One that is left out between separators is 0
  // (or false, or "") all the same; ask given() where it is not.
  double number(std::size_t index, double otherwise);
  // Cut towards zero, forgiving the last bits (2.9999999999999996 is 3), as the office cuts counts
  // and positions; beyond 32 bits an error. For rounding down: std::floor of number().
  std::int64_t whole(std::size_t index);
  std::int64_t whole(std::size_t index, std::int64_t otherwise);
  bool truth(std::size_t index);
  bool truth(std::size_t index, bool otherwise);
  std::string text(std::size_t index);
  std::string text(std::size_t index, std::string_view otherwise);
  // The argument as an array; a reference is read, its last rows and columns clipped to the used
  // part of the sheet where it is larger than half a million cells. Cells of several sheets are
  // Err:504 and several areas Err:502; the analysis add-in gets the first sheet, and no areas.
  Matrix matrix(std::size_t index);
  // The same for each sheet of each area of the argument.
  std::vector<Matrix> matrices(std::size_t index);
  // The one area of a reference argument; an error for anything else.
  Area area(std::size_t index);

  // The numbers of one argument as SUM takes them: numeric cells of references and arrays (texts
  // and empty cells are passed over, an error cell fails the call), plain values as they are (a
  // text is an error, even "1"; a missing argument is 0). False from the visitor ends it.
  void numbers(std::size_t index, FunctionRef<bool(double)> visit);
  // The numbers of all arguments from `first` on, in one vector.
  std::vector<double> all_numbers(std::size_t first = 0);
  // Every value of one argument, empty cells included only for arrays and scalars.
  void values(std::size_t index, FunctionRef<bool(const Value&)> visit);

  bool failed() const { return error_.is_error(); }
  // Notes the error unless one is noted already.
  void fail(Code code) { fail(Value(code)); }
  void fail(Value error) {
    if (!failed()) error_ = std::move(error);
  }
  // The same, but an argument read later that cannot be converted shows instead: what a value
  // means is asked when all are read.
  void refuse(std::size_t index, Value error) { note(std::move(error), {index, Rank::meaning}); }
  // The same, of a value that is refused as if it could not be converted.
  void reject(std::size_t index, Value error) { note(std::move(error), {index, Rank::conversion}); }
  // Calls the function; one of the office's analysis add-in after its arguments were converted
  // (addin.hpp).
  Operand run();

  // The noted error, or the result if it is a finite number: never NaN or infinity.
  Operand failure() const { return Operand(error_); }
  Operand finish(double result) const;
  // What a result that is no finite number is answered with: #NUM!, and of the office's analysis
  // add-in Err:502.
  Error not_finite() const;

 private:
  const StandardFunction& function_;
  std::span<const Operand> arguments_;
  Cells& cells_;
  CellAddress here_;
  bool array_mode_;
  Extent extent_;
  Value error_;
  // The argument it came from. An error in a cell shows before one of converting, and both before
  // one of what an argument means; where several areas are no value, the later argument shows.
  enum class Rank : char { meaning, conversion, in_cell, areas };
  struct Source {
    std::size_t index = 0;
    Rank rank = Rank::meaning;
  };
  std::optional<Source> source_;

  void note(Value error, Source source);
};

// The cell of an area that stands for it at a formula's cell: its only one, or the one in the
// formula's row or column; nothing where there is none.
std::optional<CellAddress> intersection(const Area& area, CellAddress here);

// The single value of an operand at a formula's cell: references are intersected, arrays give their
// first element.
Value single(const Operand& operand, Cells& cells, CellAddress here);

// Every value of an operand, empty cells included only for arrays and single values.
void each_value(const Operand& operand, Cells& cells, FunctionRef<bool(const Value&)> visit);

// How the interpreter hands an argument over.
enum class Take : char {
  value = 'v',    // one value; ranges are intersected, or looped over in array mode
  sought = 'c',   // the same, but an error that is no cell's is Err:504
  outcome = 'e',  // the same, but an error is a value like any other
  // In functions of the add-in, converted before the call:
  number = 'n',     // the same, as a number
  whole = 'i',      // the same, as a number of 32 bits, cut towards zero
  text = 's',       // the same, as a text
  option = 'o',     // as it stands, but a single cell is its value, and an empty text is left out
  numbers = 'd',    // as it stands, but a single value is a number
  wholes = 'w',     // as it stands, but a single value is a whole number
  texts = 't',      // as it stands, but a single value is a text
  reference = 'r',  // as it stands: a reference or an array
  // The same, but the answer comes as an array of the shape of an array that is given, the same at
  // each of its places; of a reference where the formula is an array formula.
  places = 'p',
  array = 'a',  // evaluated in array mode
};

// Whether ranges and arrays reach the function whole.
bool as_it_stands(Take take);

using Body = Operand (*)(Call&);

// The groups of conformance of the standard (ODF 1.3 part 4, 2.3): the group that asks for a
// function first, or office for what no group asks for.
enum class Group : std::uint8_t { small, medium, large, office };

// How the office answers a wrong count of arguments.
enum class Counting : std::uint8_t {
  usual,       // too few Err:511; too many Err:504, but Err:508 where there is one at most
  at_call,     // too few Err:511, too many Err:504
  parameters,  // both Err:504
  branches,    // too few Err:511, one too many Err:504, more Err:508
  last,        // none Err:518; of several the last decides: its error, or else Err:509
  addin,       // of the office's analysis add-in: both Err:504, and Err:502 where one that must be
               // there is left out between separators
};

// What beside its arguments and the cells a result may depend on: two calculations of one document,
// at another time or by another program, then need not agree.
enum class Varies : std::uint8_t {
  no,
  by_clock,
  by_chance,
  by_program,  // what the program is, and where the document lies
};

struct StandardFunction {
  // As the standard and the file format spell it: "SUM", "COM.MICROSOFT.CONCAT".
  std::string_view name;
  Body body;               // none for a jump of the interpreter: IF, IFERROR, IFNA, CHOOSE
  std::int16_t least;      // arguments
  std::int16_t most;       // -1: no limit
  std::string_view takes;  // one letter of Take an argument; the last repeats
  Group group = Group::office;
  bool is_volatile = false;  // recalculated every time
  // Where more than one trailing argument repeats (SUMIFS takes pairs), how many.
  std::int16_t repeats = 1;
  Counting counting = Counting::usual;
  Varies varies = Varies::no;
  std::string_view limit = {};  // where it falls short of the standard or of the office
  // Errors among the arguments are for it to look at: an error does not end the formula before it.
  bool meets_errors = false;
};

// The same record, of a function that errors among the arguments do not end.
constexpr StandardFunction meeting_errors(StandardFunction function) {
  function.meets_errors = true;
  return function;
}

// What is wrong with so many arguments, if anything is.
std::optional<Error> wrong_count(const StandardFunction& function, std::size_t arguments);

// How a function takes the argument at that place; the last letters of its row repeat.
Take take_of(const StandardFunction& function, std::size_t index);

using StandardFunctions = std::span<const StandardFunction>;

}  // namespace loftledger::standard
