#include "engine/standard/call/call.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "engine/standard/call/addin.hpp"
#include "engine/standard/values/arithmetic.hpp"

namespace loftledger::standard {

namespace {

// References with more cells than this are clipped to the used part of their sheet when they are
// read whole; below, an array keeps the size that was written.
constexpr std::int64_t kWholeArray = 500000;

// The cells of an area into an array, the first sheet only.
Matrix read_area(Area area, Cells& cells) {
  if (area.rows() * area.columns() > kWholeArray) {
    const Area whole{area.first_sheet, area.first_sheet, 0, kMaxRows - 1, 0, kMaxColumns - 1};
    const std::optional<Area> used = cells.used(whole);
    const std::int32_t row = used ? used->last_row : area.first_row;
    const std::int32_t column = used ? used->last_column : area.first_column;
    area.last_row = std::clamp(row, area.first_row, area.last_row);
    area.last_column = std::clamp(column, area.first_column, area.last_column);
  }
  area.last_sheet = area.first_sheet;
  Matrix out(static_cast<std::size_t>(area.rows()), static_cast<std::size_t>(area.columns()));
  auto place = [&](CellAddress a, std::size_t offset) -> Value& {
    return out.at(static_cast<std::size_t>(a.row - area.first_row) + offset,
                  static_cast<std::size_t>(a.column - area.first_column));
  };
  cells.each(
      area,
      [&](CellAddress first, std::span<const double> numbers) {
        for (std::size_t i = 0; i < numbers.size(); ++i) place(first, i) = Value(numbers[i]);
        return true;
      },
      [&](CellAddress at, const Value& value) {
        if (!handed_on(cells, at, value)) place(at, 0) = value;
        return true;
      });
  return out;
}

}  // namespace

// The cell of the area in the formula's row or column: an area of one row gives the cell above or
// below the formula, one of one column the cell beside it. On another sheet a rectangle gives the
// cell at the formula's own place.
std::optional<CellAddress> intersection(const Area& area, CellAddress here) {
  if (area.rows() == 1 && area.columns() == 1 && area.sheets() == 1) return area.first();
  CellAddress out = area.first();
  if (area.sheets() > 1) {
    if (here.sheet < area.first_sheet || here.sheet > area.last_sheet) return std::nullopt;
    out.sheet = here.sheet;
  }
  const bool column_inside = here.column >= area.first_column && here.column <= area.last_column;
  const bool row_inside = here.row >= area.first_row && here.row <= area.last_row;
  const bool elsewhere = area.sheets() == 1 && area.first_sheet != here.sheet;
  if (column_inside ? area.rows() > 1 && !(elsewhere && row_inside)
                    : !row_inside || area.columns() > 1) {
    return std::nullopt;
  }
  if (column_inside) out.column = here.column;
  if (row_inside) out.row = here.row;
  return out;
}

Value single(const Operand& operand, Cells& cells, CellAddress here) {
  switch (operand.kind) {
    case Operand::Kind::value:
      return operand.value;
    case Operand::Kind::area:
      if (const auto cell = intersection(operand.area, here)) return cells.at(*cell);
      return Value(Code::value);
    case Operand::Kind::areas:
      if (operand.areas->size() != 1) return Value(Code::parameters);
      return single(Operand(operand.areas->front()), cells, here);
    case Operand::Kind::matrix:
      if (operand.matrix->empty()) return Value(Code::value);
      return operand.matrix->cells().front();
    case Operand::Kind::missing:
      break;
  }
  return Value();
}

void each_value(const Operand& operand, Cells& cells, FunctionRef<bool(const Value&)> visit) {
  bool go_on = true;
  auto area = [&](const Area& a) {
    cells.each(
        a,
        [&](CellAddress, std::span<const double> run) {
          for (double number : run) {
            if (!visit(Value(number))) return go_on = false;
          }
          return true;
        },
        [&](CellAddress, const Value& value) { return go_on = visit(value); });
    return go_on;
  };
  switch (operand.kind) {
    case Operand::Kind::area:
      area(operand.area);
      break;
    case Operand::Kind::areas:
      for (const Area& each : *operand.areas) {
        if (!area(each)) break;
      }
      break;
    case Operand::Kind::matrix:
      for (const Value& value : operand.matrix->cells()) {
        if (!visit(value)) break;
      }
      break;
    case Operand::Kind::missing:
      visit(Value());
      break;
    case Operand::Kind::value:
      visit(operand.value);
      break;
  }
}

Value Call::scalar(std::size_t index) {
  if (index >= count()) return Value();
  Value value = single(arguments_[index], cells_, here_);
  if (value.is_error()) fail(value);
  return value;
}

// Of cells that give no number where one is due that of the first argument shows, else of all that
// is no number or text that of the last, in whichever order a function reads them.
void Call::note(Value error, Source source) {
  if (failed()) {
    if (!source_) return;
    // Several areas are met where they are read, from the last argument to the first.
    const bool areas = source.rank == Rank::areas || source_->rank == Rank::areas;
    if (areas ? source.index <= source_->index : source.rank < source_->rank) return;
    const bool first = source.rank == Rank::in_cell;
    if (source.rank == source_->rank &&
        (first ? source.index >= source_->index : source.index <= source_->index)) {
      return;
    }
  }
  error_ = std::move(error);
  source_ = source;
}

double Call::number(std::size_t index) {
  if (index >= count()) return 0;
  const Operand& operand = arguments_[index];
  const Value value = single(operand, cells_, here_);
  Value number = to_number(value, settings());
  if (!number.is_error()) return number.number();
  const bool in_cell = operand.from_cell ||
                       (operand.kind == Operand::Kind::area && intersection(operand.area, here_));
  const Rank rank = operand.kind == Operand::Kind::areas ? Rank::areas
                    : in_cell                            ? Rank::in_cell
                                                         : Rank::conversion;
  note(std::move(number), {index, rank});
  return 0;
}

double Call::number(std::size_t index, double otherwise) {
  return index < count() ? number(index) : otherwise;
}

std::int64_t Call::whole(std::size_t index) {
  const double value = truncated_as_seen(number(index));
  // Beyond 32 bits nothing that counts whole things has a meaning.
  if (std::abs(value) > std::numeric_limits<std::int32_t>::max()) {
    note(Value(Code::argument), {index, Rank::conversion});
    return 0;
  }
  return static_cast<std::int64_t>(value);
}

std::int64_t Call::whole(std::size_t index, std::int64_t otherwise) {
  return index < count() ? whole(index) : otherwise;
}

bool Call::truth(std::size_t index) { return number(index) != 0; }

bool Call::truth(std::size_t index, bool otherwise) {
  return index < count() ? truth(index) : otherwise;
}

std::string Call::text(std::size_t index) {
  if (index >= count()) return {};
  // Of several areas there is no number (Err:504) and no text.
  const bool several = arguments_[index].kind == Operand::Kind::areas;
  const Value value = several ? Value(Code::argument) : single(arguments_[index], cells_, here_);
  if (value.is_error()) note(value, {index, Rank::conversion});
  return to_text(value);
}

std::string Call::text(std::size_t index, std::string_view otherwise) {
  return index < count() ? text(index) : std::string(otherwise);
}

Matrix Call::matrix(std::size_t index) {
  if (index >= count()) return Matrix(1, 1);
  const Operand& operand = arguments_[index];
  const bool addin = function_.counting == Counting::addin;
  switch (operand.kind) {
    case Operand::Kind::matrix:
      return *operand.matrix;
    case Operand::Kind::area:
      if (operand.area.sheets() > 1 && !addin) fail(Code::parameters);
      return read_area(operand.area, cells_);
    case Operand::Kind::areas:
      if (operand.areas->size() == 1) return read_area(operand.areas->front(), cells_);
      fail(addin ? Code::parameters : Code::argument);
      return Matrix(1, 1);
    case Operand::Kind::value:
      if (operand.value.is_error()) fail(operand.value);
      return Matrix(1, 1, operand.value);
    case Operand::Kind::missing:
      break;
  }
  return Matrix(1, 1);
}

std::vector<Matrix> Call::matrices(std::size_t index) {
  const Operand& operand = arguments_[index];
  std::vector<Area> areas;
  if (operand.kind == Operand::Kind::area) areas = {operand.area};
  if (operand.kind == Operand::Kind::areas) areas = *operand.areas;
  if (areas.empty()) return {matrix(index)};
  std::vector<Matrix> out;
  for (Area area : areas) {
    for (std::int64_t left = area.sheets(); left > 0; --left) {
      out.push_back(read_area(area, cells_));
      ++area.first_sheet;
    }
  }
  return out;
}

Area Call::area(std::size_t index) {
  if (index < count()) {
    const Operand& operand = arguments_[index];
    if (operand.kind == Operand::Kind::area) return operand.area;
    if (operand.kind == Operand::Kind::areas && operand.areas->size() == 1) {
      return operand.areas->front();
    }
    if (operand.is_error()) fail(operand.value);
  }
  fail(Code::parameters);
  return {};
}

void Call::numbers(std::size_t index, FunctionRef<bool(double)> visit) {
  if (index >= count()) return;
  const Operand& operand = arguments_[index];
  if (operand.kind == Operand::Kind::missing) {
    visit(0.0);
    return;
  }
  // A text stands for no number here, not even one that reads as a number.
  if (operand.kind == Operand::Kind::value && operand.value.is_text()) fail(Code::value);
  each_value(operand, cells_, [&](const Value& value) {
    if (value.is_error()) fail(value);
    return (!value.is_numeric() || visit(value.number())) && !failed();
  });
}

std::vector<double> Call::all_numbers(std::size_t first) {
  std::vector<double> out;
  for (std::size_t i = first; i < count() && !failed(); ++i) {
    numbers(i, [&](double number) {
      out.push_back(number);
      return true;
    });
  }
  return out;
}

void Call::values(std::size_t index, FunctionRef<bool(const Value&)> visit) {
  if (index < count()) each_value(arguments_[index], cells_, visit);
}

std::string_view Call::name() const { return function_.name; }

Operand Call::run() {
  if (function_.counting != Counting::addin) return failed() ? failure() : function_.body(*this);
  const std::vector<Operand> read = addin_arguments(*this);
  if (failed()) return failure();
  Call call(function_, read, cells_, here_, array_mode_);
  return function_.body(call);
}

bool as_it_stands(Take take) {
  return take == Take::reference || take == Take::places || take == Take::array ||
         take == Take::option || take == Take::numbers || take == Take::wholes ||
         take == Take::texts;
}

std::optional<Error> wrong_count(const StandardFunction& f, std::size_t arguments) {
  const auto count = static_cast<std::int64_t>(arguments);
  const bool few_are_504 = f.counting == Counting::addin || f.counting == Counting::parameters;
  if (count < f.least) {
    const Code code = f.counting == Counting::last ? Code::no_operand
                      : few_are_504                ? Code::parameters
                                                   : Code::missing_argument;
    return Error(
        code, fmt::format("{} needs {} arguments at least; {} are given", f.name, f.least, count));
  }
  if (f.most >= 0 && count > f.most) {
    const bool by_parser = (f.counting == Counting::branches && count > f.most + 1) ||
                           (f.most <= 1 && f.counting == Counting::usual);
    const Code code = f.counting == Counting::last ? Code::missing_operator
                      : by_parser                  ? Code::brackets
                                                   : Code::parameters;
    return Error(code,
                 fmt::format("{} takes {} arguments at most; {} are given", f.name, f.most, count));
  }
  return std::nullopt;
}

Take take_of(const StandardFunction& f, std::size_t index) {
  const std::size_t n = f.takes.size();
  if (n == 0) return Take::value;
  if (index < n) return static_cast<Take>(f.takes[index]);
  const auto repeats = static_cast<std::size_t>(f.repeats);
  return static_cast<Take>(f.takes[n - repeats + (index - n) % repeats]);
}

Error Call::not_finite() const {
  const Code code = function_.counting == Counting::addin ? Code::argument : Code::number;
  return Error(code, fmt::format("{}: the result is no finite number", name()));
}

Operand Call::finish(double result) const {
  if (failed()) return failure();
  if (!std::isfinite(result)) return not_finite();
  return result;
}

}  // namespace loftledger::standard
