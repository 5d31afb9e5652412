// Sums, products, counts, the least and the greatest (OpenFormula 6.16, 6.18 and 6.13).
#include <algorithm>
#include <cmath>
#include <limits>

#include "engine/standard/call/numbers.hpp"
#include "engine/standard/maths/functions.hpp"
#include "engine/standard/values/arithmetic.hpp"

namespace loftledger::standard {

namespace {

using Block = std::span<const double>;

Operand sum(Call& call) {
  ExactSum total;
  each_number(call, 0, [&](Block block) { total.add(block); });
  return call.finish(total.value());
}

Operand product(Call& call) {
  double total = 1;
  bool any = false;
  each_number(call, 0, [&](Block block) {
    any = any || !block.empty();
    for (const double number : block) total *= number;
  });
  return call.finish(any ? total : 0);
}

Operand sum_of_squares(Call& call) {
  ExactSum total;
  each_number(call, 0, [&](Block block) {
    for (const double number : block) total.add(number * number);
  });
  return call.finish(total.value());
}

Operand mean(Call& call, bool texts_are_zero) {
  ExactSum total;
  double count = 0;
  each_number(call, 0,
              [&](Block block) {
                total.add(block);
                count += static_cast<double>(block.size());
              },
              {.texts_are_zero = texts_are_zero});
  if (call.failed()) return call.failure();
  if (count == 0) return Code::division;
  return call.finish(total.value() / count);
}
Operand average(Call& call) { return mean(call, false); }
Operand average_a(Call& call) { return mean(call, true); }

template <class Better>
Operand extreme(Call& call, bool texts_are_zero, double start, Better better) {
  double best = start;
  bool any = false;
  each_number(call, 0,
              [&](Block block) {
                any = any || !block.empty();
                for (const double number : block) best = better(number, best) ? number : best;
              },
              {.texts_are_zero = texts_are_zero, .direct_text = Code::parameters});
  return call.finish(any ? best : 0);
}
constexpr double kInfinity = std::numeric_limits<double>::infinity();
Operand least(Call& call) { return extreme(call, false, kInfinity, std::less<>()); }
Operand greatest(Call& call) { return extreme(call, false, -kInfinity, std::greater<>()); }
Operand least_a(Call& call) { return extreme(call, true, kInfinity, std::less<>()); }
Operand greatest_a(Call& call) { return extreme(call, true, -kInfinity, std::greater<>()); }

// Every cell and value of all arguments: blocks of numbers, and all others that are not empty.
void each_value(Call& call, FunctionRef<void(std::size_t)> numbers,
                FunctionRef<void(const Value&, bool direct)> other) {
  for (std::size_t i = 0; i < call.count(); ++i) {
    const Operand& operand = call[i];
    const auto area = [&](const Area& each) {
      call.cells().each(
          each,
          [&](CellAddress, Block block) {
            numbers(block.size());
            return true;
          },
          [&](CellAddress, const Value& value) {
            other(value, false);
            return true;
          });
    };
    switch (operand.kind) {
      case Operand::Kind::value:
        other(operand.value, true);
        break;
      case Operand::Kind::missing:
        numbers(1);
        break;
      case Operand::Kind::area:
        area(operand.area);
        break;
      case Operand::Kind::areas:
        for (const Area& each : *operand.areas) area(each);
        break;
      case Operand::Kind::matrix:
        for (const Value& value : operand.matrix->cells()) other(value, false);
        break;
    }
  }
}

Operand count_numbers(Call& call) {
  std::size_t count = 0;
  each_value(
      call, [&](std::size_t numbers) { count += numbers; },
      [&](const Value& value, bool direct) {
        const bool counts = direct && value.is_text()
                                ? to_number(value, call.settings()).is_numeric()
                                : value.is_numeric();
        if (counts) ++count;
      });
  return static_cast<double>(count);
}

Operand count_values(Call& call) {
  std::size_t count = 0;
  each_value(
      call, [&](std::size_t numbers) { count += numbers; },
      [&](const Value& value, bool) {
        if (!value.is_empty()) ++count;
      });
  return static_cast<double>(count);
}

bool is_blank(const Value& value) {
  return value.is_empty() || (value.is_text() && value.text().empty());
}

Operand count_blank(Call& call) {
  const Operand& operand = call[0];
  if (operand.kind == Operand::Kind::matrix) {
    const auto& cells = operand.matrix->cells();
    return static_cast<double>(std::count_if(cells.begin(), cells.end(), is_blank));
  }
  if (operand.is_error()) return operand;
  if (!operand.is_reference()) return Code::parameters;
  std::int64_t blank = 0;
  const auto area = [&](const Area& each) {
    blank += each.rows() * each.columns() * each.sheets();
    call.cells().each(
        each,
        [&](CellAddress, Block block) {
          blank -= static_cast<std::int64_t>(block.size());
          return true;
        },
        [&](CellAddress, const Value& value) {
          if (!is_blank(value)) --blank;
          return true;
        });
  };
  if (operand.kind == Operand::Kind::area) {
    area(operand.area);
  } else {
    for (const Area& each : *operand.areas) area(each);
  }
  return static_cast<double>(blank);
}

// The part of the areas beyond which nothing stands in any of them: what is read instead of whole
// columns. All have the same shape.
Shape used_shape(Call& call) {
  Shape out{0, 0};
  for (std::size_t i = 0; i < call.count(); ++i) {
    if (call[i].kind != Operand::Kind::area) return shape_of(call[i]);
    const Area& area = call[i].area;
    if (const auto used = call.cells().used(area)) {
      out.rows = std::max<std::int64_t>(out.rows, used->last_row - area.first_row + 1);
      out.columns = std::max<std::int64_t>(out.columns, used->last_column - area.first_column + 1);
    }
  }
  return out;
}

// Multiplies each element by that of the argument: texts and empty cells are 0.
void multiply_in(Call& call, const Operand& operand, Shape shape, std::vector<double>& products) {
  std::vector<double> factors(products.size(), 0.0);
  const auto place = [&](std::int64_t row, std::int64_t column) -> double& {
    return factors[static_cast<std::size_t>(column * shape.rows + row)];
  };
  const auto other = [&](std::int64_t row, std::int64_t column, const Value& value) {
    if (value.is_error()) call.fail(value);
    place(row, column) = value.number();
    return !call.failed();
  };
  if (operand.kind == Operand::Kind::area) {
    Area area = operand.area;
    area.last_row = area.first_row + static_cast<std::int32_t>(shape.rows) - 1;
    area.last_column = area.first_column + static_cast<std::int32_t>(shape.columns) - 1;
    call.cells().each(
        area,
        [&](CellAddress first, Block block) {
          std::copy(block.begin(), block.end(),
                    &place(first.row - area.first_row, first.column - area.first_column));
          return true;
        },
        [&](CellAddress at, const Value& value) {
          return other(at.row - area.first_row, at.column - area.first_column, value);
        });
  } else if (operand.kind == Operand::Kind::matrix) {
    for (std::int64_t r = 0; r < shape.rows; ++r) {
      for (std::int64_t c = 0; c < shape.columns; ++c) {
        const Value& value =
            operand.matrix->at(static_cast<std::size_t>(r), static_cast<std::size_t>(c));
        if (!other(r, c, value)) return;
      }
    }
  } else {
    other(0, 0, operand.value);
  }
  for (std::size_t i = 0; i < products.size(); ++i) products[i] *= factors[i];
}

Operand sum_of_products(Call& call) {
  for (std::size_t i = 0; i < call.count(); ++i) {
    if (call[i].is_error()) return call[i];
    if (call[i].is_cell()) {
      Value value = call.cells().at(call[i].area.first());
      if (value.is_error()) return value;
    }
    if (call[i].kind == Operand::Kind::areas ||
        (call[i].kind == Operand::Kind::area && call[i].area.sheets() > 1)) {
      return Code::parameters;
    }
  }
  for (std::size_t i = 1; i < call.count(); ++i) {
    if (shape_of(call[i]) != shape_of(call[0])) {
      return Error(Code::value, "SUMPRODUCT: the arrays differ in their rows or columns");
    }
  }
  const Shape shape = used_shape(call);
  if (shape.rows * shape.columns == 0) return 0.0;
  std::vector<double> products(static_cast<std::size_t>(shape.rows * shape.columns), 1.0);
  for (std::size_t i = call.count(); i-- > 0 && !call.failed();) {
    multiply_in(call, call[i], shape, products);
  }
  if (call.failed()) return call.failure();
  ExactSum total;
  total.add(products);
  return call.finish(total.value());
}

template <class Term>
Operand sum_of_pairs(Call& call, Term term) {
  const Pairs pairs = number_pairs(call, 0, 1, Code::value);
  ExactSum total;
  for (std::size_t i = 0; i < pairs.first.size(); ++i) {
    total.add(term(pairs.first[i], pairs.second[i]));
  }
  return call.finish(total.value());
}
Operand sum_x2_minus_y2(Call& call) {
  return sum_of_pairs(call, [](double x, double y) { return x * x - y * y; });
}
Operand sum_x2_plus_y2(Call& call) {
  return sum_of_pairs(call, [](double x, double y) { return x * x + y * y; });
}

// Here an empty cell is 0 and a text is read as a number, where the other two pass over the pair.
Operand sum_of_squared_differences(Call& call) {
  LastFirst reader(call);
  const auto read = reader.arrays(0);
  if (!read) return call.failure();
  if (reader.waiting().is_error()) return reader.waiting();
  if (call.failed()) return call.failure();
  if (shape_of(call[0]) != shape_of(call[1])) return Code::value;
  const Matrix& a = read->first;
  const Matrix& b = read->second;
  ExactSum total;
  for (std::size_t i = 0; i < a.size() && i < b.size(); ++i) {
    const Value x = to_number(a.cells()[i], call.settings());
    const Value y = to_number(b.cells()[i], call.settings());
    if (y.is_error()) return y;
    if (x.is_error()) return x;
    const double difference = x.number() - y.number();
    total.add(difference * difference);
  }
  return call.finish(total.value());
}

// Texts and empty cells among the coefficients are 0. The office takes no power of 0.
Operand power_series(Call& call) {
  const double x = call.number(0);
  double power = call.number(1);
  const double step = call.number(2);
  const Matrix coefficients = call.matrix(3);
  if (call.failed()) return call.failure();
  if (x == 0 && power == 0) return Error(Code::value, "SERIESSUM: 0 to the power of 0");
  if (x == 0) return 0.0;
  double total = 0;
  for (const Value& coefficient : coefficients.cells()) {
    if (coefficient.is_error()) return coefficient;
    total += coefficient.number() * std::pow(x, power);
    power += step;
  }
  return call.finish(total);
}

constexpr StandardFunction kFunctions[] = {
    {"SUM", sum, 0, -1, "r", Group::small},
    {"PRODUCT", product, 0, -1, "r", Group::small},
    {"SUMSQ", sum_of_squares, 0, -1, "r", Group::medium},
    {"SUMPRODUCT", sum_of_products, 1, -1, "a", Group::medium},
    {"SUMX2MY2", sum_x2_minus_y2, 2, 2, "a", Group::medium},
    {"SUMX2PY2", sum_x2_plus_y2, 2, 2, "a", Group::medium},
    {"SUMXMY2", sum_of_squared_differences, 2, 2, "a", Group::medium},
    {"SERIESSUM", power_series, 4, 4, "nnnd", Group::medium, false, 1, Counting::addin},
    meeting_errors({"COUNT", count_numbers, 0, -1, "r", Group::small}),
    meeting_errors({"COUNTA", count_values, 0, -1, "r", Group::small}),
    {"COUNTBLANK", count_blank, 1, 1, "r", Group::small, false, 1, Counting::at_call},
    {"MIN", least, 1, -1, "r", Group::small},
    {"MAX", greatest, 1, -1, "r", Group::small},
    {"MINA", least_a, 1, -1, "r", Group::large},
    {"MAXA", greatest_a, 1, -1, "r", Group::large},
    {"AVERAGE", average, 0, -1, "r", Group::small},
    {"AVERAGEA", average_a, 0, -1, "r", Group::large},
};

}  // namespace

StandardFunctions sum_functions() { return kFunctions; }

}  // namespace loftledger::standard
