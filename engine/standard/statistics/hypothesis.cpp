// Tests of samples, confidence, and tables of probabilities (OpenFormula 6.18).
#include <algorithm>
#include <cmath>
#include <cstdint>
#include <utility>
#include <vector>

#include "engine/standard/call/last_first.hpp"
#include "engine/standard/call/numbers.hpp"
#include "engine/standard/statistics/functions.hpp"
#include "engine/standard/statistics/probability.hpp"
#include "engine/standard/statistics/sample.hpp"
#include "engine/standard/values/arithmetic.hpp"

namespace loftledger::standard {

namespace {

struct Sample {
  double count = 0;
  double mean = 0;
  double variance = 0;
};

Sample sample_of(const std::vector<double>& numbers) {
  Sample out;
  out.count = static_cast<double>(numbers.size());
  if (numbers.empty()) return out;
  out.mean = mean_of(numbers);
  out.variance = squared_deviations(numbers) / (out.count - 1);
  return out;
}

Operand standardize(Call& call) {
  const double x = call.number(0);
  const double mean = call.number(1);
  const double deviation = call.number(2);
  if (call.failed()) return call.failure();
  if (deviation < 0) return Error(Code::argument, "STANDARDIZE: the deviation is negative", 2);
  if (deviation == 0) return Error(Code::division, "STANDARDIZE: the deviation is 0", 2);
  return call.finish((x - mean) / deviation);
}

// Half the width of the interval: with a known deviation, or with one that was measured.
Operand confidence(Call& call, bool measured) {
  const double level = call.number(0);
  const double deviation = call.number(1);
  const double count = floor_as_seen(call.number(2));
  if (call.failed()) return call.failure();
  if (deviation <= 0 || level <= 0 || level >= 1 || count < 1) return Code::argument;
  if (measured && count == 1) return Code::division;
  const double width = measured ? t_two_sided(level, count - 1) : normal_quantile(1 - level / 2);
  return call.finish(width * deviation / std::sqrt(count));
}
Operand confidence_normal(Call& call) { return confidence(call, false); }
Operand confidence_t(Call& call) { return confidence(call, true); }

Operand z_test(Call& call) {
  double deviation = call.number(2, 1.0);
  error_in_cell(call, 0);
  if (call.failed()) return call.failure();
  if (call.count() > 2 && deviation <= 0) return Code::argument;
  const double mean = call.number(1);
  error_in_cell(call, 0);
  const Sample sample = sample_of(numbers_of(call, 0, {.direct_text = Code::parameters}));
  if (call.failed()) return call.failure();
  if (sample.count <= 1) return Error(Code::division, "ZTEST: there are fewer than 2 numbers");
  if (call.count() < 3) deviation = std::sqrt(sample.variance);
  if (deviation == 0) return Code::division;
  if (!std::isfinite(deviation)) return call.not_finite();
  return call.finish(normal_below((mean - sample.mean) / deviation * std::sqrt(sample.count)));
}

// The numbers of an array; texts and empty cells are passed over.
std::vector<double> array_numbers(Call& call, LastFirst& reader, std::size_t index) {
  const auto values = reader.array(index);
  std::vector<double> out;
  if (!values) reader.refuse(reader.no_array(index));
  if (!values) return out;
  for (const Value& value : values->cells()) {
    if (value.is_error()) call.fail(value);
    if (value.is_numeric()) out.push_back(value.number());
  }
  return out;
}

struct TStatistic {
  double t = 0;
  double degrees = 0;
};

// Pairs: the test of their differences.
TStatistic paired(Call& call, LastFirst& reader) {
  const Pairs pairs = number_pairs(call, reader, 0, 1);
  if (call.failed()) return {};
  if (pairs.first.empty()) {
    call.fail(Code::value);
    return {};
  }
  std::vector<double> differences;
  for (std::size_t i = 0; i < pairs.first.size(); ++i) {
    differences.push_back(pairs.first[i] - pairs.second[i]);
  }
  const Sample sample = sample_of(differences);
  if (sample.count < 2 || sample.variance == 0) {
    call.fail(Error(Code::division, "the differences of the pairs are all the same"));
    return {};
  }
  if (!std::isfinite(sample.variance)) call.fail(call.not_finite());
  return {std::fabs(sample.mean) / std::sqrt(sample.variance / sample.count), sample.count - 1};
}

// Two samples of one variance, or of two (B. L. Welch, Biometrika 34, 1947).
TStatistic unpaired(Call& call, LastFirst& reader, bool same_variance) {
  const Sample y = sample_of(array_numbers(call, reader, 1));
  const Sample x = sample_of(array_numbers(call, reader, 0));
  if (reader.waiting().is_error()) call.fail(reader.waiting());
  if (call.failed()) return {};
  if (x.count < 2 || y.count < 2) {
    call.fail(Code::value);
    return {};
  }
  const double difference = std::fabs(x.mean - y.mean);
  if (same_variance) {
    const double degrees = x.count + y.count - 2;
    const double pooled = ((x.count - 1) * x.variance + (y.count - 1) * y.variance) / degrees;
    if (pooled == 0) call.fail(Code::division);
    if (!std::isfinite(pooled)) call.fail(call.not_finite());
    return {difference / std::sqrt(pooled * (1 / x.count + 1 / y.count)), degrees};
  }
  const double part_x = x.variance / x.count;
  const double part_y = y.variance / y.count;
  const double both = part_x + part_y;
  if (both == 0) {
    call.fail(Code::value);
    return {};
  }
  const double share = part_x / both;
  const double degrees =
      1 / (share * share / (x.count - 1) + (1 - share) * (1 - share) / (y.count - 1));
  return {difference / std::sqrt(both), degrees};
}

Operand t_test(Call& call) {
  LastFirst reader(call);
  const Error no_kind(Code::argument, "the kind must be 1, 2 or 3", 3);
  const double kind = floor_as_seen(reader.option(3, 0));
  const double tails = floor_as_seen(reader.option(2, 0));
  if (tails != 1 && tails != 2) {
    return reader.refused(Error(Code::argument, "the tails must be 1 or 2", 2));
  }
  if (kind != 1 && kind != 2 && kind != 3) {
    return reader.arrays(0) ? Operand(reader.refused(no_kind)) : call.failure();
  }
  const TStatistic result = kind == 1 ? paired(call, reader) : unpaired(call, reader, kind == 2);
  if (call.failed()) return call.failure();
  return call.finish(t_beyond(result.t, result.degrees) * tails / 2);
}

Operand f_test(Call& call) {
  for (const std::size_t i : {std::size_t{0}, std::size_t{1}}) {
    if (call[i].is_cell()) call.scalar(i);
  }
  Value last_error;
  const auto numbers_in = [&](std::size_t index) {
    const Matrix values = matrix_or_zero(call, index);
    std::vector<double> out;
    each_by_column(values, [&](const Value& value) {
      if (value.is_error()) last_error = value;
      if (value.is_error() || value.is_numeric()) out.push_back(value.number());
      return true;
    });
    return sample_of(out);
  };
  Sample x = numbers_in(0);
  if (call.failed()) return call.failure();
  Sample y = numbers_in(1);
  if (call.failed()) return call.failure();
  // Too few numbers show before an error among them.
  if (x.count >= 2 && y.count >= 2 && last_error.is_error()) {
    return last_error;
  }
  if (x.count < 2 || y.count < 2 || x.variance == 0 || y.variance == 0) {
    return Error(Code::value, "each side needs at least 2 numbers that are not all the same");
  }
  if (x.variance < y.variance) std::swap(x, y);
  if (!std::isfinite(x.variance)) return call.not_finite();
  const double tail = f_above(x.variance / y.variance, x.count - 1, y.count - 1);
  return call.finish(2 * std::min(tail, 1 - tail));
}

// Of two arrays of one shape: a text beside anything that is not empty is refused, unless an error
// comes before it.
void refuse_texts(Call& call) {
  if (shape_of(call[0]) != shape_of(call[1]) || call[0].is_cell() || call[1].is_cell()) return;
  const Matrix x = matrix_or_zero(call, 0);
  const Matrix y = matrix_or_zero(call, 1);
  for (std::size_t c = 0; c < std::min(x.columns(), y.columns()); ++c) {
    for (std::size_t r = 0; r < std::min(x.rows(), y.rows()); ++r) {
      const Value& a = x.at(r, c);
      const Value& b = y.at(r, c);
      if (a.is_empty() || b.is_empty()) continue;
      if (a.is_text() || b.is_text()) call.fail(Code::argument);
      for (const Value* each : {&a, &b}) {
        if (each->is_error()) call.fail(*each);
      }
    }
  }
}

// Empty cells are passed over, but one alone is no number.
bool without_texts(Call& call, std::size_t index) {
  const Matrix values = matrix_or_zero(call, index);
  if (values.size() == 1) return values.cells()[0].is_numeric();
  return std::ranges::none_of(values.cells(), [](const Value& value) { return value.is_text(); });
}

Operand chi_square_test(Call& call) {
  refuse_texts(call);
  const Pairs pairs = number_pairs(call, 0, 1);
  if (!(without_texts(call, 0) && without_texts(call, 1))) call.fail(Code::argument);
  if (!call.failed() && pairs.first.empty()) {
    return Error(Code::argument, "no place has a number on both sides");
  }
  if (call.failed()) return call.failure();
  double total = 0;
  for (std::size_t i = 0; i < pairs.first.size(); ++i) {
    if (pairs.second[i] == 0) return Error(Code::division, "an expected number is 0");
    const double off = pairs.first[i] - pairs.second[i];
    total += off * off / pairs.second[i];
  }
  const Shape shape = shape_of(call[0]);
  const auto rows = static_cast<double>(shape.rows);
  const auto columns = static_cast<double>(shape.columns);
  const double degrees =
      rows == 1 || columns == 1 ? rows * columns - 1 : (rows - 1) * (columns - 1);
  if (degrees == 0) return Code::value;
  return call.finish(chi_square_above(total, degrees));
}

// The chance of a value from `low` to `high`.
Operand chance_within(Call& call) {
  LastFirst reader(call);
  double high = reader.option(3, 0);
  double low = reader.option(2, 0);
  if (call.count() < 4) high = low;  // one that is left out between separators is 0
  const auto read = reader.arrays(0);
  if (call.failed()) return call.failure();
  if (shape_of(call[0]) != shape_of(call[1])) return reader.refused(Error(Code::not_available));
  if (reader.waiting().is_error()) return reader.waiting();
  const Matrix& values = read->first;
  const Matrix& chances = read->second;
  if (low > high) std::swap(low, high);
  ExactSum total;
  ExactSum inside;
  for (std::size_t i = 0; i < chances.size() && i < values.size(); ++i) {
    const Value& value = values.cells()[i];
    const Value& chance = chances.cells()[i];
    if (value.is_error()) return value;
    if (chance.is_error()) return chance;
    if (!value.is_numeric() || !chance.is_numeric()) return Code::argument;
    if (chance.number() < 0 || chance.number() > 1) return Code::value;
    total.add(chance.number());
    if (value.number() >= low && value.number() <= high) inside.add(chance.number());
  }
  constexpr double kTolerance = 1e-7;
  if (std::fabs(total.value() - 1) > kTolerance) {
    return Error(Code::value, "PROB: the chances do not add up to 1", 1);
  }
  return call.finish(inside.value());
}

constexpr StandardFunction kFunctions[] = {
    {"STANDARDIZE", standardize, 3, 3, "v", Group::medium},
    {"CONFIDENCE", confidence_normal, 3, 3, "v", Group::medium},
    {"COM.MICROSOFT.CONFIDENCE.NORM", confidence_normal, 3, 3, "v"},
    {"COM.MICROSOFT.CONFIDENCE.T", confidence_t, 3, 3, "v"},
    {"ZTEST", z_test, 2, 3, "rvv", Group::medium},
    {"COM.MICROSOFT.Z.TEST", z_test, 2, 3, "rvv"},
    {"TTEST", t_test, 4, 4, "aavv", Group::medium},
    {"COM.MICROSOFT.T.TEST", t_test, 4, 4, "ppvv"},
    {"FTEST", f_test, 2, 2, "a", Group::medium},
    {"COM.MICROSOFT.F.TEST", f_test, 2, 2, "p"},
    {"LEGACY.CHITEST", chi_square_test, 2, 2, "p", Group::medium},
    {"COM.MICROSOFT.CHISQ.TEST", chi_square_test, 2, 2, "p"},
    {"PROB", chance_within, 3, 4, "aavv", Group::medium},
};

}  // namespace

StandardFunctions hypothesis_functions() { return kFunctions; }

}  // namespace loftledger::standard
