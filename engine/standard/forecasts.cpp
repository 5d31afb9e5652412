// FORECAST.ETS and its like: forecasts by exponential smoothing, as the office has them.
#include <algorithm>
#include <cmath>
#include <optional>
#include <vector>

#include "engine/standard/numbers.hpp"
#include "engine/standard/registry.hpp"
#include "engine/standard/smoothing.hpp"

namespace loftledger::standard {

namespace {

// The arguments that may be left out at the end: those of the season, of gaps, and of repeats.
struct Options {
  double period = 1;  // 1: found out, 0: no season
  bool fill_with_mean = true;
  double aggregation = 1;
};

Options options_from(Call& call, std::size_t first, bool has_period) {
  Options out;
  const std::size_t next = first + (has_period ? 1 : 0);
  if (has_period) out.period = call.given(first) ? call.number(first) : 1;
  const double filling = call.given(next) ? call.number(next) : 1;
  out.fill_with_mean = filling != 0;
  out.aggregation = call.given(next + 1) ? std::trunc(call.number(next + 1)) : 1;
  if (call.failed()) return out;
  constexpr double kMostAggregation = 7;
  if (out.aggregation < 1 || out.aggregation > kMostAggregation) {
    call.fail(Error(Code::argument, "the aggregation is a number from 1 to 7"));
  } else if (std::trunc(filling) != 0 && std::trunc(filling) != 1) {
    call.fail(Error(Code::argument, "gaps are filled (1) or not (0)"));
  } else if (out.period < 0 || out.period != std::trunc(out.period)) {
    call.fail(Error(Code::number, "the period is a whole number that is not negative"));
  }
  return out;
}

// Whether the target, if there is one, lies before all points.
bool target_before(Call& call, std::optional<std::size_t> target,
                   const std::vector<SeriesPoint>& points) {
  if (!target) return false;
  const Matrix wanted = call.matrix(*target);
  return !wanted.empty() && wanted.cells()[0].is_numeric() &&
         std::all_of(points.begin(), points.end(), [&](const SeriesPoint& point) {
           return wanted.cells()[0].number() < point.x;
         });
}

// The series of two arguments of one shape that hold nothing but numbers.
std::optional<Series> series_of(Call& call, std::size_t values, std::size_t places,
                                const Options& options,
                                std::optional<std::size_t> target = std::nullopt) {
  const Matrix y = call.matrix(values);
  const Matrix x = call.matrix(places);
  if (call.failed()) return std::nullopt;
  bool fits = y.rows() == x.rows() && y.columns() == x.columns() && y.size() > 0;
  std::vector<SeriesPoint> points;
  for (std::size_t i = 0; fits && i < x.size(); ++i) {
    fits = x.cells()[i].is_numeric() && y.cells()[i].is_numeric();
    points.push_back({x.cells()[i].number(), y.cells()[i].number()});
  }
  if (!fits) {
    call.fail(Error(Code::argument, "values and timeline must be numbers, as many of both"));
    return std::nullopt;
  }
  if (target_before(call, target, points)) {
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
Operand for_each_of(Call& call, std::size_t index, const F& function, Code of_text = Code::number) {
  const Matrix wanted = call.matrix(index);
  if (call.failed()) return call.failure();
  Matrix out(wanted.rows(), wanted.columns());
  for (std::size_t i = 0; i < wanted.size(); ++i) {
    const Value& each = wanted.cells()[i];
    if (each.is_error()) {
      out.cells()[i] = each;
    } else if (each.is_text()) {
      out.cells()[i] = of_text;
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
  const Options options = options_from(call, 3, true);
  const auto smoothing = fitted(call, series_of(call, 1, 2, options, 0), options, multiplicative);
  if (call.failed()) return call.failure();
  return for_each_of(call, 0, [&](double x) -> Value {
    if (smoothing->series().place(x) < smoothing->series().points().front().x) {
      return Error(Code::number, "the target lies before the timeline", 0);
    }
    return finite_value(smoothing->forecast(x));
  });
}

template <bool multiplicative>
Operand interval(Call& call) {
  const Options options = options_from(call, 4, true);
  const double share = call.given(3) ? call.number(3) : 0.95;
  if (!call.failed() && (share < 0 || share > 1)) {
    call.fail(Error(Code::argument, "the confidence lies between 0 and 1", 3));
  }
  const auto smoothing = fitted(call, series_of(call, 1, 2, options, 0), options, multiplicative);
  if (call.failed()) return call.failure();
  const double last = smoothing->series().points().back().x;
  return for_each_of(call, 0, [&](double x) -> Value {
    const double place = smoothing->series().place(x);
    if (place <= last) {
      return Error(place < last ? Code::number : Code::argument,
                   "the target does not lie after the timeline", 0);
    }
    return finite_value(smoothing->half_width(x, share, [&] { return call.cells().random(); }));
  });
}

template <bool multiplicative>
Operand measure_of(Call& call) {
  const Options options = options_from(call, 3, true);
  const auto smoothing = fitted(call, series_of(call, 0, 1, options), options, multiplicative);
  if (call.failed()) return call.failure();
  const SmoothingMeasures& m = smoothing->measures();
  const double all[] = {m.alpha,
                        m.gamma,
                        m.beta,
                        m.scaled_error,
                        m.percent_error,
                        m.mean_error,
                        m.root_error,
                        smoothing->series().step(),
                        static_cast<double>(smoothing->period())};
  return for_each_of(
      call, 2,
      [&](double kind) -> Value {
        if (kind < 1 || kind >= static_cast<double>(std::size(all)) + 1) {
          return Error(Code::argument, "the measure is a number from 1 to 9", 2);
        }
        return finite_value(all[static_cast<std::size_t>(kind) - 1]);
      },
      Code::argument);
}

Operand seasonality(Call& call) {
  const Options options = options_from(call, 2, false);
  const auto smoothing = smoothing_of(call, series_of(call, 0, 1, options), options, false);
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
