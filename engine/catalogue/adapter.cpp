// The one road from a caller's values to a body's typed arguments and back.
#include <fmt/format.h>

#include <cmath>

#include "engine/base/number_text.hpp"
#include "engine/base/quantity.hpp"
#include "engine/catalogue/describe.hpp"

namespace loftledger::catalogue {

namespace {

std::string shown_value(const Value& value) {
  switch (value.kind()) {
    case Value::Kind::empty:
      return "empty";
    case Value::Kind::text:
      return quoted(value.text());
    case Value::Kind::boolean:
      return value.number() != 0 ? "TRUE" : "FALSE";
    case Value::Kind::number:
      return plain_number(value.number());
    case Value::Kind::error:
      return shown(value.code());
  }
  return {};
}

bool all_spaces(std::string_view text) {
  return text.find_first_not_of(" \t\r\n") == std::string_view::npos;
}

// An empty cell inside a range; the office hands it over as an empty text.
bool blank(const Value& value) {
  return value.is_empty() || (value.is_text() && all_spaces(value.text()));
}

std::string with_article(std::string_view noun) {
  const bool vowel = !noun.empty() && std::string_view("aeiou").find(noun[0]) != noun.npos;
  return fmt::format("{} {}", vowel ? "an" : "a", noun);
}

std::string cell_place(const Matrix& m, std::size_t index) {
  return m.size() == 1 ? std::string()
                       : fmt::format(" in row {}, column {}", index / m.columns() + 1,
                                     index % m.columns() + 1);
}

Value finite(const Function& function, Value value) {
  if (value.kind() == Value::Kind::number && !std::isfinite(value.number())) {
    return Error(Code::number,
                 fmt::format("{}: the result is too large to be a number", function.record.name));
  }
  return value;
}

}  // namespace

std::string counted(std::size_t count, std::string_view noun) {
  return fmt::format("{} {}{}", count, noun, count == 1 ? "" : "s");
}

std::string quoted(std::string_view text) {
  constexpr std::size_t kLongest = 60;
  if (text.size() <= kLongest) return fmt::format("\"{}\"", text);
  std::size_t end = kLongest;
  while (end > 0 && (static_cast<unsigned char>(text[end]) & 0xC0) == 0x80) --end;
  return fmt::format("\"{}…\"", text.substr(0, end));
}

Error named(const Function& function, Error error) {
  if (!error.sentence.empty()) {
    error.sentence = fmt::format("{}: {}", function.record.name, error.sentence);
  }
  return error;
}

Reader::Reader(const Function& function, std::span<const Argument> arguments)
    : function_(function), arguments_(arguments) {}

void Reader::fail(Error error) {
  if (!error_) error_ = std::move(error);
}

void Reader::refuse_argument(std::size_t index, std::string sentence, Code code) {
  fail(named(function_, Error(code, std::move(sentence), static_cast<int>(index))));
}

std::string Reader::titled(std::size_t index) const {
  return std::string(function_.parameters[index].name);
}

bool Reader::present(std::size_t index) const {
  return index < arguments_.size() && arguments_[index].kind != Argument::Kind::omitted;
}

const Value* Reader::single(std::size_t index) {
  if (!present(index)) {
    refuse_argument(index, fmt::format("needs the {} (argument {})", titled(index), index + 1));
    return nullptr;
  }
  const Argument& argument = arguments_[index];
  if (argument.kind == Argument::Kind::scalar) return &argument.scalar;
  if (argument.kind == Argument::Kind::matrix) {
    const Matrix& m = *argument.matrix;
    if (m.size() == 1) return &m.cells()[0];
    refuse_argument(index,
                    fmt::format("{} is a range of {} and {}; it takes one cell", titled(index),
                                counted(m.rows(), "row"), counted(m.columns(), "column")));
    return nullptr;
  }
  refuse_argument(index, fmt::format("{} must be a value", titled(index)));
  return nullptr;
}

std::string Reader::titled(const Place& place) const {
  return place.range == nullptr ? titled(place.index)
                                : titled(place.index) + cell_place(*place.range, place.cell);
}

void Reader::note_unit(std::size_t index, Dimension dimension, bool bare, const Value& value) {
  if (!measured(dimension)) return;
  for (const Seen& other : seen_) {
    if (other.bare == bare) {
      if (other.dimension == dimension) return;
      continue;
    }
    const bool same = other.dimension == dimension;
    if (!same && !function_.record.linked_units) continue;
    const std::string shown_here = shown_value(value);
    const std::string shown_there = shown_value(other.value);
    const std::string what = bare ? fmt::format("is the bare number {}", shown_here)
                                  : fmt::format("is {}, with a unit", shown_here);
    const std::string beside = other.bare ? fmt::format("the bare number {}", shown_there)
                                          : fmt::format("{}, which has a unit", shown_there);
    refuse_argument(
        index, same ? fmt::format("{} {}, beside {}, {} too; give both a unit or neither",
                                  titled(index), what, beside, with_article(info(dimension).name))
                    : fmt::format("{} {}, beside {}; give all of them a unit or none",
                                  titled(index), what, beside));
    return;
  }
  seen_.push_back({dimension, bare, value});
}

void Reader::check_rule(std::size_t index, double number, const Value& value) {
  const Rule rule = function_.parameters[index].rule;
  if (obeys(rule, number)) return;
  std::string sentence =
      fmt::format("{} is {}; it {}", titled(index), shown_value(value), rule_text(rule));
  // A rate typed as 19 was meant as 19%.
  const bool share =
      rule == Rule::share || rule == Rule::share_below_one || rule == Rule::open_share;
  if (share && !value.is_text() && number >= 1 && number <= 100) {
    sentence += fmt::format("; {}% is {}", plain_number(number), plain_number(number / 100));
  }
  refuse_argument(index, std::move(sentence));
}

void Reader::check_bare(const Place& place, double number, const Value& value) {
  const Bare& range = function_.parameters[place.index].bare;
  const bool plausible =
      range.advice.empty() || number == 0 || (number >= range.least && number <= range.most);
  if (failed() || plausible) return;
  const std::string_view unit = unit_of(function_, place.index);
  const std::string which =
      unit.empty() ? "it" : fmt::format("a number without a unit is in {} and", unit);
  const std::string most =
      std::isfinite(range.most) ? fmt::format("at most {}", plain_number(range.most)) : "";
  const std::string least =
      range.least > 0 ? fmt::format("at least {}", plain_number(range.least)) : "";
  refuse_argument(
      place.index,
      fmt::format("{} is {}; {} must be {}{}{}; {}", titled(place), shown_value(value), which,
                  least, least.empty() || most.empty() ? "" : " and ", most, range.advice));
}

double Reader::read(const Place& place, const Value& value) {
  return read(place, value, function_.types[place.index].dimension);
}

double Reader::read(const Place& place, const Value& value, Dimension dimension) {
  if (value.is_text()) return read_text(place, value, dimension);
  // The office hands an empty cell over as 0.
  const double number = value.number();
  if (!std::isfinite(number)) {
    refuse_argument(place.index, fmt::format("{} is not a finite number", titled(place)),
                    Code::number);
    return 0;
  }
  // Nothing is nothing in every unit.
  if (number != 0) note_unit(place.index, dimension, true, value);
  check_rule(place.index, number, value);
  check_bare(place, number, value);
  return number;
}

double Reader::read_text(const Place& place, const Value& value, Dimension dimension) {
  const std::size_t index = place.index;
  if (all_spaces(value.text())) {
    refuse_argument(index, fmt::format("{} is an empty text; it must be {}", titled(place),
                                       with_article(info(dimension).name)));
    return 0;
  }
  Result<Measured> quantity = parse_quantity(value.text(), Marks::either, dimension);
  if (!quantity) {
    refuse_argument(index, fmt::format("{} is {}: {}", titled(place), shown_value(value),
                                       quantity.error().text()));
    return 0;
  }
  return read_measured(place, *quantity, value, dimension);
}

double Reader::read_measured(const Place& place, const Measured& quantity, const Value& value,
                             Dimension dimension) {
  const std::size_t index = place.index;
  double number = quantity.value;
  if (quantity.unit == nullptr) {
    if (number != 0) note_unit(index, dimension, true, value);
  } else if (quantity.unit->dimension != dimension) {
    const bool unitless = !measured(dimension) && dimension != Dimension::ratio;
    const std::string due = with_article(info(dimension).name);
    refuse_argument(
        index, unitless
                   ? fmt::format("{} is {}, with a unit; it must be {} without a unit",
                                 titled(place), shown_value(value), due)
                   : fmt::format("{} is {}, {}; it must be {}", titled(place), shown_value(value),
                                 with_article(info(quantity.unit->dimension).name), due));
    return 0;
  } else {
    // A unit of the record's own holds for the columns of its dimension.
    const Unit* unit = find_unit(unit_of(function_, index));
    if (unit != nullptr && unit->dimension != dimension) unit = find_unit(info(dimension).unit);
    if (unit != nullptr) {
      number = convert(number, *quantity.unit, *unit);
    } else if (dimension == Dimension::ratio) {
      number = static_cast<double>(number * quantity.unit->size);
    }
    note_unit(index, dimension, false, value);
    if (!std::isfinite(number)) {
      refuse_argument(
          index, fmt::format("{} is {}, which is too large", titled(place), shown_value(value)),
          Code::number);
      return 0;
    }
  }
  check_rule(index, number, value);
  if (quantity.unit == nullptr) check_bare(place, number, value);
  return number;
}

bool Reader::bare(std::size_t index) const {
  if (!present(index)) return false;
  const Argument& argument = arguments_[index];
  const Value* value = argument.kind == Argument::Kind::scalar ? &argument.scalar : nullptr;
  if (argument.kind == Argument::Kind::matrix && argument.matrix->size() == 1) {
    value = &argument.matrix->cells()[0];
  }
  if (value == nullptr) return false;
  if (!value->is_text()) return true;
  const Result<Measured> quantity = parse_quantity(value->text());
  return quantity && quantity->unit == nullptr;
}

double Reader::measure(std::size_t index) {
  if (failed()) return 0;
  if (!present(index)) {
    if (const double* fallback = std::get_if<double>(&function_.parameters[index].fallback)) {
      return *fallback;
    }
  }
  const Value* value = single(index);
  return value != nullptr ? read({index}, *value) : 0;
}

std::string_view Reader::text(std::size_t index) {
  if (failed()) return {};
  if (!present(index)) {
    if (const auto* fallback =
            std::get_if<std::string_view>(&function_.parameters[index].fallback)) {
      return *fallback;
    }
  }
  const Value* value = single(index);
  if (value == nullptr) return {};
  if (!value->is_text()) {
    refuse_argument(index,
                    fmt::format("{} is {}; it must be a text", titled(index), shown_value(*value)));
    return {};
  }
  return value->text();
}

bool Reader::flag(std::size_t index) {
  if (failed()) return false;
  if (!present(index)) {
    if (const double* fallback = std::get_if<double>(&function_.parameters[index].fallback)) {
      return *fallback != 0;
    }
  }
  const Value* value = single(index);
  if (value == nullptr) return false;
  if (value->is_text()) {
    refuse_argument(index, fmt::format("{} is {}; it must be TRUE or FALSE", titled(index),
                                       shown_value(*value)));
    return false;
  }
  return value->number() != 0;
}

std::vector<std::optional<double>> Reader::series(std::size_t index) {
  if (failed()) return {};
  if (present(index) && arguments_[index].kind == Argument::Kind::scalar) {
    return {read({index}, arguments_[index].scalar)};
  }
  if (!present(index) || arguments_[index].kind != Argument::Kind::matrix) {
    refuse_argument(index, fmt::format("needs the {} (argument {})", titled(index), index + 1));
    return {};
  }
  const Matrix& m = *arguments_[index].matrix;
  std::vector<std::optional<double>> out;
  out.reserve(m.size());
  for (std::size_t i = 0; i < m.size() && !failed(); ++i) {
    const Value& value = m.cells()[i];
    if (blank(value)) {
      out.emplace_back();
    } else {
      out.emplace_back(read({index, &m, i}, value));
    }
  }
  if (out.empty()) refuse_argument(index, fmt::format("{} is an empty range", titled(index)));
  return out;
}

std::vector<double> Reader::list(std::size_t index) {
  std::vector<double> out;
  for (const std::optional<double>& each : series(index)) {
    if (each) out.push_back(*each);
  }
  if (out.empty() && !failed()) {
    refuse_argument(index, fmt::format("{} has no number in it", titled(index)));
  }
  return out;
}

std::pair<double, double> Reader::interval(std::size_t index) {
  if (failed()) return {};
  if (!present(index)) {
    if (const double* fallback = std::get_if<double>(&function_.parameters[index].fallback)) {
      return {*fallback, *fallback};
    }
  }
  double low = 0;
  double high = 0;
  if (present(index) && arguments_[index].kind == Argument::Kind::matrix &&
      arguments_[index].matrix->size() == 2) {
    const Matrix& m = *arguments_[index].matrix;
    low = read({index, &m, 0}, m.cells()[0]);
    if (!failed()) high = read({index, &m, 1}, m.cells()[1]);
  } else {
    const Value* value = single(index);
    if (value == nullptr) return {};
    const Dimension dimension = function_.types[index].dimension;
    Result<MeasuredRange> range = value->is_text()
                                      ? parse_range(value->text(), Marks::either, dimension)
                                      : Result<MeasuredRange>(Error(Code::value));
    if (range) {
      auto one = [&](const Measured& m) {
        const std::string text = number_text(m.value);
        const Value shown(m.unit == nullptr ? text : fmt::format("{} {}", text, m.unit->symbol));
        return read_measured({index}, m, shown, dimension);
      };
      low = one(range->low);
      if (!failed()) high = one(range->high);
    } else if (value->is_text() && !all_spaces(value->text())) {
      refuse_argument(index, fmt::format("{} is {}: {}", titled(index), shown_value(*value),
                                         range.error().text()));
    } else {
      low = high = read({index}, *value);
    }
  }
  if (!failed() && low > high) {
    refuse_argument(index, fmt::format("{} runs from {} down to {}; the low end comes first",
                                       titled(index), plain_number(low), plain_number(high)));
  }
  return {low, high};
}

Matrix Reader::table(std::size_t index) {
  if (failed()) return {};
  if (!present(index)) {
    refuse_argument(index, fmt::format("needs the {} (argument {})", titled(index), index + 1));
    return {};
  }
  const Argument& argument = arguments_[index];
  Matrix out =
      argument.kind == Argument::Kind::matrix ? *argument.matrix : Matrix(1, 1, argument.scalar);
  for (Value& value : out.cells()) {
    if (value.is_text() && value.text().empty()) value = Value();
  }
  return out;
}

std::vector<TableRow> Reader::rows(std::size_t index, std::span<const Dimension> columns) {
  const Matrix m = table(index);
  if (failed()) return {};
  if (m.columns() > columns.size()) {
    refuse_argument(index, fmt::format("{} has {}; it takes {} at most", titled(index),
                                       counted(m.columns(), "column"), columns.size()));
    return {};
  }
  std::vector<TableRow> out;
  for (std::size_t row = 0; row < m.rows() && !failed(); ++row) {
    TableRow read_row{row + 1, std::vector<std::optional<double>>(columns.size())};
    bool any = false;
    for (std::size_t column = 0; column < m.columns() && !failed(); ++column) {
      const Value& value = m.at(row, column);
      if (blank(value)) continue;
      any = true;
      const Place place{index, &m, row * m.columns() + column};
      read_row.cells[column] = read(place, value, columns[column]);
    }
    if (any) out.push_back(std::move(read_row));
  }
  if (out.empty() && !failed()) {
    refuse_argument(index, fmt::format("{} has no entry in it", titled(index)));
  }
  return out;
}

CellState Reader::cell(std::size_t index) {
  if (failed()) return {};
  if (!present(index) || arguments_[index].kind != Argument::Kind::cell) {
    // The code is Calc's for what is no reference where one is due.
    refuse_argument(index, fmt::format("{} must be a reference to one cell", titled(index)),
                    Code::parameters);
    return {};
  }
  return *arguments_[index].cell;
}

namespace {

// An error among the arguments, as Calc sees it before it calls an add-in: the last argument's
// error comes out, an array's as well, and a range of cells with an error in it does not fit.
std::optional<Error> handed_error(const Function& function, std::span<const Argument> arguments) {
  for (std::size_t i = arguments.size(); i-- > 0;) {
    const Argument& argument = arguments[i];
    if (argument.kind == Argument::Kind::scalar && argument.scalar.is_error()) {
      return argument.scalar.error();
    }
    if (argument.kind != Argument::Kind::matrix) continue;
    const Matrix& m = *argument.matrix;
    for (std::size_t c = 0; c < m.size(); ++c) {
      if (!m.cells()[c].is_error()) continue;
      if (!argument.range) return m.cells()[c].error();
      return named(function, Error(Code::parameters,
                                   fmt::format("{}{} is {}", function.parameters[i].name,
                                               cell_place(m, c), shown_value(m.cells()[c])),
                                   static_cast<int>(i)));
    }
  }
  return std::nullopt;
}

}  // namespace

Answer call(const Function& function, std::span<const Argument> arguments) {
  if (arguments.size() > function.parameters.size()) {
    return Value(
        Error(Code::parameters,
              fmt::format("{}: takes {} at most; {} are given", function.record.name,
                          counted(function.parameters.size(), "argument"), arguments.size())));
  }
  if (std::optional<Error> error = handed_error(function, arguments)) {
    return Value(std::move(*error));
  }
  Answer answer = function.invoke(function, arguments);
  if (Value* value = std::get_if<Value>(&answer)) return finite(function, std::move(*value));
  for (Value& value : std::get<Matrix>(answer).cells()) {
    value = finite(function, std::move(value));
  }
  return answer;
}

}  // namespace loftledger::catalogue
