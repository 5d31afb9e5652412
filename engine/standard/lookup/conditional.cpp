// Counts, sums and averages of the cells that meet criteria (OpenFormula 6.13, 6.16 and 6.18).
#include <algorithm>
#include <cstdint>
#include <limits>
#include <optional>
#include <vector>

#include "engine/standard/call/criteria.hpp"
#include "engine/standard/call/numbers.hpp"
#include "engine/standard/lookup/functions.hpp"
#include "engine/standard/values/arithmetic.hpp"

namespace loftledger::standard {

namespace {

using Block = std::span<const double>;

// Whether an argument can be searched: an array, or one rectangle of one sheet.
bool searchable(const Operand& operand) {
  return operand.kind == Operand::Kind::matrix ||
         (operand.kind == Operand::Kind::area && operand.area.sheets() == 1);
}

// What a function of several criteria answers an argument with that cannot be searched.
Code unsearchable(const Operand& operand) {
  const bool sheets = operand.kind == Operand::Kind::area && operand.area.sheets() > 1;
  return sheets ? Code::argument : Code::parameters;
}

// The rows and columns from the argument's first cell on that hold anything.
Shape extent(const Operand& operand, Cells& cells) {
  if (operand.kind != Operand::Kind::area) return shape_of(operand);
  const auto used = cells.used(operand.area);
  if (!used) return {0, 0};
  return {used->last_row - operand.area.first_row + 1,
          used->last_column - operand.area.first_column + 1};
}

// Visits the cells of an argument that are not empty, within a shape that is laid at its first cell
// and may be larger than the argument.
void each_cell(Cells& cells, const Operand& operand, Shape shape,
               FunctionRef<bool(std::int64_t row, std::int64_t column, Block)> numbers,
               FunctionRef<bool(std::int64_t row, std::int64_t column, const Value&)> others) {
  if (operand.kind == Operand::Kind::matrix) {
    const Matrix& matrix = *operand.matrix;
    const Shape inside{std::min(shape.rows, static_cast<std::int64_t>(matrix.rows())),
                       std::min(shape.columns, static_cast<std::int64_t>(matrix.columns()))};
    for (std::int64_t c = 0; c < inside.columns; ++c) {
      for (std::int64_t r = 0; r < inside.rows; ++r) {
        const Value& value = matrix.at(static_cast<std::size_t>(r), static_cast<std::size_t>(c));
        if (!value.is_empty() && !others(r, c, value)) return;
      }
    }
    return;
  }
  Area area = operand.area;
  area.last_row =
      static_cast<std::int32_t>(std::min<std::int64_t>(area.first_row + shape.rows, kMaxRows) - 1);
  area.last_column = static_cast<std::int32_t>(
      std::min<std::int64_t>(area.first_column + shape.columns, kMaxColumns) - 1);
  if (area.rows() <= 0 || area.columns() <= 0) return;
  cells.each(
      area,
      [&](CellAddress first, Block block) {
        return numbers(first.row - area.first_row, first.column - area.first_column, block);
      },
      [&](CellAddress at, const Value& value) {
        return others(at.row - area.first_row, at.column - area.first_column, value);
      });
}

// Which places of ranges of one shape meet all criteria. Only the part in which anything stands is
// looked through; beyond it all cells are empty.
class Selection {
 public:
  Selection(Shape whole, Shape part)
      : whole_(whole),
        part_(part),
        chosen_(static_cast<std::size_t>(part.rows * part.columns), 1) {}

  void narrow(Cells& cells, const Operand& range, const Criterion& criterion) {
    const bool empty = criterion.matches_empty();
    beyond_ = beyond_ && empty;
    std::vector<std::uint8_t> met(chosen_.size(), empty ? 1 : 0);
    each_cell(
        cells, range, part_,
        [&](std::int64_t row, std::int64_t column, Block block) {
          std::uint8_t* out = met.data() + index(row, column);
          for (const double number : block) *out++ = criterion.matches(Value(number)) ? 1 : 0;
          return true;
        },
        [&](std::int64_t row, std::int64_t column, const Value& value) {
          met[index(row, column)] = criterion.matches(value) ? 1 : 0;
          return true;
        });
    for (std::size_t i = 0; i < chosen_.size(); ++i) chosen_[i] &= met[i];
  }

  bool holds(std::int64_t row, std::int64_t column) const {
    return chosen_[index(row, column)] != 0;
  }

  double count() const {
    const auto inside = std::count(chosen_.begin(), chosen_.end(), 1);
    const std::int64_t outside = whole_.rows * whole_.columns - part_.rows * part_.columns;
    return static_cast<double>(inside + (beyond_ ? outside : 0));
  }

  Shape part() const { return part_; }

 private:
  std::size_t index(std::int64_t row, std::int64_t column) const {
    return static_cast<std::size_t>(column * part_.rows + row);
  }

  Shape whole_;
  Shape part_;
  std::vector<std::uint8_t> chosen_;  // column by column
  bool beyond_ = true;
};

// What is made of the numbers in the chosen cells.
struct Totals {
  ExactSum sum;
  double count = 0;
  double least = std::numeric_limits<double>::infinity();
  double greatest = -std::numeric_limits<double>::infinity();

  void add(double number) {
    sum.add(number);
    ++count;
    least = std::min(least, number);
    greatest = std::max(greatest, number);
  }
};

Totals totals(Call& call, const Operand& values, const Selection& selection) {
  Totals out;
  Value error;
  each_cell(
      call.cells(), values, selection.part(),
      [&](std::int64_t row, std::int64_t column, Block block) {
        for (const double number : block) {
          if (selection.holds(row++, column)) out.add(number);
        }
        return true;
      },
      [&](std::int64_t row, std::int64_t column, const Value& value) {
        if (!selection.holds(row, column)) return true;
        if (value.is_error()) error = value;  // of several the last is shown
        if (value.is_numeric()) out.add(value.number());
        return true;
      });
  if (error.is_error()) call.fail(error);
  return out;
}

Operand sum_of(Call& call, const Totals& totals) { return call.finish(totals.sum.value()); }

Operand average_of(Call& call, const Totals& totals) {
  if (call.failed()) return call.failure();
  if (totals.count == 0) return Error(Code::division, "no number meets the criteria");
  return call.finish(totals.sum.value() / totals.count);
}

Operand least_of(Call& call, const Totals& totals) {
  return call.finish(totals.count == 0 ? 0 : totals.least);
}

Operand greatest_of(Call& call, const Totals& totals) {
  return call.finish(totals.count == 0 ? 0 : totals.greatest);
}

Shape larger(Shape a, Shape b) {
  return {std::max(a.rows, b.rows), std::max(a.columns, b.columns)};
}

Operand count_if(Call& call) {
  const Value wanted = call.scalar(1);
  if (call.failed()) return call.failure();
  const Criterion criterion = Criterion::read(wanted, call.settings());
  std::vector<Operand> ranges{call[0]};
  if (call[0].kind == Operand::Kind::areas) {
    ranges.assign(call[0].areas->begin(), call[0].areas->end());
  }
  double count = 0;
  for (Operand& range : ranges) {
    if (range.is_error()) return range;
    if (!searchable(range)) return Code::parameters;
    Selection selection(shape_of(range), extent(range, call.cells()));
    selection.narrow(call.cells(), range, criterion);
    count += selection.count();
  }
  return count;
}

// SUMIF and AVERAGEIF: range; criterion; the cells to total, which lie about their first cell as
// the range lies about its own.
template <auto finish>
Operand total_if(Call& call) {
  const Value wanted = call.scalar(1);
  const Operand& range = call[0];
  const Operand& values = call.count() > 2 ? call[2] : range;
  if (range.is_error()) return range;
  if (values.is_error()) return values;
  if (call.failed()) return call.failure();
  if (!searchable(range) || !searchable(values)) return Code::parameters;
  const Shape whole = shape_of(range);
  const Shape part = extent(range, call.cells());
  const Criterion criterion = Criterion::read(wanted, call.settings());
  // Where empty cells meet the criterion, values beside them count as well.
  Shape searched = part;
  if (criterion.matches_empty()) {
    Operand reached = values;
    if (values.kind == Operand::Kind::area) {
      reached.area.last_row = static_cast<std::int32_t>(
          std::min<std::int64_t>(values.area.first_row + whole.rows, kMaxRows) - 1);
      reached.area.last_column = static_cast<std::int32_t>(
          std::min<std::int64_t>(values.area.first_column + whole.columns, kMaxColumns) - 1);
    }
    searched = larger(part, extent(reached, call.cells()));
    searched = {std::min(searched.rows, whole.rows), std::min(searched.columns, whole.columns)};
  }
  Selection selection(whole, searched);
  selection.narrow(call.cells(), range, criterion);
  return finish(call, totals(call, values, selection));
}

Error unlike(std::size_t index) {
  return Error(Code::argument, "the ranges differ in their rows or columns",
               static_cast<int>(index));
}

// The places where all pairs of a range and a criterion from `first` on hold; nothing where the
// ranges differ in shape from each other and from `whole`. The last pair is read first.
std::optional<Selection> selected(Call& call, std::size_t first, Shape whole, Shape part) {
  for (std::size_t i = first; i < call.count(); ++i) {
    if (call[i].is_error() && !call[i].from_cell) call.fail(call[i].value);
  }
  for (std::size_t i = call.count(); i > first + 1 && !call.failed();) {
    i -= 2;
    call.scalar(i + 1);
    if (!searchable(call[i])) {
      call.fail(unsearchable(call[i]));
    } else if (shape_of(call[i]) != shape_of(call[call.count() - 2])) {
      call.fail(unlike(i));
    } else {
      part = larger(part, extent(call[i], call.cells()));
    }
  }
  if (!call.failed() && shape_of(call[first]) != whole) call.fail(unlike(first));
  if (call.failed()) return std::nullopt;
  Selection selection(whole, part);
  for (std::size_t i = first; i < call.count(); i += 2) {
    selection.narrow(call.cells(), call[i], Criterion::read(call.scalar(i + 1), call.settings()));
  }
  return selection;
}

Operand count_ifs(Call& call) {
  if (call.count() % 2 != 0) return Code::missing_argument;
  const auto selection = selected(call, 0, shape_of(call[0]), {0, 0});
  if (!selection) return call.failure();
  return selection->count();
}

// SUMIFS and its like: the cells to total; then pairs of a range and a criterion.
template <auto finish>
Operand total_ifs(Call& call) {
  if (call.count() % 2 != 1) return Code::missing_argument;
  if (call[0].is_error()) return call[0];
  Operand values = call[0];
  // One value is an array of one.
  if (values.kind == Operand::Kind::missing) values = 0.0;
  if (values.kind == Operand::Kind::value) values = Matrix(1, 1, values.value);
  for (std::size_t i = call.count() - 2; i > 0 && i < call.count() && !searchable(values); i -= 2) {
    if (!searchable(call[i])) return unsearchable(call[i]);
  }
  if (!searchable(values)) return unsearchable(values);
  const auto selection = selected(call, 1, shape_of(values), extent(values, call.cells()));
  if (!selection) return call.failure();
  return finish(call, totals(call, values, *selection));
}

constexpr StandardFunction kFunctions[] = {
    {"COUNTIF", count_if, 2, 2, "rv", Group::small},
    with_role(Role::lays_out, {"SUMIF", total_if<sum_of>, 2, 3, "rvr", Group::small}),
    with_role(Role::lays_out, {"AVERAGEIF", total_if<average_of>, 2, 3, "rvr", Group::small}),
    {"COUNTIFS", count_ifs, 2, -1, "rv", Group::large, false, 2},
    {"SUMIFS", total_ifs<sum_of>, 3, -1, "rrv", Group::large, false, 2},
    {"AVERAGEIFS", total_ifs<average_of>, 3, -1, "rrv", Group::large, false, 2},
    {"COM.MICROSOFT.MINIFS", total_ifs<least_of>, 3, -1, "rrv", Group::office, false, 2},
    {"COM.MICROSOFT.MAXIFS", total_ifs<greatest_of>, 3, -1, "rrv", Group::office, false, 2},
};

}  // namespace

StandardFunctions conditional_functions() { return kFunctions; }

}  // namespace loftledger::standard
