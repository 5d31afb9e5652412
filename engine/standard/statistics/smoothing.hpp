// Exponential smoothing of a series with a trend and, where there is one, a season: C. C. Holt
// (1957) and P. R. Winters, Management Science 6 (1960). What those leave open, how the first
// values are set and where the best weights are looked for, is as the office has it.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <vector>

#include "engine/base/error.hpp"
#include "engine/base/function_ref.hpp"

namespace loftledger::standard {

struct SeriesPoint {
  double x = 0;
  double y = 0;
};

// How values at one place in time become one. What the office calls the average is the first of
// them.
enum class Aggregation { first = 1, count, count_all, greatest, median, least, sum };

// A series in equal steps of time. Where all x are dates on one day of the month, the step is in
// months and x counts months.
class Series {
 public:
  // Sorts the points, joins those of one x, and fills gaps (with the mean of the neighbours, or
  // with 0) up to 3 in 10 of the points. Nothing where the steps are no multiples of the least.
  // `null_date`: days from 1970-01-01 to the serial number 0.
  static std::optional<Series> of(std::vector<SeriesPoint> points, bool fill_with_mean,
                                  Aggregation aggregation, std::int64_t null_date);

  const std::vector<SeriesPoint>& points() const { return points_; }
  std::size_t size() const { return points_.size(); }
  double y(std::size_t index) const { return points_[index].y; }
  double step() const { return step_; }
  // A place in time in the unit of the points.
  double place(double x) const;
  // The count of steps after which the series repeats itself best; 1: it does not.
  std::size_t likely_period() const;

 private:
  void find_months();
  bool fill_gaps(bool with_mean);

  std::vector<SeriesPoint> points_;
  double step_ = 0;
  std::int32_t month_day_ = 0;  // 0: x is no month
  std::int64_t null_date_ = 0;
};

enum class Season { none, additive, multiplicative };

// The measures of a smoothing, in the order of their numbers.
struct SmoothingMeasures {
  double alpha = 0;  // the weight of the level
  double gamma = 0;  // of the trend
  double beta = 0;   // of the season
  double scaled_error = 0;
  double percent_error = 0;  // symmetric mean absolute
  double mean_error = 0;     // absolute
  double root_error = 0;
};

class Smoothing {
 public:
  // `period`: steps in a season; none where it is 0. An error where the series is too short or its
  // mean over a period is 0.
  Smoothing(Series series, std::size_t period, bool multiplicative);

  // Looks for the weights that fit best; of no use where there is an error.
  void fit();

  std::optional<Code> error() const { return error_; }
  const SmoothingMeasures& measures() const { return measures_; }
  const Series& series() const { return series_; }
  std::size_t period() const { return period_; }
  Season season() const { return season_; }

  double forecast(double x) const;
  // Half the width of the interval that holds a share of the values to come at a place after the
  // last point.
  // Without a season by formula, else by 1000 trials with the given uniform numbers.
  double half_width(double x, double share, FunctionRef<double()> random) const;

 private:
  void begin();
  double best(double& weight, FunctionRef<double()> measure);
  double smooth();
  void measure();
  double ahead(std::size_t steps) const;
  std::vector<double> trial(std::size_t steps, FunctionRef<double()> random) const;
  double with_season(double level, std::size_t index) const;

  Series series_;
  std::size_t period_ = 0;
  Season season_ = Season::none;
  std::optional<Code> error_;
  SmoothingMeasures measures_;
  std::vector<double> level_;
  std::vector<double> trend_;
  std::vector<double> index_;
  std::vector<double> fitted_;
};

}  // namespace loftledger::standard
