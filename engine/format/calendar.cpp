#include "engine/format/calendar.hpp"

#include <algorithm>
#include <array>
#include <chrono>
#include <cmath>

#include "engine/format/rounding.hpp"

namespace loftledger {

namespace {

using namespace std::chrono_literals;
using std::chrono::days;
using std::chrono::sys_days;
using std::chrono::year_month_day;

// Whole periods before `count`, also where it is negative, and what is left over.
struct Periods {
  std::int64_t whole;
  std::int64_t rest;
};
constexpr Periods periods(std::int64_t count, std::int64_t length) {
  const std::int64_t rest = (count % length + length) % length;
  return {(count - rest) / length, rest};
}

// The Gregorian calendar repeats after so many years, and the library's years have 16 bits only.
constexpr std::int64_t kEraYears = 400;
constexpr std::int64_t kEraDays = 146097;

std::chrono::year year_of_era(std::int64_t year) {
  return std::chrono::year(static_cast<int>(periods(year, kEraYears).rest));
}

std::chrono::month month_of(std::int32_t month) {
  return std::chrono::month(static_cast<unsigned>(month));
}

// The first day of the Gregorian calendar.
constexpr std::int64_t kReform = sys_days(1582y / 10 / 15).time_since_epoch().count();

// The Julian calendar as E. G. Richards reckons it (Explanatory Supplement to the Astronomical
// Almanac, 3rd edition, 2013, chapter 15): years that begin with March end with their leap day, and
// five months on end have 153 days.
constexpr std::int64_t kCycleYears = 4;
constexpr std::int64_t kCycleDays = 1461;
constexpr std::int64_t kFiveMonths = 153;
constexpr std::int64_t kMarchOfYear0 = -719470;  // in days from 1970-01-01

std::int64_t julian_days_of(const Date& date) {
  const std::int32_t months = (date.month + 9) % 12;  // since March
  const std::int64_t year = date.month <= 2 ? date.year - 1 : date.year;
  const std::int64_t before = periods(kCycleDays * year, kCycleYears).whole;
  return kMarchOfYear0 + before + (kFiveMonths * months + 2) / 5 + date.day - 1;
}

Date julian_date_of(std::int64_t day) {
  const Periods cycles = periods(day - kMarchOfYear0, kCycleDays);
  const Periods years = periods(kCycleYears * cycles.rest + kCycleYears - 1, kCycleDays);
  const Periods months = periods(5 * (years.rest / kCycleYears) + 2, kFiveMonths);
  const auto month = static_cast<std::int32_t>((months.whole + 2) % 12 + 1);
  const std::int64_t year = cycles.whole * kCycleYears + years.whole;
  return {month <= 2 ? year + 1 : year, month, static_cast<std::int32_t>(months.rest / 5 + 1)};
}

constexpr std::array<std::string_view, 12> kMonths = {
    "January", "February", "March",     "April",   "May",      "June",
    "July",    "August",   "September", "October", "November", "December"};
constexpr std::array<std::string_view, 7> kWeekdays = {
    "Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"};

}  // namespace

bool leap_year(std::int64_t year) { return year_of_era(year).is_leap(); }

std::int32_t days_in_month(std::int64_t year, std::int32_t month) {
  const auto last = year_of_era(year) / month_of(month) / std::chrono::last;
  return static_cast<std::int32_t>(static_cast<unsigned>(last.day()));
}

std::int64_t days_of(const Date& date) {
  const sys_days first = year_of_era(date.year) / month_of(date.month) / 1;
  return first.time_since_epoch().count() + periods(date.year, kEraYears).whole * kEraDays +
         date.day - 1;
}

Date date_of(std::int64_t day) {
  const Periods eras = periods(day, kEraDays);
  const year_month_day date = sys_days(days(eras.rest));
  return {static_cast<int>(date.year()) + eras.whole * kEraYears,
          static_cast<std::int32_t>(static_cast<unsigned>(date.month())),
          static_cast<std::int32_t>(static_cast<unsigned>(date.day()))};
}

std::optional<std::int64_t> historic_days_of(const Date& date) {
  if (date.month < 1 || date.month > 12 || date.day < 1) return std::nullopt;
  const std::int64_t gregorian = days_of(date);
  const std::int32_t length = days_in_month(date.year, date.month);
  if (gregorian >= kReform) {
    return date.day <= length ? std::optional(gregorian) : std::nullopt;
  }
  const bool leap_day = date.month == 2 && date.year % kCycleYears == 0 && date.day == 29;
  const std::int64_t julian = julian_days_of(date);
  if ((date.day > length && !leap_day) || julian >= kReform) return std::nullopt;
  return julian;
}

Date historic_date_of(std::int64_t day) {
  return day >= kReform ? date_of(day) : julian_date_of(day);
}

double seconds_of_day(double serial) {
  const double size = std::fabs(serial);
  int places = 9;
  if (size >= 1) {
    places = std::clamp(10 - static_cast<int>(std::ceil(std::log10(size))), 2, places);
  }
  const double part = serial - floor_as_seen(serial);
  const double seconds = round_as_seen(part * kSecondsPerDay, places);
  // A moment that is all but midnight still belongs to its day.
  return seconds >= kSecondsPerDay ? kSecondsPerDay - 1e-9 : std::max(seconds, 0.0);
}

std::int32_t weekday_of(std::int64_t day) {
  const std::chrono::weekday weekday = sys_days(days(day));
  return static_cast<std::int32_t>(weekday.iso_encoding()) - 1;
}

std::int32_t week_of_year(std::int64_t day, std::int32_t first_weekday, bool four_days) {
  const std::int64_t start = day - (weekday_of(day) + 7 - first_weekday) % 7;
  // The day that tells which year a week belongs to: its fourth, or its last.
  const std::int64_t telling = start + (four_days ? 3 : 6);
  const std::int64_t first = days_of({date_of(telling).year, 1, 1});
  return static_cast<std::int32_t>((telling - first) / 7 + 1);
}

std::int64_t full_year(std::int64_t two_digits, std::int32_t first) {
  const std::int64_t century = first - first % 100;
  return two_digits < first % 100 ? century + 100 + two_digits : century + two_digits;
}

std::string_view month_name(std::int32_t month) {
  return kMonths[static_cast<std::size_t>(month - 1)];
}

std::string_view weekday_name(std::int32_t weekday) {
  return kWeekdays[static_cast<std::size_t>(weekday)];
}

}  // namespace loftledger
