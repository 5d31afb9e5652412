// MATCH, VLOOKUP, HLOOKUP, LOOKUP (OpenFormula 6.14).
#include <algorithm>
#include <optional>
#include <span>
#include <vector>

#include "engine/standard/call/criteria.hpp"
#include "engine/standard/call/numbers.hpp"
#include "engine/standard/lookup/functions.hpp"
#include "engine/standard/values/arithmetic.hpp"
#include "engine/standard/values/collation.hpp"

namespace loftledger::standard {

namespace {

enum class Wanted { equal, at_most, at_least };

// The cells with content of one row or column of a sheet, in order; runs of numbers are not copied.
class Keys {
 public:
  Keys(Cells& cells, const Area& line, bool vertical) : vertical_(vertical) {
    first_ = vertical_ ? line.first_row : line.first_column;
    cells.each(
        line,
        [&](CellAddress at, std::span<const double> numbers) {
          add({place(at), count_, numbers, {}}, numbers.size());
          return true;
        },
        [&](CellAddress at, const Value& value) {
          add({place(at), count_, {}, value}, 1);
          return true;
        });
  }
  bool vertical() const { return vertical_; }
  std::size_t size() const { return count_; }
  Value at(std::size_t rank) const {
    const Segment& segment = find(rank);
    return segment.numbers.empty() ? segment.other : Value(segment.numbers[rank - segment.rank]);
  }
  // Where in the line the cell stands, from 0.
  std::size_t place_of(std::size_t rank) const {
    const Segment& segment = find(rank);
    return segment.place + rank - segment.rank;
  }

 private:
  struct Segment {
    std::size_t place;
    std::size_t rank;
    std::span<const double> numbers;
    Value other;
  };
  std::size_t place(CellAddress at) const {
    return static_cast<std::size_t>((vertical_ ? at.row : at.column) - first_);
  }
  void add(Segment segment, std::size_t count) {
    segments_.push_back(std::move(segment));
    count_ += count;
  }
  const Segment& find(std::size_t rank) const {
    const auto after = std::upper_bound(segments_.begin(), segments_.end(), rank,
                                        [](std::size_t r, const Segment& s) { return r < s.rank; });
    return *(after - 1);
  }

  bool vertical_;
  std::int32_t first_ = 0;
  std::size_t count_ = 0;
  std::vector<Segment> segments_;
};

// What is looked for in sorted data.
class Query {
 public:
  Query(Value sought, const sheet::Settings& settings)
      : sought_(sought.is_empty() ? Value("") : std::move(sought)),
        criterion_(Criterion::lookup(sought_, settings)) {}

  bool text() const { return sought_.is_text(); }
  bool pattern() const { return criterion_.is_pattern(); }
  bool equals(const Value& cell) const { return criterion_.matches(cell); }

  // Below 0 where the cell lies before what is sought: numbers before texts.
  int compare(const Value& cell) const {
    if (cell.is_text() != text()) return cell.is_text() ? 1 : -1;
    if (text()) {
      const auto order = compare_texts(cell.text(), sought_.text(), false);
      return order < 0 ? -1 : order > 0 ? 1 : 0;
    }
    if (nearly_equal(cell.number(), sought_.number())) return 0;
    return cell.number() < sought_.number() ? -1 : 1;
  }
  const Value& value() const { return sought_; }

 private:
  Value sought_;
  Criterion criterion_;
};

bool before(const Value& a, const Value& b) {
  if (a.is_text() && b.is_text()) return compare_texts(a.text(), b.text(), false) < 0;
  return a.number() < b.number();
}

// The rank from which to go on cell by cell, found by halving: the last that is equal, else the
// last that lies before what is sought. Data that is seen to be out of order sends it back to the
// start, as in the office.
std::size_t halved(const Keys& keys, const Query& query, bool ascending, std::size_t first) {
  std::size_t low = first;
  std::size_t end = keys.size();
  std::size_t nearest = first;
  std::optional<std::size_t> equal;
  // The last value met on the near side; of the other kind than the query at first, it is no bound.
  Value last = keys.at(first);
  bool bounded = last.is_text() == query.text();
  while (low < end) {
    const std::size_t middle = low + (end - low - 1) / 2;
    const Value cell = keys.at(middle);
    const int order = query.compare(cell);
    if (order == 0) {
      equal = middle;
    } else if ((order < 0) != ascending) {
      end = middle;
      continue;
    } else if (cell.is_text() != query.text()) {
      nearest = middle;
    } else {
      const bool forward = ascending ? before(last, cell) : before(cell, last);
      const bool backward = ascending ? before(cell, last) : before(last, cell);
      if (bounded && backward) return first;
      if (!bounded || forward) {
        last = cell;
        bounded = true;
        nearest = middle;
      }
    }
    low = middle + 1;
  }
  return equal.value_or(nearest);
}

// The last of the equal cells from there on, one after the other.
std::size_t last_equal(const Keys& keys, const Query& query, std::size_t rank) {
  while (rank + 1 < keys.size() && query.equals(keys.at(rank + 1))) ++rank;
  return rank;
}

// The last cell of a sorted line that is no further than what is sought, or the last of the equal
// ones. Goes cell by cell and stops at the first that lies beyond, sorted or not; what matches a
// pattern is looked for beyond that, too.
struct SortedHit {
  std::optional<std::size_t> rank;
  bool at_end = false;  // no cell lies beyond what is sought
};
SortedHit find_sorted_rank(const Keys& keys, const Query& query, bool ascending) {
  const auto beyond = [&](const Value& cell) {
    const int order = query.compare(cell);
    return ascending ? order > 0 : order < 0;
  };
  // A text that lies beyond is taken for a heading where it is the first in a column, or stands at
  // the very start of a row.
  const auto heading = [&](std::size_t rank) {
    return query.text() && rank == 0 && (keys.vertical() || keys.place_of(0) == 0) &&
           keys.at(0).is_text() && beyond(keys.at(0));
  };
  std::size_t rank = 0;
  if (keys.vertical() && !query.pattern()) {
    if (heading(0)) ++rank;
    if (rank == keys.size()) return {};
    rank = halved(keys, query, ascending, rank);
  }
  std::optional<std::size_t> found;
  for (; rank < keys.size(); ++rank) {
    const Value cell = keys.at(rank);
    // Looking for a number passes over texts; looking for a text, numbers come before all texts.
    if (!query.text() && cell.is_text()) continue;
    if (query.text() && cell.is_numeric() && ascending) {
      found = rank;
      continue;
    }
    if (!cell.is_error() && cell.is_text() == query.text()) {
      if (query.equals(cell)) return {last_equal(keys, query, rank)};
      if (!beyond(cell)) {
        found = rank;
        continue;
      }
      if (heading(rank)) continue;
    }
    break;
  }
  const bool at_end = rank == keys.size();
  for (; query.pattern() && rank < keys.size(); ++rank) {
    if (query.equals(keys.at(rank))) return {last_equal(keys, query, rank)};
  }
  return {found, at_end};
}

// Where no cell of a row lies beyond what is sought, the office looks at the cell before the one it
// found, even outside of the row's range, and answers only if that one would do as well.
bool holds_before(Cells& cells, const Area& row, std::size_t place, const Query& query,
                  bool ascending) {
  CellAddress before = row.first();
  before.column += static_cast<std::int32_t>(place) - 1;
  if (before.column < 0) return row.last_column == 0;
  const Value cell = cells.at(before);
  if (cell.is_empty() || cell.is_error() || cell.is_text() != query.text()) return false;
  const int order = query.compare(cell);
  return ascending ? order <= 0 : order >= 0;
}

std::optional<std::size_t> find_sorted(Cells& cells, const Area& line, bool vertical,
                                       const Query& query, bool ascending) {
  const Keys keys(cells, line, vertical);
  if (keys.size() == 0) return std::nullopt;
  const SortedHit hit = find_sorted_rank(keys, query, ascending);
  if (!hit.rank) return std::nullopt;
  const std::size_t place = keys.place_of(*hit.rank);
  if (!vertical && hit.at_end && !query.pattern()) {
    if (!holds_before(cells, line, place, query, ascending)) return std::nullopt;
  } else if (query.text() && !keys.at(*hit.rank).is_text()) {
    return std::nullopt;  // a number among texts is no answer
  }
  return place;
}

std::optional<std::size_t> find_equal(Cells& cells, const Area& line, const Query& query) {
  const bool vertical = line.columns() == 1;
  std::optional<std::size_t> found;
  const auto place = [&](CellAddress at) {
    return static_cast<std::size_t>(vertical ? at.row - line.first_row
                                             : at.column - line.first_column);
  };
  cells.each(
      line,
      [&](CellAddress at, std::span<const double> numbers) {
        for (std::size_t i = 0; i < numbers.size(); ++i) {
          if (query.text() ? query.equals(Value(numbers[i]))
                           : nearly_equal(numbers[i], query.value().number())) {
            found = place(at) + i;
            return false;
          }
        }
        return true;
      },
      [&](CellAddress at, const Value& value) {
        if (query.equals(value)) found = place(at);
        return !found;
      });
  return found;
}

std::optional<std::size_t> find_in_cells(Cells& cells, const Area& line, bool vertical,
                                         const Query& query, Wanted wanted) {
  if (wanted == Wanted::equal) return find_equal(cells, line, query);
  return find_sorted(cells, line, vertical, query, wanted == Wanted::at_most);
}

// --- Arrays: a text is a text, without wildcards

using Line = std::vector<Value>;

bool same(const Value& cell, const Query& query) {
  return !cell.is_error() && !cell.is_empty() && query.compare(cell) == 0;
}

// Below 0 where the element lies before what is sought; empty ones before all, errors behind all.
int order_of(const Value& element, const Query& query) {
  if (element.is_empty()) return -1;
  if (element.is_error()) return 1;
  return query.compare(element);
}

std::optional<std::size_t> find_equal(const Line& line, const Query& query) {
  const auto found = std::find_if(line.begin(), line.end(),
                                  [&](const Value& value) { return same(value, query); });
  if (found == line.end()) return std::nullopt;
  return static_cast<std::size_t>(found - line.begin());
}

// By halving, whatever the order; of equal elements in a row the last.
std::optional<std::size_t> find_halving(const Line& line, const Query& query, bool ascending) {
  if (line.empty()) return std::nullopt;
  std::size_t first = 0;
  std::size_t last = line.size() - 1;
  std::size_t hit = 0;
  while (last > first) {
    const std::size_t length = last - first;
    const std::size_t middle = first + length / 2;
    const int order = order_of(line[middle], query);
    if (order == 0) {
      std::size_t end = middle;
      while (end + 1 < line.size() && same(line[end + 1], query)) ++end;
      return end;
    }
    const bool upwards = (order < 0) == ascending;
    if (length == 1) {
      hit = upwards ? last : first;
      break;
    }
    (upwards ? first : last) = middle;
  }
  if (hit == line.size() - 1) {
    const int order = order_of(line[hit], query);
    if (ascending ? order <= 0 : order >= 0) return hit;
  }
  if (hit == 0) return std::nullopt;
  return hit - 1;
}

// One after the other up to the first that lies beyond, as VLOOKUP goes through an array. Looking
// for a number passes over texts; looking for a text, numbers come before all texts, and a text at
// the very start is taken for a heading.
std::optional<std::size_t> find_walking(const Line& line, const Query& query) {
  std::optional<std::size_t> found;
  for (std::size_t i = 0; i < line.size(); ++i) {
    const bool number = line[i].is_numeric();
    if (line[i].is_error() || (!number && !query.text())) continue;
    if (query.compare(line[i]) > 0) {
      if (query.text() && i == 0) continue;
      break;
    }
    found = i;
  }
  return found;
}

Line row_of(const Matrix& matrix, std::size_t row) {
  const auto begin = matrix.cells().begin() + static_cast<std::ptrdiff_t>(row * matrix.columns());
  return {begin, begin + static_cast<std::ptrdiff_t>(matrix.columns())};
}

Line column_of(const Matrix& matrix, std::size_t column) {
  Line out;
  out.reserve(matrix.rows());
  for (std::size_t r = 0; r < matrix.rows(); ++r) out.push_back(matrix.at(r, column));
  return out;
}

// --- The functions

Operand none_found(const Call& call) {
  return Error(Code::not_available, std::string(call.name()) + ": nothing fits what is looked for",
               0);
}

// What is looked for; an argument left out is 0.
Value sought(Call& call) { return call.given(0) ? call.scalar(0) : Value(0.0); }

Operand match(Call& call) {
  const double type = call.count() > 2 ? call.number(2) : 1;
  const Value value = sought(call);
  if (call.failed()) return call.failure();
  const Wanted wanted = type == 0 ? Wanted::equal : type < 0 ? Wanted::at_least : Wanted::at_most;
  const Query query(value, call.settings());
  std::optional<std::size_t> found;
  if (call[1].kind == Operand::Kind::area) {
    const Area& area = call[1].area;
    if ((area.rows() > 1 && area.columns() > 1) || area.sheets() > 1) return Code::parameters;
    found = find_in_cells(call.cells(), area, area.columns() == 1, query, wanted);
  } else if (call[1].kind == Operand::Kind::matrix) {
    const Matrix& matrix = *call[1].matrix;
    if (matrix.rows() > 1 && matrix.columns() > 1) return Code::parameters;
    found = wanted == Wanted::equal
                ? find_equal(matrix.cells(), query)
                : find_halving(matrix.cells(), query, wanted == Wanted::at_most);
  } else {
    return call[1].is_error() ? call[1] : Operand(Code::parameters);
  }
  if (!found) return none_found(call);
  return static_cast<double>(*found + 1);
}

// VLOOKUP and, turned round, HLOOKUP.
Operand table_lookup(Call& call, bool vertical) {
  const bool sorted = call.count() > 3 ? call.truth(3) : true;
  const std::int64_t index = call.whole(2) - 1;
  const Error no_index(Code::argument,
                       std::string(call.name()) + ": the index lies outside the table", 2);
  const bool table = call[1].kind == Operand::Kind::area || call[1].kind == Operand::Kind::matrix;
  if (!call.failed() && table && index < 0) return no_index;
  const Value value = sought(call);
  if (call.failed()) return call.failure();
  const Query query(value, call.settings());
  const auto outside = [&](std::int64_t size) { return index >= size; };
  if (call[1].kind == Operand::Kind::area) {
    const Area& area = call[1].area;
    if (area.sheets() > 1) return Code::parameters;
    if (outside(vertical ? area.columns() : area.rows())) return no_index;
    Area line = area;
    (vertical ? line.last_column : line.last_row) = vertical ? line.first_column : line.first_row;
    const auto found = find_in_cells(call.cells(), line, vertical, query,
                                     sorted ? Wanted::at_most : Wanted::equal);
    if (!found) return none_found(call);
    CellAddress cell = area.first();
    cell.row += static_cast<std::int32_t>(vertical ? static_cast<std::int64_t>(*found) : index);
    cell.column += static_cast<std::int32_t>(vertical ? index : static_cast<std::int64_t>(*found));
    return call.cells().at(cell);
  }
  if (call[1].kind != Operand::Kind::matrix) {
    return call[1].is_error() ? call[1] : Operand(Code::parameters);
  }
  const Matrix& matrix = *call[1].matrix;
  if (outside(static_cast<std::int64_t>(vertical ? matrix.columns() : matrix.rows()))) {
    return no_index;
  }
  const Line line = vertical ? column_of(matrix, 0) : row_of(matrix, 0);
  // Looking for a number, the office reads errors on the way, but for an equal one in a column.
  for (const Value& each : line) {
    if (!value.is_numeric() || (vertical && !sorted)) break;
    if (each.is_error()) return each;
    if (sorted && each.is_numeric() && each.number() > value.number()) break;
  }
  const auto found = sorted ? find_walking(line, query) : find_equal(line, query);
  if (!found) return none_found(call);
  const auto other = static_cast<std::size_t>(index);
  return vertical ? matrix.at(*found, other) : matrix.at(other, *found);
}

Operand vertical_lookup(Call& call) { return table_lookup(call, true); }
Operand horizontal_lookup(Call& call) { return table_lookup(call, false); }

// The value at a place in the result of LOOKUP. A reference goes on beyond its end; a single cell
// counts as a row.
Operand result_at(Call& call, std::size_t index, std::size_t place, bool vertical) {
  const Operand& result = call[index];
  const auto distance = static_cast<std::int32_t>(place);
  switch (result.kind) {
    case Operand::Kind::area: {
      const Area& area = result.area;
      if (area.rows() > 1 && area.columns() > 1) return Code::parameters;
      CellAddress cell = area.first();
      (area.rows() == 1 ? cell.column : cell.row) += distance;
      if (cell.row >= kMaxRows || cell.column >= kMaxColumns) return none_found(call);
      return call.cells().at(cell);
    }
    case Operand::Kind::matrix: {
      const Matrix& matrix = *result.matrix;
      if (matrix.rows() > 1 && matrix.columns() > 1) return Code::parameters;
      // An array is read along the data, whichever way it lies itself.
      if (place >= (vertical ? matrix.rows() : matrix.columns())) return none_found(call);
      return vertical ? matrix.at(place, 0) : matrix.at(0, place);
    }
    case Operand::Kind::value:
      return place == 0 ? result : none_found(call);
    case Operand::Kind::missing:
      return place == 0 ? Operand(0.0) : none_found(call);
    default:
      return Code::parameters;
  }
}

// In an array the errors do not count, so that 1/(condition) finds where a condition holds.
std::optional<std::size_t> find_among_errors(const Line& line, const Query& query) {
  Line clean;
  std::vector<std::size_t> places;
  for (std::size_t i = 0; i < line.size(); ++i) {
    if (line[i].is_error()) continue;
    clean.push_back(line[i]);
    places.push_back(i);
  }
  auto found = find_halving(clean, query, true);
  if (!found) return std::nullopt;
  // The last element but one gives way to the last where that is not beyond, in order or not.
  if (*found + 2 == clean.size() && order_of(clean.back(), query) <= 0) ++*found;
  const Value& there = clean[*found];
  if (there.is_empty() || (query.text() && !there.is_text())) return std::nullopt;
  return places[*found];
}

// The longer side of the data is searched; without a result vector, the answer comes from the last
// line along it.
Operand lookup(Call& call) {
  const Value value = sought(call);
  if (call.failed()) return call.failure();
  const Query query(value, call.settings());
  const bool separate = call.count() > 2;
  if (separate && call[2].is_error()) return call[2];
  if (separate && call[2].kind == Operand::Kind::area && call[2].area.sheets() > 1) {
    return Code::parameters;
  }
  const Shape results = separate ? shape_of(call[2]) : Shape();
  if (results.rows > 1 && results.columns > 1) {
    return Error(Code::parameters, "LOOKUP: the results stand in one row or one column", 2);
  }
  if (call[1].is_cell()) call.scalar(1);
  if (call.failed()) return call.failure();
  if (call[1].kind == Operand::Kind::area) {
    const Area& area = call[1].area;
    if (area.sheets() > 1) return Code::parameters;
    const bool vertical = area.rows() >= area.columns();
    Area line = area;
    (vertical ? line.last_column : line.last_row) = vertical ? line.first_column : line.first_row;
    const auto found = find_in_cells(call.cells(), line, vertical, query, Wanted::at_most);
    if (!found) return none_found(call);
    if (separate) return result_at(call, 2, *found, vertical);
    const auto distance = static_cast<std::int32_t>(*found);
    return call.cells().at({area.first_sheet, vertical ? area.first_row + distance : area.last_row,
                            vertical ? area.last_column : area.first_column + distance});
  }
  if (call[1].is_error()) return call[1];
  if (call[1].is_reference()) return Code::parameters;
  const Matrix matrix = matrix_or_zero(call, 1);
  const bool vertical = matrix.rows() >= matrix.columns();
  const auto found = find_among_errors(vertical ? column_of(matrix, 0) : row_of(matrix, 0), query);
  if (!found) return none_found(call);
  if (separate) return result_at(call, 2, *found, vertical);
  return vertical ? matrix.at(*found, matrix.columns() - 1) : matrix.at(matrix.rows() - 1, *found);
}

constexpr StandardFunction kFunctions[] = {
    {"HLOOKUP", horizontal_lookup, 3, 4, "cavv", Group::small},
    with_role(Role::runs_on, {"LOOKUP", lookup, 2, 3, "ca", Group::medium}),
    {"MATCH", match, 2, 3, "cav", Group::small},
    {"VLOOKUP", vertical_lookup, 3, 4, "cavv", Group::small},
};

}  // namespace

StandardFunctions lookup_functions() { return kFunctions; }

}  // namespace loftledger::standard
