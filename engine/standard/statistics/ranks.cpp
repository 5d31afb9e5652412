// Order statistics: medians, quantiles, ranks, modes and frequencies (OpenFormula 6.18).
#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <map>
#include <optional>
#include <span>
#include <vector>

#include "engine/standard/call/numbers.hpp"
#include "engine/standard/statistics/functions.hpp"
#include "engine/standard/statistics/sample.hpp"
#include "engine/standard/values/arithmetic.hpp"

namespace loftledger::standard {

namespace {

constexpr NumberRule kStrict{.direct_text = Code::parameters};

// The numbers of one argument in rising order; none is an error.
std::vector<double> sorted_argument(Call& call, std::size_t index) {
  std::vector<double> numbers = numbers_of(call, index, kStrict);
  if (numbers.empty()) call.fail(Code::value);
  std::sort(numbers.begin(), numbers.end());
  return numbers;
}

// Cells of several sheets have no mode.
void refuse_sheets(Call& call) {
  for (std::size_t i = 0; i < call.count(); ++i) {
    const Operand& given = call[i];
    if (given.kind == Operand::Kind::area && given.area.sheets() > 1) call.fail(Code::parameters);
  }
}

Operand middle(Call& call) {
  // A single cell in error shows before a text, and that before an error in a range.
  for (std::size_t i = 0; i < call.count(); ++i) {
    if (call[i].is_cell()) call.scalar(i);
  }
  for (std::size_t i = 0; i < call.count(); ++i) {
    const bool text = call[i].kind == Operand::Kind::value && call[i].value.is_text();
    if (text) call.fail(Code::parameters);
  }
  std::vector<double> numbers = number_list(call, 0, kStrict);
  if (call.failed()) return call.failure();
  if (numbers.empty()) return Error(Code::value, "MEDIAN: there is no number");
  std::sort(numbers.begin(), numbers.end());
  return call.finish(median(numbers));
}

struct Modes {
  std::vector<double> values;  // in the order in which they first stand
  std::size_t count = 0;       // how often each of them stands
};

Modes modes_of(std::span<const double> numbers) {
  std::map<double, std::size_t> counts;
  Modes out;
  for (const double number : numbers) out.count = std::max(out.count, ++counts[number]);
  for (const double number : numbers) {
    const auto found = counts.find(number);
    if (found == counts.end() || found->second != out.count) continue;
    out.values.push_back(number);
    counts.erase(found);
  }
  return out;
}

// Of the first argument in error the error shows.
Modes modes_in_order(Call& call) {
  refuse_sheets(call);
  std::vector<double> numbers;
  for (std::size_t i = 0; i < call.count() && !call.failed(); ++i) {
    const std::vector<double> more = numbers_of(call, i, kStrict);
    numbers.insert(numbers.end(), more.begin(), more.end());
  }
  Modes out = modes_of(numbers);
  if (out.count < 2) call.fail(Error(Code::value, "no number stands more than once"));
  return out;
}

// Of several modes the least.
Operand mode(Call& call) {
  const Modes modes = modes_in_order(call);
  return call.failed() ? call.failure()
                       : *std::min_element(modes.values.begin(), modes.values.end());
}

Operand first_mode(Call& call) {
  const Modes modes = modes_in_order(call);
  return call.failed() ? call.failure() : Operand(modes.values.front());
}

Operand all_modes(Call& call) {
  const Modes modes = modes_in_order(call);
  if (call.failed()) return call.failure();
  Matrix out(modes.values.size(), 1);
  for (std::size_t i = 0; i < modes.values.size(); ++i) out.at(i, 0) = modes.values[i];
  return out;
}

// What stands at that place in the order; nothing where there is no such place.
std::optional<double> at_place(std::vector<double>& numbers, double place, bool from_top) {
  const auto n = static_cast<double>(numbers.size());
  if (!(place >= 1 && place <= n)) return std::nullopt;
  const auto index = static_cast<std::ptrdiff_t>(from_top ? n - place : place - 1);
  std::nth_element(numbers.begin(), numbers.begin() + index, numbers.end());
  return numbers[static_cast<std::size_t>(index)];
}

// The places of a range that is read as it stands. It must hold nothing but numbers; an error that
// comes first of all counts as place 0, and any later one decides.
Matrix places_in(Call& call, const Area& area) {
  std::vector<double> places;  // column by column
  call.cells().each(
      area,
      [&](CellAddress, std::span<const double> block) {
        places.insert(places.end(), block.begin(), block.end());
        return true;
      },
      [&](CellAddress, const Value& value) {
        if (value.is_error() && !places.empty()) call.fail(value);
        if (value.is_error() || value.is_numeric()) places.push_back(value.number());
        return !call.failed();
      });
  if (static_cast<std::int64_t>(places.size()) != area.rows() * area.columns()) {
    call.fail(Code::value);
  }
  if (call.failed()) return {};
  Matrix out(static_cast<std::size_t>(area.rows()), static_cast<std::size_t>(area.columns()));
  for (std::size_t i = 0; i < places.size(); ++i) {
    out.at(i % out.rows(), i / out.rows()) = places[i];
  }
  return out;
}

// The places that are asked for: one, a range of nothing but numbers, or an array, in which what is
// no number is answered with #VALUE! in its place.
Matrix places_of(Call& call) {
  const Operand& given = call[1];
  const bool area = given.kind == Operand::Kind::area;
  const bool cell = given.is_cell();
  if (area && given.area.sheets() > 1) {
    call.fail(Code::parameters);
    return {};
  }
  if (area && !cell && !call.array_mode()) return places_in(call, given.area);
  if ((area && !cell) || given.kind == Operand::Kind::matrix) {
    Matrix out = call.matrix(1);
    for (Value& place : out.cells()) {
      if (!place.is_numeric() && !place.is_error()) place = Value(Code::value);
    }
    return out;
  }
  const Value place = call.scalar(1);
  if (cell && !place.is_numeric()) call.fail(Code::value);
  if (place.is_text()) call.fail(Code::parameters);
  return Matrix(1, 1, place);
}

// A place that there is not is Err:502 among several places, #VALUE! by itself.
Operand nth(Call& call, bool from_top) {
  if (call[0].is_error()) return call[0];
  const Matrix places = places_of(call);
  if (call.failed()) return call.failure();
  std::vector<double> numbers = numbers_of(call, 0, kStrict);
  if (call.failed()) return call.failure();
  if (numbers.empty()) return Code::value;
  const bool several = places.size() > 1;
  Matrix out(places.rows(), places.columns());
  for (std::size_t i = 0; i < places.size(); ++i) {
    const Value& place = places.cells()[i];
    const auto found = at_place(numbers, floor_as_seen(place.number()), from_top);
    if (place.is_error()) {
      out.cells()[i] = place;
    } else if (found) {
      out.cells()[i] = *found;
    } else {
      out.cells()[i] = Error(several ? Code::argument : Code::value,
                             "the place must be from 1 to the count of the numbers", 1);
    }
  }
  if (!several) return out.cells()[0];
  return out;
}
Operand nth_largest(Call& call) { return nth(call, true); }
Operand nth_smallest(Call& call) { return nth(call, false); }

Operand rank_of(Call& call, bool averaged) {
  const bool rising = call.truth(2, false);
  error_in_cell(call, 1);
  const std::vector<double> sorted = sorted_argument(call, 1);
  const double number = call.number(0);
  if (call.failed()) return call.failure();
  if (number < sorted.front() || number > sorted.back()) return Code::value;
  const auto [first, last] = std::equal_range(sorted.begin(), sorted.end(), number);
  // A number that is not among the others has no place of its own from below; the office then
  // counts it as -1.
  const double below = first == last ? -1 : static_cast<double>(first - sorted.begin()) + 1;
  const auto through = static_cast<double>(last - sorted.begin());
  const double place = averaged ? (below + through) / 2 : rising ? below : through;
  return rising ? place : static_cast<double>(sorted.size()) + 1 - place;
}
Operand rank_first(Call& call) { return rank_of(call, false); }
Operand rank_average(Call& call) { return rank_of(call, true); }

Operand share_inclusive(Call& call, double scale) {
  const double given = call.number(1);
  error_in_cell(call, 0);
  const double share = (scale == 1 ? given : std::floor(given)) / scale;
  if (!call.failed() && (share < 0 || share > 1)) {
    return Error(Code::argument, "the share must be from 0 to 1 (the quarter from 0 to 4)", 1);
  }
  const std::vector<double> sorted = sorted_argument(call, 0);
  if (call.failed()) return call.failure();
  if (scale != 1 && share == 0.5) return call.finish(median(sorted));
  return call.finish(quantile(sorted, share));
}
Operand percentile(Call& call) { return share_inclusive(call, 1); }
Operand quartile(Call& call) { return share_inclusive(call, 4); }

Operand share_exclusive(Call& call, double scale) {
  const double given = call.number(1);
  error_in_cell(call, 0);
  const double share = (scale == 1 ? given : std::floor(given)) / scale;
  if (!call.failed() && (share <= 0 || share >= 1)) return Code::argument;
  const std::vector<double> sorted = sorted_argument(call, 0);
  if (call.failed()) return call.failure();
  if (scale != 1 && share == 0.5) return call.finish(median(sorted));
  const auto n = static_cast<double>(sorted.size());
  const double place = share * (n + 1);
  if (place < 1 || place > n) return Error(Code::parameters, "there are too few numbers");
  const double below = floor_as_seen(place);
  const auto index = static_cast<std::size_t>(below) - 1;
  const double rest = place - below;
  if (rest <= 0 || index + 1 >= sorted.size()) return call.finish(sorted[index]);
  return call.finish(sorted[index] + rest * (sorted[index + 1] - sorted[index]));
}
Operand percentile_exclusive(Call& call) { return share_exclusive(call, 1); }
Operand quartile_exclusive(Call& call) { return share_exclusive(call, 4); }

// How many of the sorted numbers lie below, in part where the number lies between two of them.
double place_among(std::span<const double> sorted, double number) {
  const auto at = std::lower_bound(sorted.begin(), sorted.end(), number);
  const auto index = static_cast<double>(at - sorted.begin());
  if (*at == number) return index;
  const double below = *(at - 1);
  return index - 1 + (number - below) / (*at - below);
}

Operand rank_as_share(Call& call, bool inclusive) {
  const double digits = call.number(2, 3.0);
  if (!call.failed() && digits < 1) return Code::argument;
  const double number = call.number(1);
  const std::vector<double> sorted = sorted_argument(call, 0);
  if (call.failed()) return call.failure();
  if (number < sorted.front() || number > sorted.back()) return Code::value;
  const auto n = static_cast<double>(sorted.size());
  if (n == 1) return 1.0;
  const double place = place_among(sorted, number);
  const double share = inclusive ? place / (n - 1) : (place + 1) / (n + 1);
  if (share == 0) return 0.0;
  return call.finish(to_significant(share, std::floor(digits)));
}
Operand percent_rank(Call& call) { return rank_as_share(call, true); }
Operand percent_rank_exclusive(Call& call) { return rank_as_share(call, false); }

Operand trimmed_mean(Call& call) {
  const double share = call.number(1);
  error_in_cell(call, 0);
  if (!call.failed() && (share < 0 || share >= 1)) {
    return Error(Code::argument, "TRIMMEAN: the share must be from 0 to below 1", 1);
  }
  std::vector<double> sorted = numbers_of(call, 0, kStrict);
  if (call.failed()) return call.failure();
  if (sorted.empty()) return Code::value;
  std::sort(sorted.begin(), sorted.end());
  const double dropped = floor_as_seen(share * static_cast<double>(sorted.size()));
  const auto each_end = static_cast<std::size_t>(dropped / 2);
  return call.finish(mean_of(std::span(sorted).subspan(each_end, sorted.size() - 2 * each_end)));
}

// How many numbers go into each class: up to its bound and above the next lower bound (of equal
// bounds the last takes all); the last row counts those above all bounds.
Operand frequencies(Call& call) {
  for (std::size_t i = 0; i < call.count(); ++i) {
    if (call[i].is_error()) return call[i];
  }
  const std::vector<double> bounds = numbers_of(call, 1, kStrict);
  if (!call.failed() && bounds.empty()) call.fail(Code::value);
  if (call.failed()) return call.failure();
  const std::vector<double> data = sorted_argument(call, 0);
  if (call.failed()) return call.failure();
  std::vector<std::size_t> order(bounds.size());
  for (std::size_t i = 0; i < order.size(); ++i) order[i] = i;
  std::sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
    return bounds[a] != bounds[b] ? bounds[a] < bounds[b] : a > b;
  });
  Matrix out(bounds.size() + 1, 1);
  auto from = data.begin();
  for (const std::size_t i : order) {
    const auto to = std::upper_bound(from, data.end(), bounds[i]);
    out.at(i, 0) = static_cast<double>(to - from);
    from = to;
  }
  out.at(bounds.size(), 0) = static_cast<double>(data.end() - from);
  return out;
}

constexpr StandardFunction kFunctions[] = {
    {"MEDIAN", middle, 1, -1, "r", Group::medium},
    {"MODE", mode, 1, -1, "a", Group::medium},
    {"COM.MICROSOFT.MODE.SNGL", first_mode, 1, -1, "a"},
    {"COM.MICROSOFT.MODE.MULT", all_modes, 1, -1, "a"},
    {"LARGE", nth_largest, 2, 2, "r", Group::medium},
    {"SMALL", nth_smallest, 2, 2, "r", Group::medium},
    {"RANK", rank_first, 2, 3, "vrv", Group::medium},
    {"COM.MICROSOFT.RANK.EQ", rank_first, 2, 3, "vrv"},
    {"COM.MICROSOFT.RANK.AVG", rank_average, 2, 3, "vrv"},
    {"PERCENTILE", percentile, 2, 2, "rv", Group::medium},
    {"COM.MICROSOFT.PERCENTILE.INC", percentile, 2, 2, "rv"},
    {"COM.MICROSOFT.PERCENTILE.EXC", percentile_exclusive, 2, 2, "rv"},
    {"QUARTILE", quartile, 2, 2, "rv", Group::medium},
    {"COM.MICROSOFT.QUARTILE.INC", quartile, 2, 2, "rv"},
    {"COM.MICROSOFT.QUARTILE.EXC", quartile_exclusive, 2, 2, "rv"},
    {"PERCENTRANK", percent_rank, 2, 3, "rvv", Group::medium},
    {"COM.MICROSOFT.PERCENTRANK.INC", percent_rank, 2, 3, "rvv"},
    {"COM.MICROSOFT.PERCENTRANK.EXC", percent_rank_exclusive, 2, 3, "rvv"},
    {"TRIMMEAN", trimmed_mean, 2, 2, "rv", Group::medium},
    {"FREQUENCY", frequencies, 2, 2, "a", Group::large},
};

}  // namespace

StandardFunctions rank_functions() { return kFunctions; }

}  // namespace loftledger::standard
