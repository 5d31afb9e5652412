// Builds a Function from a plain C++ function and its record. Arity, optional arguments, shapes and
// dimensions come from the signature, so that a record cannot contradict the code.
#pragma once

#include <array>
#include <cmath>
#include <optional>
#include <string>
#include <string_view>
#include <tuple>
#include <type_traits>
#include <utility>
#include <vector>

#include "engine/base/quantity.hpp"
#include "engine/catalogue/function.hpp"

namespace loftledger::catalogue {

// What a body may take beside Measure<D>, std::string_view and bool, and std::optional of each.

// A quantity, and whether it came without a unit.
template <class M>
struct Given {
  double value = 0;
  bool bare = false;
};

// The numbers of a range, row by row; empty cells are passed over. Never empty.
template <class M>
struct List {
  std::vector<double> values;
};

// The same with empty cells kept, for ranges that are read side by side. Never empty.
template <class M>
struct Series {
  std::vector<std::optional<double>> values;
};

// "45 to 55", two cells, or one number for both; low <= high.
template <class M>
struct Interval {
  double low = 0;
  double high = 0;
};

// A range as it stands, empty cells and texts included.
struct Table {
  Matrix cells;
};

// One row of a table of quantities; the number counts from 1 at the top of the range.
struct TableRow {
  std::size_t number = 0;
  std::vector<std::optional<double>> cells;  // one a column; columns that are not there are empty
};

// A range whose columns each have a dimension of their own, such as weights beside prices. Columns
// at the end may be missing; rows without any entry are passed over. Never empty.
template <class... M>
struct Columns {
  std::vector<TableRow> rows;
};

// A refusal by a body: what is wrong, in words that go behind "NAME: ", and with which argument
// (-1: with none in particular).
inline Error refuse(int argument, std::string sentence) {
  return Error(Code::argument, std::move(sentence), argument);
}

// A user's text in a sentence: in quotes, cut where it is long.
std::string quoted(std::string_view text);

// "1 cell", "2 cells".
std::string counted(std::size_t count, std::string_view noun);

// Puts the function's name before the sentence.
Error named(const Function& function, Error error);

// Reads the arguments of one call in order; after the first failure all further reads yield
// defaults and the error stays the first one.
class Reader {
 public:
  Reader(const Function& function, std::span<const Argument> arguments);

  bool failed() const { return error_.has_value(); }
  Error take_error() { return std::move(*error_); }

  // Whether there is anything to read (a missing optional argument is not an error).
  bool present(std::size_t index) const;
  double measure(std::size_t index);
  // Whether the argument is a number, or a text without a unit.
  bool bare(std::size_t index) const;
  std::string_view text(std::size_t index);
  bool flag(std::size_t index);
  std::vector<double> list(std::size_t index);
  std::vector<std::optional<double>> series(std::size_t index);
  std::pair<double, double> interval(std::size_t index);
  Matrix table(std::size_t index);
  std::vector<TableRow> rows(std::size_t index, std::span<const Dimension> columns);
  CellState cell(std::size_t index);

 private:
  // The argument, or the cell of the range that it is.
  struct Place {
    std::size_t index;
    const Matrix* range = nullptr;
    std::size_t cell = 0;
  };
  void fail(Error error);
  void refuse_argument(std::size_t index, std::string sentence, Code code = Code::argument);
  std::string titled(std::size_t index) const;
  std::string titled(const Place& place) const;
  const Value* single(std::size_t index);
  double read(const Place& place, const Value& value);
  double read(const Place& place, const Value& value, Dimension dimension);
  double read_text(const Place& place, const Value& value, Dimension dimension);
  // Takes what a text says; the value is how sentences show it.
  double read_measured(const Place& place, const Measured& quantity, const Value& value,
                       Dimension dimension);
  void note_unit(std::size_t index, Dimension dimension, bool bare, const Value& value);
  void check_rule(std::size_t index, double number, const Value& value);
  void check_bare(const Place& place, double number, const Value& value);

  // The first value of a dimension that was met bare, and the first with a unit.
  struct Seen {
    Dimension dimension;
    bool bare;
    Value value;
  };
  const Function& function_;
  std::span<const Argument> arguments_;
  std::optional<Error> error_;
  std::vector<Seen> seen_;
};

namespace detail {

template <class T>
struct Taken;

template <Dimension D>
struct Taken<Measure<D>> {
  static constexpr ParameterType type{Shape::scalar, Content::measure, D, false};
  static Measure<D> take(Reader& r, std::size_t i) { return {r.measure(i)}; }
};
template <class M>
struct Taken<Given<M>> {
  static constexpr ParameterType type = Taken<M>::type;
  static Given<M> take(Reader& r, std::size_t i) { return {r.measure(i), r.bare(i)}; }
};
template <>
struct Taken<std::string_view> {
  static constexpr ParameterType type{Shape::scalar, Content::text, Dimension::number, false};
  static std::string_view take(Reader& r, std::size_t i) { return r.text(i); }
};
template <>
struct Taken<bool> {
  static constexpr ParameterType type{Shape::scalar, Content::flag, Dimension::number, false};
  static bool take(Reader& r, std::size_t i) { return r.flag(i); }
};
template <class M>
struct Taken<List<M>> {
  static constexpr ParameterType type{Shape::list, Content::measure, M::kDimension, false};
  static List<M> take(Reader& r, std::size_t i) { return {r.list(i)}; }
};
template <class M>
struct Taken<Series<M>> {
  static constexpr ParameterType type{Shape::series, Content::measure, M::kDimension, false};
  static Series<M> take(Reader& r, std::size_t i) { return {r.series(i)}; }
};
template <class M>
struct Taken<Interval<M>> {
  static constexpr ParameterType type{Shape::interval, Content::measure, M::kDimension, false};
  static Interval<M> take(Reader& r, std::size_t i) {
    auto [low, high] = r.interval(i);
    return {low, high};
  }
};
template <>
struct Taken<Table> {
  static constexpr ParameterType type{Shape::table, Content::any, Dimension::number, false};
  static Table take(Reader& r, std::size_t i) { return {r.table(i)}; }
};
template <class First, class... Rest>
struct Taken<Columns<First, Rest...>> {
  static constexpr ParameterType type{Shape::table, Content::any, First::kDimension, false};
  static constexpr std::array<Dimension, 1 + sizeof...(Rest)> kColumns{First::kDimension,
                                                                       Rest::kDimension...};
  static Columns<First, Rest...> take(Reader& r, std::size_t i) { return {r.rows(i, kColumns)}; }
};
template <>
struct Taken<CellState> {
  static constexpr ParameterType type{Shape::cell, Content::any, Dimension::number, false};
  static CellState take(Reader& r, std::size_t i) { return r.cell(i); }
};
template <class T>
struct Taken<std::optional<T>> {
  static constexpr ParameterType type{Taken<T>::type.shape, Taken<T>::type.content,
                                      Taken<T>::type.dimension, true};
  static std::optional<T> take(Reader& r, std::size_t i) {
    if (!r.present(i)) return std::nullopt;
    return Taken<T>::take(r, i);
  }
};

// What a body may return, inside a Result.
template <class T>
struct Returned;
template <Dimension D>
struct Returned<Measure<D>> {
  static constexpr Dimension dimension = D;
  static constexpr Content content = Content::measure;
  static constexpr bool array = false;
  static Answer answer(Measure<D> m) { return Value(m.value); }
};
template <>
struct Returned<std::string> {
  static constexpr Dimension dimension = Dimension::number;
  static constexpr Content content = Content::text;
  static constexpr bool array = false;
  static Answer answer(std::string text) { return Value(std::move(text)); }
};
template <>
struct Returned<bool> {
  static constexpr Dimension dimension = Dimension::number;
  static constexpr Content content = Content::flag;
  static constexpr bool array = false;
  static Answer answer(bool truth) { return Value::boolean(truth); }
};
template <>
struct Returned<Matrix> {
  static constexpr Dimension dimension = Dimension::number;
  static constexpr Content content = Content::any;
  static constexpr bool array = true;
  static Answer answer(Matrix m) { return m; }
};

template <auto Body>
struct Signature;
template <class R, class... P, Result<R> (*Body)(P...)>
struct Signature<Body> {
  static constexpr std::size_t arity = sizeof...(P);
  using Return = Returned<R>;
  static constexpr std::array<ParameterType, sizeof...(P)> types{
      Taken<std::remove_cvref_t<P>>::type...};

  static Answer invoke(const Function& function, std::span<const Argument> arguments) {
    Reader reader(function, arguments);
    return run(function, reader, std::index_sequence_for<P...>{});
  }

 private:
  template <std::size_t... I>
  static Answer run(const Function& function, Reader& reader, std::index_sequence<I...>) {
    // Braces fix the order of reading, and with it which error is reported first.
    std::tuple<std::remove_cvref_t<P>...> taken{Taken<std::remove_cvref_t<P>>::take(reader, I)...};
    if (reader.failed()) return Value(reader.take_error());
    Result<R> result =
        std::apply([](auto&... each) { return Body(std::forward<P>(each)...); }, taken);
    if (!result) return Value(named(function, Error(std::move(result).error())));
    return Return::answer(*std::move(result));
  }
};

}  // namespace detail

// The one declaration of a planning function:
//   constexpr Parameter kParameters[] = {...};
//   constexpr Example kExamples[] = {...};
//   constexpr Function kFunction = describe<body>({...}, kParameters, kExamples);
template <auto Body, std::size_t N, std::size_t M>
constexpr Function describe(const Record& record, const Parameter (&parameters)[N],
                            const Example (&examples)[M]) {
  using S = detail::Signature<Body>;
  static_assert(S::arity == N, "describe every parameter of the body, and no other");
  std::size_t required = 0;
  for (std::size_t i = 0; i < N; ++i) {
    if (!S::types[i].optional && parameters[i].fallback.index() == 0) required = i + 1;
  }
  return Function{record,           parameters,           S::types,           examples,  required,
                  S::Return::array, S::Return::dimension, S::Return::content, &S::invoke};
}

}  // namespace loftledger::catalogue
