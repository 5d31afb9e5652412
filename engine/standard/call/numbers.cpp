#include "engine/standard/call/numbers.hpp"

#include <algorithm>
#include <utility>

namespace loftledger::standard {

namespace {

class Reader {
 public:
  Reader(Call& call, FunctionRef<void(std::span<const double>)> take, NumberRule rule)
      : call_(call), take_(take), rule_(rule) {}

  void argument(std::size_t index) {
    const Operand& operand = call_[index];
    in_array_ = take_of(call_.function(), index) == Take::array;
    switch (operand.kind) {
      case Operand::Kind::value:
        direct(operand.value);
        break;
      case Operand::Kind::area:
        area(operand.area);
        break;
      case Operand::Kind::areas:
        for (const Area& each : *operand.areas) area(each);
        break;
      case Operand::Kind::matrix:
        each_by_column(*operand.matrix, [&](const Value& value) { return cell(value); });
        break;
      case Operand::Kind::missing:
        if (rule_.missing_counts) one(0);
        break;
    }
  }

  const Value& error() const { return error_; }

 private:
  void one(double number) { take_({&number, 1}); }

  void direct(const Value& value) {
    if (!value.is_text()) {
      single(value);
    } else if (rule_.texts_are_zero) {
      one(0);
    } else if (!error_.is_error()) {
      error_ = Value(rule_.direct_text);
      stands_ = rule_.direct_text == Code::value || rule_.text_stands;
    }
  }

  // An error that stands alone hides those of the arguments behind it, except a text where a sum
  // wants a number; one in a range does not.
  void single(const Value& value) {
    if (value.is_error()) {
      if (!stands_ && !(rule_.last_shows && error_.is_error())) error_ = value;
    } else {
      cell(value);
    }
  }

  bool cell(const Value& value) {
    if (value.is_error()) {
      if (!error_.is_error()) error_ = value;
      return false;
    }
    if (value.is_numeric()) one(value.number());
    if (value.is_text() && rule_.texts_are_zero) one(0);
    return true;
  }

  void area(const Area& area) {
    if (area.single()) {
      single(counted_at(call_.cells(), area.first()));
      return;
    }
    call_.cells().each(
        area,
        [&](CellAddress, std::span<const double> block) {
          take_(block);
          return true;
        },
        [&](CellAddress at, const Value& value) {
          return (in_array_ && handed_on(call_.cells(), at, value)) || cell(value);
        });
  }

  Call& call_;
  FunctionRef<void(std::span<const double>)> take_;
  NumberRule rule_;
  bool in_array_ = false;  // the argument is evaluated as an array
  Value error_;
  bool stands_ = false;
};

bool is_pair(const Value& a, const Value& b) { return a.is_numeric() && b.is_numeric(); }

}  // namespace

void each_number(Call& call, std::size_t first, FunctionRef<void(std::span<const double>)> take,
                 NumberRule rule) {
  for (std::size_t i = first; i < call.count(); ++i) {
    if (call[i].is_error()) {
      call.fail(call[i].value);
      return;
    }
  }
  Reader reader(call, take, rule);
  for (std::size_t i = call.count(); i-- > first;) reader.argument(i);
  if (reader.error().is_error()) call.fail(reader.error());
}

std::vector<double> number_list(Call& call, std::size_t first, NumberRule rule) {
  std::vector<double> out;
  each_number(
      call, first,
      [&](std::span<const double> block) { out.insert(out.end(), block.begin(), block.end()); },
      rule);
  if (call.failed()) out.clear();
  return out;
}

std::vector<double> numbers_of(Call& call, std::size_t index, NumberRule rule) {
  std::vector<double> out;
  const auto take = [&](std::span<const double> block) {
    out.insert(out.end(), block.begin(), block.end());
  };
  Reader reader(call, take, rule);
  reader.argument(index);
  if (reader.error().is_error()) call.fail(reader.error());
  return out;
}

std::vector<double> plain_numbers(Call& call, std::size_t index) {
  if (call[index].kind == Operand::Kind::value || call[index].is_cell()) {
    return {call.number(index)};
  }
  std::vector<double> out;
  const Matrix values = call.matrix(index);
  for (const Value& value : values.cells()) {
    if (value.is_error()) call.fail(Code::parameters);
    out.push_back(value.number());
  }
  return out;
}

void error_in_cell(Call& call, std::size_t index) {
  const bool error = call[index].is_cell() && call.cells().at(call[index].area.first()).is_error();
  if (call.failed() && error) call.number(index);
}

Shape shape_of(const Operand& operand) {
  switch (operand.kind) {
    case Operand::Kind::area:
      return {operand.area.rows(), operand.area.columns()};
    case Operand::Kind::matrix:
      return {static_cast<std::int64_t>(operand.matrix->rows()),
              static_cast<std::int64_t>(operand.matrix->columns())};
    default:
      return {1, 1};
  }
}

Matrix matrix_or_zero(Call& call, std::size_t index) {
  return call.given(index) ? call.matrix(index) : Matrix(1, 1, Value(0.0));
}

Pairs number_pairs(Call& call, std::size_t first, std::size_t second, Code unequal) {
  LastFirst reader(call);
  return number_pairs(call, reader, first, second, unequal);
}

Pairs number_pairs(Call& call, LastFirst& reader, std::size_t first, std::size_t second,
                   Code unequal) {
  Pairs out;
  const auto read = reader.arrays(std::min(first, second));
  // A single cell in error shows before unlike shapes.
  if (reader.waiting().is_error()) call.fail(reader.waiting());
  if (call.failed()) return out;
  const Matrix& a = first < second ? read->first : read->second;
  const Matrix& b = first < second ? read->second : read->first;
  if (shape_of(call[first]) != shape_of(call[second])) {
    call.fail(unequal);
    return out;
  }
  const std::size_t rows = std::min(a.rows(), b.rows());
  const std::size_t columns = std::min(a.columns(), b.columns());
  for (std::size_t r = 0; r < rows; ++r) {
    for (std::size_t c = 0; c < columns; ++c) {
      const Value& x = a.at(r, c);
      const Value& y = b.at(r, c);
      // An error beside what is no number is passed over with it.
      if (!counts(x) || !counts(y)) continue;
      if (x.is_error()) call.fail(x);
      if (y.is_error()) call.fail(y);
      if (!is_pair(x, y)) continue;
      out.first.push_back(x.number());
      out.second.push_back(y.number());
    }
  }
  return out;
}

}  // namespace loftledger::standard
