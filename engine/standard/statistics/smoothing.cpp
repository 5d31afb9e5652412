#include "engine/standard/statistics/smoothing.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

#include "engine/format/calendar.hpp"
#include "engine/standard/statistics/probability.hpp"
#include "engine/standard/statistics/sample.hpp"

namespace loftledger::standard {

namespace {

// How finely weights are looked for, and what is no distance from a point of the series.
constexpr double kResolution = 0.001;

double joined(std::vector<double> values, Aggregation aggregation) {
  const auto count = static_cast<double>(values.size());
  switch (aggregation) {
    case Aggregation::first:
      return values.front();
    case Aggregation::count:
    case Aggregation::count_all:
      return count;
    case Aggregation::greatest:
      return *std::max_element(values.begin(), values.end());
    case Aggregation::median:
      std::sort(values.begin(), values.end());
      return median(values);
    case Aggregation::least:
      return *std::min_element(values.begin(), values.end());
    case Aggregation::sum:
      return mean_of(values) * count;
  }
  return 0;
}

std::vector<SeriesPoint> without_repeats(const std::vector<SeriesPoint>& sorted,
                                         Aggregation aggregation) {
  std::vector<SeriesPoint> out;
  for (std::size_t i = 0; i < sorted.size();) {
    std::vector<double> same;
    const double x = sorted[i].x;
    for (; i < sorted.size() && sorted[i].x == x; ++i) same.push_back(sorted[i].y);
    out.push_back({x, same.size() == 1 ? same[0] : joined(std::move(same), aggregation)});
  }
  return out;
}

Date date_at(double x, std::int64_t null_date) {
  return date_of(static_cast<std::int64_t>(x) + null_date);
}

double months_of(const Date& date) { return static_cast<double>(date.year * 12 + date.month); }

// Half the interval of a smoothing without a season, so many steps (and one) after the last point.
double plain_half_width(double share, double root_error, double steps) {
  const double rest = 1 - share;
  const auto spread = [&](double i) {
    return std::sqrt(1 + share / std::pow(1 + rest, 3) *
                             ((1 + 4 * rest + 5 * rest * rest) + 2 * i * share * (1 + 3 * rest) +
                              2 * i * i * share * share));
  };
  return normal_quantile((1 + share) / 2) * root_error * spread(steps) / spread(0);
}

}  // namespace

// --- The series

std::optional<Series> Series::of(std::vector<SeriesPoint> points, bool fill_with_mean,
                                 Aggregation aggregation, std::int64_t null_date) {
  std::stable_sort(points.begin(), points.end(),
                   [](const SeriesPoint& a, const SeriesPoint& b) { return a.x < b.x; });
  Series out;
  out.points_ = std::move(points);
  out.null_date_ = null_date;
  out.find_months();
  out.points_ = without_repeats(out.points_, aggregation);
  out.step_ = std::numeric_limits<double>::max();
  for (std::size_t i = 1; i < out.size(); ++i) {
    out.step_ = std::min(out.step_, out.points_[i].x - out.points_[i - 1].x);
  }
  if (!out.fill_gaps(fill_with_mean)) return std::nullopt;
  return out;
}

void Series::find_months() {
  if (points_.empty()) return;
  const Date first = date_at(points_[0].x, null_date_);
  for (const SeriesPoint& point : points_) {
    if (date_at(point.x, null_date_).day != first.day) return;
  }
  month_day_ = first.day;
  for (SeriesPoint& point : points_) point.x = months_of(date_at(point.x, null_date_));
}

bool Series::fill_gaps(bool with_mean) {
  constexpr double kMostMissing = 0.3;
  const auto original = static_cast<double>(size());
  double missing = 0;
  std::vector<SeriesPoint> out;
  for (std::size_t i = 0; i < size(); ++i) {
    if (i > 0) {
      const SeriesPoint before = points_[i - 1];
      const double distance = points_[i].x - before.x;
      if (std::fmod(distance, step_) != 0) return false;
      const double between = with_mean ? (before.y + points_[i].y) / 2 : 0;
      for (double x = before.x + step_; x < points_[i].x; x += step_) {
        out.push_back({x, between});
        if (++missing / original > kMostMissing) return false;
      }
    }
    out.push_back(points_[i]);
  }
  points_ = std::move(out);
  return true;
}

double Series::place(double x) const {
  if (month_day_ == 0) return x;
  const Date date = date_at(x, null_date_);
  return months_of(date) +
         (date.day - month_day_) / static_cast<double>(days_in_month(date.year, date.month));
}

std::size_t Series::likely_period() const {
  std::size_t best = size();
  double least = std::numeric_limits<double>::max();
  for (std::size_t length = size() / 2; length >= 1; --length) {
    const std::size_t periods = size() / length;
    double difference = 0;
    for (std::size_t i = size() - periods * length + 1; i + length < size(); ++i) {
      difference += std::fabs((y(i) - y(i - 1)) - (y(i + length) - y(i + length - 1)));
    }
    const double mean = difference / (static_cast<double>((periods - 1) * length) - 1);
    if (mean <= least || mean == 0) {
      best = length;
      least = mean;
    }
  }
  return best;
}

// --- The smoothing

Smoothing::Smoothing(Series series, std::size_t period, bool multiplicative)
    : series_(std::move(series)), period_(period) {
  if (period_ > 0) season_ = multiplicative ? Season::multiplicative : Season::additive;
  const std::size_t count = series_.size();
  for (auto* each : {&level_, &trend_, &index_, &fitted_}) each->assign(count, 0);
  begin();
}

void Smoothing::fit() {
  auto of_trend = [&] { return smooth(); };
  auto of_season = [&] { return best(measures_.gamma, of_trend); };
  if (season_ == Season::none) {
    best(measures_.alpha, of_season);
  } else {
    auto of_level = [&] { return best(measures_.beta, of_season); };
    best(measures_.alpha, of_level);
  }
  measure();
}

// The values before the first step.
void Smoothing::begin() {
  const std::size_t count = series_.size();
  fitted_[0] = series_.y(0);
  if (season_ == Season::none) {
    trend_[0] = (series_.y(count - 1) - series_.y(0)) / static_cast<double>(count - 1);
    level_[0] = series_.y(0);
    return;
  }
  if (count < 2 * period_) {
    error_ = Code::value;
    return;
  }
  const auto length = static_cast<double>(period_);
  double rise = 0;
  for (std::size_t i = 0; i < period_; ++i) rise += series_.y(i + period_) - series_.y(i);
  trend_[0] = rise / (length * length);
  const std::size_t periods = count / period_;
  for (std::size_t p = 0; p < periods; ++p) {
    double mean = 0;
    for (std::size_t j = 0; j < period_; ++j) mean += series_.y(p * period_ + j);
    mean /= length;
    if (mean == 0) {
      error_ = Code::division;
      return;
    }
    for (std::size_t j = 0; j < period_; ++j) {
      const double y = series_.y(p * period_ + j);
      const double due = mean + (static_cast<double>(j) - 0.5 * (length - 1)) * trend_[0];
      index_[j] += season_ == Season::additive ? y - due : y / due;
    }
  }
  for (std::size_t j = 0; j < period_; ++j) index_[j] /= static_cast<double>(periods);
  level_[0] = series_.y(0) / index_[0];
}

// Looks for the weight with the least error by halving, and leaves it set; the error it has then.
double Smoothing::best(double& weight, FunctionRef<double()> measure) {
  const auto at = [&](double value) {
    weight = value;
    return measure();
  };
  double low = 0;
  double high = 1;
  double middle = 0.5;
  double error_low = at(low);
  double error_high = at(high);
  double error = at(middle);
  if (error_low == error && error == error_high) return at(0);
  while (high - middle > kResolution) {
    if (error_high > error_low) {
      high = std::exchange(middle, (low + middle) / 2);
      error_high = error;
    } else {
      low = std::exchange(middle, (middle + high) / 2);
      error_low = error;
    }
    error = at(middle);
  }
  if (error_high > error_low) return error_low < error ? at(low) : error;
  return error_high < error ? at(high) : error;
}

double Smoothing::with_season(double level, std::size_t index) const {
  switch (season_) {
    case Season::none:
      return level;
    case Season::additive:
      return level + index_[index];
    case Season::multiplicative:
      return level * index_[index];
  }
  return level;
}

// Smooths the series with the weights that are set; the mean of the squared errors.
double Smoothing::smooth() {
  double squares = 0;
  for (std::size_t i = 1; i < series_.size(); ++i) {
    const double due = level_[i - 1] + trend_[i - 1];
    const double y = series_.y(i);
    // As in the office the additive season begins one step later.
    const bool later = season_ == Season::additive ? i > period_ : i >= period_;
    const std::size_t before = later ? i - period_ : i;
    double plain = y;
    if (season_ == Season::additive) plain = y - index_[before];
    if (season_ == Season::multiplicative) plain = y / index_[before];
    fitted_[i] = with_season(due, before);
    level_[i] = measures_.alpha * plain + (1 - measures_.alpha) * due;
    if (season_ != Season::none) {
      const double own = season_ == Season::additive ? y - level_[i] : y / level_[i];
      index_[i] = measures_.beta * own + (1 - measures_.beta) * index_[before];
    }
    trend_[i] =
        measures_.gamma * (level_[i] - level_[i - 1]) + (1 - measures_.gamma) * trend_[i - 1];
    squares += (fitted_[i] - y) * (fitted_[i] - y);
  }
  return squares / static_cast<double>(series_.size() - 1);
}

void Smoothing::measure() {
  double absolute = 0;
  double squares = 0;
  double shares = 0;
  double changes = 0;
  for (std::size_t i = 1; i < series_.size(); ++i) {
    const double y = series_.y(i);
    const double error = fitted_[i] - y;
    absolute += std::fabs(error);
    squares += error * error;
    shares += std::fabs(error) / (std::fabs(fitted_[i]) + std::fabs(y));
    if (i > 1) changes += std::fabs(y - series_.y(i - 1));
  }
  const auto count = static_cast<double>(series_.size() - 1);
  measures_.mean_error = absolute / count;
  measures_.scaled_error = absolute / (count * changes / (count - 1));
  measures_.root_error = std::sqrt(squares / count);
  measures_.percent_error = shares * 2 / count;
}

// The forecast so many steps after the last point.
double Smoothing::ahead(std::size_t steps) const {
  const std::size_t last = series_.size() - 1;
  const double level = level_[last] + static_cast<double>(steps) * trend_[last];
  return season_ == Season::none ? level : with_season(level, last - period_ + steps % period_);
}

double Smoothing::forecast(double x) const {
  const double place = series_.place(x);
  const double last = series_.points().back().x;
  const bool inside = place <= last;
  const double distance = place - (inside ? series_.points().front().x : last);
  const auto steps = static_cast<std::size_t>(distance / series_.step());
  const double rest = std::fmod(distance, series_.step());
  const double from = inside ? series_.y(steps) : ahead(steps);
  if (rest < kResolution) return from;
  const double to = inside ? fitted_[steps + 1] : ahead(steps + 1);
  return from + rest / series_.step() * (to - from);
}

// Where one trial leads: the smoothing goes on with values that miss the forecast at random, and as
// in the office only upwards, so that the interval comes out narrower than it says.
std::vector<double> Smoothing::trial(std::size_t steps, FunctionRef<double()> random) const {
  const std::size_t last = series_.size() - 1;
  double level = level_[last];
  double trend = trend_[last];
  std::vector<double> index(index_.end() - static_cast<std::ptrdiff_t>(period_), index_.end());
  std::vector<double> out;
  for (std::size_t i = 0; i < steps; ++i) {
    const double due = level + trend;
    const double of_season = index[i];
    const bool additive = season_ == Season::additive;
    const double y = (additive ? due + of_season : due * of_season) +
                     measures_.root_error * normal_quantile((1 + random()) / 2);
    const double plain = additive ? y - of_season : y / of_season;
    const double before =
        std::exchange(level, measures_.alpha * plain + (1 - measures_.alpha) * due);
    trend = measures_.gamma * (level - before) + (1 - measures_.gamma) * trend;
    const double own = additive ? y - level : y / level;
    index.push_back(measures_.beta * own + (1 - measures_.beta) * of_season);
    out.push_back(y);
  }
  return out;
}

double Smoothing::half_width(double x, double share, FunctionRef<double()> random) const {
  const double distance = series_.place(x) - series_.points().back().x;
  const double steps = std::floor(distance / series_.step());
  const double rest = std::fmod(distance, series_.step());
  std::vector<double> widths;
  if (season_ == Season::none) {
    widths = {plain_half_width(share, measures_.root_error, steps - 1),
              plain_half_width(share, measures_.root_error, steps)};
  } else {
    constexpr int kTrials = 1000;
    const auto most = static_cast<std::size_t>(steps) + 1;
    std::vector<std::vector<double>> ends(2);
    for (int i = 0; i < kTrials; ++i) {
      const std::vector<double> path = trial(most, random);
      ends[0].push_back(path[most - 2]);
      ends[1].push_back(path[most - 1]);
    }
    for (std::vector<double>& each : ends) {
      std::sort(each.begin(), each.end());
      widths.push_back(quantile(each, (1 + share) / 2) - median(each));
    }
  }
  return rest == 0 ? widths[0] : widths[0] + rest * (widths[1] - widths[0]);
}

}  // namespace loftledger::standard
