#include "engine/standard/values/calendar.hpp"

#include <algorithm>
#include <cmath>

#include "engine/standard/values/arithmetic.hpp"
#include "engine/standard/values/rounding.hpp"

namespace loftledger::standard {

namespace {

std::int64_t floor_divide(std::int64_t a, std::int64_t b) {
  const std::int64_t quotient = a / b;
  return a % b != 0 && (a < 0) != (b < 0) ? quotient - 1 : quotient;
}

// Days from 1 March of the year 0 to 1970-01-01, in either calendar.
constexpr std::int64_t kGregorianEpoch = 719468;
constexpr std::int64_t kJulianEpoch = 719470;

constexpr double kSecondsPerDay = 86400;

// 1582-10-15, the first day of the Gregorian calendar.
constexpr std::int64_t kReform = -141427;

// With years that begin in March, leap days come last and months have a regular length.
struct MarchDate {
  std::int64_t year;
  std::int64_t day;  // from 1 March on
};

MarchDate march_date(const Date& date) {
  const std::int64_t month = (date.month + 9) % 12;
  return {date.month <= 2 ? date.year - 1 : date.year, (153 * month + 2) / 5 + date.day - 1};
}

Date from_march(std::int64_t year, std::int64_t day) {
  const std::int64_t month = (5 * day + 2) / 153;
  const auto calendar_month = static_cast<std::int32_t>(month < 10 ? month + 3 : month - 9);
  return {calendar_month <= 2 ? year + 1 : year, calendar_month,
          static_cast<std::int32_t>(day - (153 * month + 2) / 5 + 1)};
}

std::int64_t julian_days_of(const Date& date) {
  const MarchDate march = march_date(date);
  return march.year * 365 + floor_divide(march.year, 4) + march.day - kJulianEpoch;
}

Date julian_date_of(std::int64_t days) {
  const std::int64_t shifted = days + kJulianEpoch;
  const std::int64_t cycle = floor_divide(shifted, 1461);
  const std::int64_t rest = shifted - cycle * 1461;
  const std::int64_t year = std::min<std::int64_t>(rest / 365, 3);
  return from_march(cycle * 4 + year, rest - year * 365);
}

}  // namespace

bool leap_year(std::int64_t year) { return year % 4 == 0 && (year % 100 != 0 || year % 400 == 0); }

std::int32_t days_in_month(std::int64_t year, std::int32_t month) {
  if (month == 2) return leap_year(year) ? 29 : 28;
  return month == 4 || month == 6 || month == 9 || month == 11 ? 30 : 31;
}

std::int64_t days_of(const Date& date) {
  const MarchDate march = march_date(date);
  return march.year * 365 + floor_divide(march.year, 4) - floor_divide(march.year, 100) +
         floor_divide(march.year, 400) + march.day - kGregorianEpoch;
}

Date date_of(std::int64_t days) {
  constexpr std::int64_t kEra = 146097;  // days in 400 years
  const std::int64_t shifted = days + kGregorianEpoch;
  const std::int64_t era = floor_divide(shifted, kEra);
  const std::int64_t rest = shifted - era * kEra;
  const std::int64_t year = (rest - rest / 1460 + rest / 36524 - rest / (kEra - 1)) / 365;
  return from_march(era * 400 + year, rest - (365 * year + year / 4 - year / 100));
}

std::optional<std::int64_t> historic_days_of(const Date& date) {
  if (date.month < 1 || date.month > 12 || date.day < 1) return std::nullopt;
  const std::int64_t days = days_of(date);
  if (days >= kReform) {
    if (date.day > days_in_month(date.year, date.month)) return std::nullopt;
    return days;
  }
  const bool leap_day = date.month == 2 && date.year % 4 == 0 && date.day == 29;
  const std::int64_t julian = julian_days_of(date);
  if ((date.day > days_in_month(date.year, date.month) && !leap_day) || julian >= kReform) {
    return std::nullopt;
  }
  return julian;
}

Date historic_date_of(std::int64_t days) {
  return days >= kReform ? date_of(days) : julian_date_of(days);
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

std::int32_t weekday_of(std::int64_t days) {
  // 1970-01-01 was a Thursday.
  return static_cast<std::int32_t>(days + 3 - floor_divide(days + 3, 7) * 7);
}

std::int32_t week_of_year(std::int64_t days, std::int32_t first_weekday, bool four_days) {
  const std::int64_t start = days - (weekday_of(days) + 7 - first_weekday) % 7;
  // The day that tells which year a week belongs to: its fourth, or its last.
  const std::int64_t telling = start + (four_days ? 3 : 6);
  const std::int64_t first = days_of({date_of(telling).year, 1, 1});
  return static_cast<std::int32_t>((telling - first) / 7 + 1);
}

std::int64_t full_year(std::int64_t two_digits, std::int32_t first) {
  const std::int64_t century = first - first % 100;
  return two_digits < first % 100 ? century + 100 + two_digits : century + two_digits;
}

}  // namespace loftledger::standard
