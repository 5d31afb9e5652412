// One record per function: everything that the evaluator, the office, the reference and the tests
// need to know of it. The record stands beside the function's body; types come from the body.
#pragma once

#include <cstdint>
#include <limits>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "engine/base/result.hpp"
#include "engine/base/units.hpp"
#include "engine/base/value.hpp"

namespace loftledger::catalogue {

// What an argument must be; the adapter refuses the rest with a sentence.
enum class Rule : std::uint8_t {
  any,
  positive,         // more than 0
  not_negative,     // 0 or more
  share,            // from 0 to 1
  share_below_one,  // 0 or more and less than 1
  open_share,       // more than 0 and less than 1
  whole,            // a whole number, 0 or more
  whole_positive,   // a whole number, 1 or more
};

// How the rule reads in a sentence: "must be more than 0".
std::string_view rule_text(Rule rule);
bool obeys(Rule rule, double value);

// The shapes in which a parameter is taken; deduced from the body's signature.
enum class Shape : std::uint8_t {
  scalar,    // one number, quantity or text
  list,      // the numbers of a range, row by row; empty cells are passed over
  series,    // the same with empty cells kept, for ranges that are read side by side
  interval,  // a low and a high: one number, a text "45 to 55", or two cells
  table,     // a range as it stands
  cell,      // a reference to one cell, with its state (REASON)
};

enum class Content : std::uint8_t { measure, text, flag, any };

// Where a number without a unit can only be meant in another unit: the adapter refuses what lies
// outside, 0 excepted, and ends its sentence with the advice.
struct Bare {
  double least = 0;
  double most = std::numeric_limits<double>::infinity();
  std::string_view advice = {};  // "write \"32 mm\" for millimetres"
};

struct Parameter {
  std::string_view name;  // as users read it: "fill mass"; the identifiers are made from it
  std::string_view text;  // one sentence for the function wizard and the reference
  Rule rule = Rule::any;
  std::string_view unit = {};  // the unit that the body computes in; empty: the dimension's own
  // What stands for the argument where it is left out, in that unit. A parameter is optional where
  // it has a fallback, or where the body takes a std::optional.
  std::variant<std::monostate, double, std::string_view> fallback = {};
  Bare bare = {};
};

// What an example must give.
using Expected = std::variant<double, std::string_view, bool, Code>;

struct Example {
  std::string_view formula;  // "=BODIESPERCASE(\"10 kg\";\"160 g\";4%)"
  Expected expected;
  std::string_view note = {};
  // What stands in cell A1 of the sheet in which the example runs, for functions that look at a
  // cell ("=LOFTFACTOR(0;15)"); empty: the cell is empty.
  std::string_view given = {};
};

// The wizard's groups are few and fixed in the office; this is our own grouping in the reference.
enum class Group : std::uint8_t { fibre, quantities, freight, money, orders, day, explaining };
std::string_view group_name(Group group);

struct Record {
  std::string_view id;    // lowerCamelCase; part of saved workbooks, never changed
  std::string_view name;  // "BODIESPERCASE"
  Group group;
  std::string_view summary;       // one sentence: what it computes
  std::string_view returns;       // what comes back, with its unit
  std::string_view source;        // the method's source: a publication, a standard, or "definition"
  std::string_view detail = {};   // limits and remarks for the reference; may be long
  std::string_view caution = {};  // where work can hurt someone
  std::string_view unit = {};     // the result's unit; empty: the dimension's own
  // True where texts with units and bare numbers of *different* dimensions may not be mixed either
  // (a divisor in in³/lb beside lengths in cm).
  bool linked_units = false;
};

struct ParameterType {
  Shape shape;
  Content content;
  Dimension dimension;
  bool optional;
};

// The state of a cell that a function inspects.
struct CellState {
  bool is_error = false;
  std::string sentence;  // why; empty where the cell is fine
};

// What a caller passes for one parameter.
struct Argument {
  enum class Kind : std::uint8_t { omitted, scalar, matrix, cell };
  Kind kind = Kind::omitted;
  Value scalar;
  const Matrix* matrix = nullptr;   // lives as long as the call
  bool range = false;               // the matrix is a range of cells, not a computed array
  const CellState* cell = nullptr;  // likewise

  static Argument of(Value v) {
    Argument a;
    a.kind = Kind::scalar;
    a.scalar = std::move(v);
    return a;
  }
  static Argument of(const Matrix& m, bool is_range = false) {
    Argument a;
    a.kind = Kind::matrix;
    a.matrix = &m;
    a.range = is_range;
    return a;
  }
  static Argument of(const CellState& c) {
    Argument a;
    a.kind = Kind::cell;
    a.cell = &c;
    return a;
  }
};

// A single value or an array.
using Answer = std::variant<Value, Matrix>;

struct Function;
using Invoke = Answer (*)(const Function&, std::span<const Argument>);

struct Function {
  Record record;
  std::span<const Parameter> parameters;
  std::span<const ParameterType> types;  // one a parameter
  std::span<const Example> examples;
  std::size_t required;  // how many arguments must be there
  bool returns_array;
  Dimension result;  // of a numeric result
  Content result_content;
  Invoke invoke;
};

// The name in capitals: names match without regard to case.
std::string folded(std::string_view name);

// "LOFTLEDGER.PLANNING.BODIESPERCASE": what saved workbooks hold.
std::string stored_name(const Function& function);

// The unit in which a bare number is read for that parameter; empty where it has none.
std::string_view unit_of(const Function& function, std::size_t parameter);
// The unit of the result.
std::string_view result_unit(const Function& function);

// The parameter's identifier in the interface description: "fillMass".
std::string identifier(const Parameter& parameter);

// "BODIESPERCASE(case mass; fill mass; [loss])"
std::string signature(const Function& function);

// Calls the function: arity, conversions, rules, and no NaN or infinity in what comes back.
Answer call(const Function& function, std::span<const Argument> arguments);

}  // namespace loftledger::catalogue
