// Days and dates. Days count from 1970-01-01.
#pragma once

#include <cstdint>
#include <optional>
#include <string_view>

namespace loftledger {

struct Date {
  std::int64_t year = 1970;
  std::int32_t month = 1;  // 1 to 12
  std::int32_t day = 1;    // 1 to 31
  bool operator==(const Date&) const = default;
};

inline constexpr std::int32_t kLastYear = 32767;
inline constexpr double kSecondsPerDay = 86400;

bool leap_year(std::int64_t year);
std::int32_t days_in_month(std::int64_t year, std::int32_t month);

// The Gregorian calendar, carried back beyond 1582 (as DATE and YEAR reckon). A day that the month
// has not counts on from its first.
std::int64_t days_of(const Date& date);
Date date_of(std::int64_t days);

// The calendar in use at the time: Julian until 1582-10-04, Gregorian from 1582-10-15 (as dates are
// read and shown). Nothing for a date that there was not.
std::optional<std::int64_t> historic_days_of(const Date& date);
Date historic_date_of(std::int64_t days);

// Seconds into the day of a serial number, less than 86400. What a date takes of the number's
// digits is missing from its time, so that fewer decimals of a second count with it.
double seconds_of_day(double serial);

// 0 for Monday to 6 for Sunday.
std::int32_t weekday_of(std::int64_t days);

// The week of the year, counted from 1 on. Weeks begin on `first_weekday` (0 for Monday). The first
// week is the one with 1 January, or, as in ISO 8601, the first with four days in the year; the
// last days of a year may lie in the first week of the next one.
std::int32_t week_of_year(std::int64_t days, std::int32_t first_weekday, bool four_days);

// The year that two digits stand for: the hundred years from `first` on.
std::int64_t full_year(std::int64_t two_digits, std::int32_t first);

// "January" for 1, "Monday" for 0.
std::string_view month_name(std::int32_t month);
std::string_view weekday_name(std::int32_t weekday);
// How many of its letters a name's short form has.
inline constexpr std::size_t kShortName = 3;

}  // namespace loftledger
