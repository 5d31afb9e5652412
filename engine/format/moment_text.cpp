#include "engine/format/moment_text.hpp"

#include <fmt/format.h>

#include <cmath>
#include <cstdlib>

#include "engine/base/checked_integer.hpp"
#include "engine/format/calendar.hpp"
#include "engine/format/general.hpp"
#include "engine/format/rounding.hpp"

namespace loftledger {

namespace {

using Piece = NumberFormat::Piece;
using Section = NumberFormat::Section;
using Kind = Piece::Kind;

// A moment taken apart. Times are cut to what shows, never rounded up to the next second; totals of
// hours are rounded.
struct Moment {
  Date date;
  std::int64_t days = 0;  // from 1970-01-01
  double seconds = 0;     // of the day, or in all
  double fraction = 0;    // of the second
};

double cut_fraction(double fraction, int places) {
  const double rounded = round_as_seen(fraction, places);
  if (rounded < 1) return rounded;
  const double scale = std::pow(10.0, places);
  return std::trunc(fraction * scale) / scale;
}

std::string clock_number(double number, int count) {
  return fmt::format("{:0{}.0f}", number, count);
}

// A name by the number of letters in its code: 5 stand for its initial, 3 for its short form.
std::string cut(std::string_view name, int letters) {
  return std::string(name.substr(0, letters == 5 ? 1 : letters == 3 ? kShortName : name.size()));
}

class DateWriter {
 public:
  DateWriter(const Section& section, double number, std::int64_t null_date) : section_(section) {
    for (const Piece& piece : section.pieces) {
      if (piece.kind == Kind::decimals) places_ = piece.count;
      if (piece.kind == Kind::half || piece.kind == Kind::half_mark) twelve_ = true;
      if (piece.kind >= Kind::total_hours) total_ = true;
      if (piece.kind >= Kind::year && piece.kind <= Kind::week) dated_ = true;
      if (piece.kind >= Kind::hour) timed_ = true;
    }
    double seconds = seconds_of_day(number);
    double day = floor_as_seen(number);
    // A time beside its date goes on to the next day where it rounds to midnight; alone it does
    // not.
    if (dated_ && timed_ && round_as_seen(seconds, places_) >= kSecondsPerDay) {
      seconds = 0;
      day += 1;
    }
    if (const auto days = checked_integer<std::int32_t>(day)) {
      moment_.days = *days + null_date;
      moment_.date = historic_date_of(moment_.days);
    } else {
      moment_.date.year = kLastYear + 1;
    }
    negative_ = total_ && number < 0;
    if (total_) seconds = round_as_seen(std::fabs(number) * kSecondsPerDay, places_);
    moment_.seconds = std::floor(seconds);
    if (possible()) moment_.fraction = cut_fraction(seconds - moment_.seconds, places_);
  }

  // Dates within the calendar, and totals of seconds that 32 bits hold, as in the office.
  bool possible() const {
    constexpr double kMostSeconds = 4294967295.0;
    if (total_ && moment_.seconds > kMostSeconds) return false;
    return !dated_ || (moment_.date.year <= kLastYear && moment_.date.year > -kLastYear);
  }

  std::string write() const {
    std::string out;
    for (const Piece& piece : section_.pieces) {
      // The sign stands before the total.
      if (negative_ && piece.kind >= Kind::total_hours) out += '-';
      out += one(piece);
    }
    return out;
  }

 private:
  std::string one(const Piece& piece) const {
    const double hours = std::floor(moment_.seconds / 3600);
    const double minutes = std::floor(moment_.seconds / 60);
    const Date& date = moment_.date;
    switch (piece.kind) {
      case Kind::year:
        return year(piece.count);
      case Kind::month:
        if (piece.count <= 2) return fmt::format("{:0{}}", date.month, piece.count);
        return cut(month_name(date.month), piece.count);
      case Kind::day:
        return fmt::format("{:0{}}", date.day, piece.count);
      case Kind::weekday:
        return cut(weekday_name(weekday_of(moment_.days)), piece.count);
      case Kind::quarter:
        return quarter((date.month - 1) / 3, piece.count);
      case Kind::week:
        return fmt::format("{}", week());
      case Kind::hour:
        return clock_number(hour(std::fmod(hours, 24)), piece.count);
      case Kind::minute:
        return clock_number(std::fmod(minutes, 60), piece.count);
      case Kind::second:
        return clock_number(std::fmod(moment_.seconds, 60), piece.count);
      case Kind::decimals:
        return fixed_text(moment_.fraction, piece.count).substr(1);
      case Kind::half:
        return std::fmod(hours, 24) < 12 ? "AM" : "PM";
      case Kind::half_mark:
        return std::fmod(hours, 24) < 12 ? "a" : "p";
      case Kind::total_hours:
        return clock_number(hours, piece.count);
      case Kind::total_minutes:
        return clock_number(minutes, piece.count);
      case Kind::total_seconds:
        return clock_number(moment_.seconds, piece.count);
      default:
        return piece.words;
    }
  }

  // From Sunday on, the first one with 1 January, by the calendar of the time.
  std::int64_t week() const {
    constexpr std::int64_t kWeek = 7;
    const std::int64_t start = moment_.days - (weekday_of(moment_.days) + 1) % kWeek;
    const std::int64_t year = historic_date_of(start + kWeek - 1).year;
    const std::int64_t first = historic_days_of({year, 1, 1}).value_or(start);
    return (start + kWeek - 1 - first) / kWeek + 1;
  }

  // There is no year 0: before 1 comes 1 before our era.
  std::string year(int count) const {
    const std::int64_t shown = moment_.date.year > 0 ? moment_.date.year : moment_.date.year - 1;
    if (count == 4) return fmt::format("{}{:04}", shown < 0 ? "-" : "", std::abs(shown));
    // A sign takes a place of its own only where there are two digits.
    if (shown > -10) return fmt::format("{:02}", shown % 100);
    return fmt::format("-{:02}", std::abs(shown) % 100);
  }

  double hour(double of_day) const {
    if (!twelve_) return of_day;
    const double half = std::fmod(of_day, 12);
    return half == 0 ? 12 : half;
  }

  static std::string quarter(int index, int count) {
    if (count == 1) return fmt::format("Q{}", index + 1);
    constexpr std::string_view kWords[] = {"1st quarter", "2nd quarter", "3rd quarter",
                                           "4th quarter"};
    return std::string(kWords[index]);
  }

  const Section& section_;
  Moment moment_;
  int places_ = 0;
  bool twelve_ = false;
  bool total_ = false;
  bool dated_ = false;
  bool timed_ = false;
  bool negative_ = false;
};

}  // namespace

std::optional<std::string> moment_text(const Section& section, double serial,
                                       std::int64_t null_date) {
  const DateWriter writer(section, serial, null_date);
  if (!writer.possible()) return std::nullopt;
  return writer.write();
}

}  // namespace loftledger
