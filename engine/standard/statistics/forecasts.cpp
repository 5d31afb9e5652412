// FORECAST.ETS and its like: forecasts by exponential smoothing, as the office has them.
#include <algorithm>
#include <cmath>
#include <optional>
#include <vector>

#include "engine/standard/call/last_first.hpp"
#include "engine/standard/call/numbers.hpp"
#include "engine/standard/statistics/functions.hpp"
#include "engine/standard/statistics/smoothing.hpp"

namespace loftledger::standard {

namespace {

// The arguments that may be left out at the end: those of the season, of gaps, and of repeats.
struct Options {
  double period = 1;  // 1: found out, 0: no season
  bool fill_with_mean = true;
  double aggregation = 1;
};

// Reads them from argument `first` on; false where the call is refused.
bool read_options(LastFirst& reader, std::size_t first, bool has_period, Options& out) {
  const auto refuse = [&](Error error) {
    reader.refuse(std::move(error));
    return false;
  };
  const std::size_t next = first + (has_period ? 1 : 0);
  constexpr double kMostAggregation = 7;
  out.aggregation = std::trunc(reader.option(next + 1, 1));
  if (out.aggregation < 1 || out.aggregation > kMostAggregation) {
    return refuse(Error(Code::argument, "the aggregation is a number from 1 to 7"));
  }
  const double filling = std::trunc(reader.option(next, 1));
  if (filling != 0 && filling != 1) {
    return refuse(Error(Code::argument, "gaps are filled (1) or not (0)"));
  }
  out.fill_with_mean = filling != 0;
  if (has_period) out.period = reader.option(first, 1);
  if (out.period < 0 || out.period != std::trunc(out.period)) {
    return refuse(Error(Code::number, "the period is a whole number that is not negative"));
  }
  return true;
}

// Whether the target lies before all points.
bool lies_before(const Matrix& target, const std::vector<SeriesPoint>& points) {
  return !target.empty() && target.cells()[0].is_numeric() &&
         std::ranges::all_of(points, [&](const SeriesPoint& point) {
           return target.cells()[0].number() < point.x;
         });
}

// The series of two arguments of one shape that hold nothing but numbers, and the target after it
// where one is asked for.
std::optional<Series> series_of(LastFirst& reader, Call& call, std::size_t values,
                                const Options& options, std::optional<Matrix>* target) {
  const auto refuse = [&](Code code, const char* sentence) {
    reader.refuse(Error(code, sentence));
    return std::nullopt;
  };
  const auto read = reader.arrays(values);
  if (!read) return std::nullopt;
  const Matrix& y = read->first;
  const Matrix& x = read->second;
  if (y.rows() != x.rows() || y.columns() != x.columns() || y.size() == 0 ||
      !std::ranges::all_of(x.cells(), counts) || !std::ranges::all_of(y.cells(), counts)) {
    return refuse(Code::argument, "values and timeline must be numbers, as many of both");
  }
  if (target != nullptr) {
    *target = reader.array(0);
    if (!*target) return refuse(Code::argument, "the target is no array");
  }
  std::vector<SeriesPoint> points;
  for (std::size_t i = 0; i < x.size(); ++i) {
    for (const Value* each : {&x.cells()[i], &y.cells()[i]}) {
      if (each->is_error()) call.fail(*each);
    }
    points.push_back({x.cells()[i].number(), y.cells()[i].number()});
  }
  if (call.failed()) return std::nullopt;
  if (target != nullptr && lies_before(**target, points)) {
    call.fail(Error(Code::number, "the target lies before the timeline"));
    return std::nullopt;
  }
  auto out = Series::of(std::move(points), options.fill_with_mean,
                        static_cast<Aggregation>(static_cast<int>(options.aggregation)),
                        call.settings().null_date);
  if (!out) call.fail(Error(Code::value, "the timeline has no constant step, or too many gaps"));
  return out;
}

std::optional<Smoothing> smoothing_of(Call& call, std::optional<Series> series,
                                      const Options& options, bool multiplicative) {
  if (!series || call.failed()) return std::nullopt;
  auto period = static_cast<std::size_t>(options.period);
  if (period == 1) period = series->likely_period();
  if (period == 1) period = 0;
  Smoothing out(*std::move(series), period, multiplicative);
  if (out.error()) {
    call.fail(Error(*out.error(), "the values do not make up two seasons"));
    return std::nullopt;
  }
  return out;
}

// One result for each element of an argument.
template <typename F>
Matrix for_each_of(const Matrix& wanted, const F& function) {
  Matrix out(wanted.rows(), wanted.columns());
  for (std::size_t i = 0; i < wanted.size(); ++i) {
    const Value& each = wanted.cells()[i];
    if (each.is_error()) {
      out.cells()[i] = each;
    } else if (each.is_text()) {
      out.cells()[i] = Code::number;
    } else {
      out.cells()[i] = function(each.number());
    }
  }
  return out;
}

// The smoothing with its weights found.
std::optional<Smoothing> fitted(Call& call, std::optional<Series> series, const Options& options,
                                bool multiplicative) {
  auto out = smoothing_of(call, std::move(series), options, multiplicative);
  if (out) out->fit();
  return out;
}

template <bool multiplicative>
Operand forecast(Call& call) {
  LastFirst reader(call);
  Options options;
  if (!read_options(reader, 3, true, options)) return call.failure();
  std::optional<Matrix> target;
  const auto smoothing =
      fitted(call, series_of(reader, call, 1, options, &target), options, multiplicative);
  if (call.failed()) return call.failure();
  return for_each_of(*target, [&](double x) -> Value {
    if (smoothing->series().place(x) < smoothing->series().points().front().x) {
      return Error(Code::number, "the target lies before the timeline", 0);
    }
    return finite_value(smoothing->forecast(x));
  });
}

template <bool multiplicative>
Operand interval(Call& call) {
  LastFirst reader(call);
  Options options;
  if (!read_options(reader, 4, true, options)) return call.failure();
  const double share = reader.option(3, 0.95);
  if (share < 0 || share > 1) {
    return reader.refused(Error(Code::argument, "the confidence lies between 0 and 1", 3));
  }
  std::optional<Matrix> target;
  const auto smoothing =
      fitted(call, series_of(reader, call, 1, options, &target), options, multiplicative);
  if (call.failed()) return call.failure();
  const double last = smoothing->series().points().back().x;
  for (const Value& each : target->cells()) {
    const bool end = each.is_numeric() && smoothing->series().place(each.number()) == last;
    if (end) return Error(Code::argument, "the target does not lie after the timeline", 0);
  }
  return for_each_of(*target, [&](double x) -> Value {
    if (smoothing->series().place(x) < last) {
      return Error(Code::number, "the target does not lie after the timeline", 0);
    }
    return finite_value(smoothing->half_width(x, share, [&] { return call.cells().random(); }));
  });
}

template <bool multiplicative>
Operand measure_of(Call& call) {
  LastFirst reader(call);
  Options options;
  if (!read_options(reader, 3, true, options)) return call.failure();
  constexpr double kMeasures = 9;
  const Error unknown(Code::argument, "the measure is a number from 1 to 9", 2);
  const auto wanted = reader.array(2);
  if (!wanted) return reader.refused(unknown);
  for (const Value& kind : wanted->cells()) {
    if (kind.is_error()) return reader.refused(kind.error());
    if (kind.is_text() || kind.number() < 1 || kind.number() >= kMeasures + 1) {
      return reader.refused(unknown);
    }
  }
  const auto smoothing =
      fitted(call, series_of(reader, call, 0, options, nullptr), options, multiplicative);
  if (call.failed()) return call.failure();
  const SmoothingMeasures& m = smoothing->measures();
  // A period that was looked for is 1 where none was found.
  const double least = options.period == 0 ? 0 : 1;
  const double all[] = {m.alpha,
                        m.gamma,
                        m.beta,
                        m.scaled_error,
                        m.percent_error,
                        m.mean_error,
                        m.root_error,
                        smoothing->series().step(),
                        std::max(static_cast<double>(smoothing->period()), least)};
  return for_each_of(
      *wanted, [&](double kind) { return finite_value(all[static_cast<std::size_t>(kind) - 1]); });
}

Operand seasonality(Call& call) {
  LastFirst reader(call);
  Options options;
  if (!read_options(reader, 2, false, options)) return call.failure();
  const auto smoothing =
      smoothing_of(call, series_of(reader, call, 0, options, nullptr), options, false);
  if (reader.waiting().is_error()) return reader.waiting();
  if (call.failed()) return call.failure();
  return static_cast<double>(std::max<std::size_t>(smoothing->period(), 1));
}

constexpr StandardFunction kFunctions[] = {
    {"COM.MICROSOFT.FORECAST.ETS", forecast<false>, 3, 6, "aaavvv"},
    {"COM.MICROSOFT.FORECAST.ETS.CONFINT", interval<false>, 3, 7, "aaavvvv"},
    {"COM.MICROSOFT.FORECAST.ETS.SEASONALITY", seasonality, 2, 4, "aavv"},
    {"COM.MICROSOFT.FORECAST.ETS.STAT", measure_of<false>, 3, 6, "aaavvv"},
    {"ORG.LIBREOFFICE.FORECAST.ETS.MULT", forecast<true>, 3, 6, "aaavvv"},
    {"ORG.LIBREOFFICE.FORECAST.ETS.PI.MULT", interval<true>, 3, 7, "aaavvvv"},
    {"ORG.LIBREOFFICE.FORECAST.ETS.STAT.MULT", measure_of<true>, 3, 6, "aaavvv"},
};

}  // namespace

StandardFunctions forecast_functions() { return kFunctions; }

}  // namespace loftledger::standard
