// Dates and times: making them and taking them apart (OpenFormula 6.10).
#include <cmath>
#include <limits>

#include "engine/standard/call/serial.hpp"
#include "engine/standard/dates/functions.hpp"
#include "engine/standard/values/arithmetic.hpp"
#include "engine/standard/values/text_number.hpp"

namespace loftledger::standard {

std::int64_t day_argument(Call& call, std::size_t index) {
  const double serial = truncated_as_seen(call.number(index));
  // Days to the end of the calendar's last year, and as many back.
  constexpr double kMost = 12'000'000;
  if (std::fabs(serial) > kMost) {
    call.reject(
        index, Error(Code::argument, "the date lies beyond the calendar", static_cast<int>(index)));
    return 0;
  }
  return static_cast<std::int64_t>(serial) + call.settings().null_date;
}

double serial_of(const Call& call, std::int64_t day) {
  return static_cast<double>(day - call.settings().null_date);
}

std::int64_t short_argument(Call& call, std::size_t index) {
  const std::int64_t whole = call.whole(index);
  if (std::abs(whole) > std::numeric_limits<std::int16_t>::max()) {
    call.reject(index, Code::argument);
  }
  return call.failed() ? 0 : whole;
}

namespace {

// --- Making

// The first day that counts as Gregorian.
constexpr Date kReform{1582, 10, 15};

Operand date(Call& call) {
  std::int64_t year = short_argument(call, 0);
  const std::int64_t month = short_argument(call, 1);
  const std::int64_t day = short_argument(call, 2);
  if (call.failed()) return call.failure();
  if (!call.given(0)) return Code::missing_argument;
  if (year < 0) return Error(Code::argument, "DATE: a year is 0 or more", 0);
  if (year < 100) year = full_year(year, call.settings().null_year);
  const std::int64_t months = year * 12 + month - 1;
  const std::int64_t first = days_of({months / 12, static_cast<std::int32_t>(months % 12) + 1, 1});
  const std::int64_t days = first + day - 1;
  if (days < days_of(kReform) || date_of(days).year > kLastYear) {
    return Error(Code::value, "DATE: the calendar begins on 1582-10-15 and ends with 32767");
  }
  return serial_of(call, days);
}

Operand time(Call& call) {
  const double seconds = call.number(0) * 3600 + call.number(1) * 60 + call.number(2);
  if (call.failed()) return call.failure();
  if (seconds < 0) return Error(Code::argument, "TIME: the time is negative");
  return call.finish(std::fmod(seconds, kSecondsPerDay) / kSecondsPerDay);
}

Operand today(Call& call) {
  const auto day = static_cast<std::int64_t>(std::floor(call.cells().now() / kSecondsPerDay));
  return serial_of(call, day);
}

Operand now(Call& call) { return serial_of(call, 0) + call.cells().now() / kSecondsPerDay; }

// The date or time in a text; numbers are refused.
Operand read_moment(Call& call, bool wants_date) {
  const std::string text = call.text(0);
  if (call.failed()) return call.failure();
  const auto read = read_typed(text, call.settings());
  const Reading reading = read ? read->reading : Reading::number;
  const Reading alone = wants_date ? Reading::date : Reading::time;
  if (reading != alone && reading != Reading::date_time) {
    return Error(
        Code::argument,
        std::string(call.name()) + ": \"" + text + "\" is no " + (wants_date ? "date" : "time"), 0);
  }
  const double day = std::floor(read->value);
  return call.finish(wants_date ? day : read->value - day);
}

Operand date_value(Call& call) { return read_moment(call, true); }
Operand time_value(Call& call) { return read_moment(call, false); }

// --- Taking apart

Operand year(Call& call) {
  const Date date = date_of(day_argument(call, 0));
  // Before the year 1 comes the year 1 before our era.
  return call.finish(static_cast<double>(date.year > 0 ? date.year : date.year - 1));
}
Operand month(Call& call) { return call.finish(date_of(day_argument(call, 0)).month); }
Operand day(Call& call) { return call.finish(date_of(day_argument(call, 0)).day); }

double seconds_argument(Call& call) { return seconds_of_day(call.number(0)); }

Operand hour(Call& call) { return call.finish(std::floor(seconds_argument(call) / 3600)); }
Operand minute(Call& call) {
  return call.finish(std::fmod(std::floor(seconds_argument(call) / 60), 60));
}
// Halves of a second go up, without a carry into the minute.
Operand second(Call& call) {
  return call.finish(std::fmod(std::floor(seconds_argument(call) + 0.5), 60));
}

// --- Weeks

constexpr std::int32_t kMonday = 0;
constexpr std::int32_t kSunday = 6;

Operand weekday(Call& call) {
  const std::int32_t day = weekday_of(day_argument(call, 0));
  const std::int64_t type = call.count() > 1 ? short_argument(call, 1) : 1;
  if (call.failed()) return call.failure();
  const auto from = [day](std::int32_t first) { return (day + 7 - first) % 7; };
  if (type == 1) return from(kSunday) + 1.0;
  if (type == 2) return from(kMonday) + 1.0;
  if (type == 3) return from(kMonday) + 0.0;
  if (type >= 11 && type <= 17) return from(static_cast<std::int32_t>(type - 11)) + 1.0;
  return Error(Code::argument, "WEEKDAY: the type is 1 to 3 or 11 to 17", 1);
}

Operand week_number(Call& call) {
  const std::int64_t day = day_argument(call, 0);
  const std::int64_t mode = call.count() > 1 ? call.whole(1) : 1;
  if (call.failed()) return call.failure();
  std::int32_t first = kSunday;
  const bool iso = mode == 21 || mode == 150;
  if (mode == 2 || iso) {
    first = kMonday;
  } else if (mode >= 11 && mode <= 17) {
    first = static_cast<std::int32_t>(mode - 11);
  } else if (mode != 1) {
    return Error(Code::argument, "WEEKNUM: the mode is 1, 2, 11 to 17, 21 or 150", 1);
  }
  return static_cast<double>(week_of_year(day, first, iso));
}

// As older versions of the office count: four days make a week, and it begins on Sunday with mode
// 1, else on Monday.
Operand week_by_mode(Call& call, std::int64_t mode) {
  return call.finish(week_of_year(day_argument(call, 0), mode == 1 ? kSunday : kMonday, true));
}
Operand old_week_number(Call& call) {
  const std::int64_t mode = short_argument(call, 1);
  return week_by_mode(call, mode);
}

// With a mode, as a file of such a version has it.
Operand iso_week_number(Call& call) {
  if (call.count() > 1) {
    // A number that the formula itself holds may be any.
    const bool literal = call[1].kind == Operand::Kind::value && call[1].value.is_numeric();
    const bool sunday = literal ? call.number(1) == 1 : short_argument(call, 1) == 1;
    return week_by_mode(call, sunday ? 1 : 2);
  }
  return call.finish(week_of_year(day_argument(call, 0), kMonday, true));
}

// --- Months on

// So many months on, the day cut to the month's length; or the last day of that month.
Operand months_on(Call& call, bool to_end) {
  const Date date = date_of(day_argument(call, 0));
  const std::int64_t months = call.whole(1) + date.year * 12 + date.month - 1;
  if (call.failed()) return call.failure();
  if (months < 12 || months / 12 > kLastYear) {
    return Error(Code::argument, std::string(call.name()) + ": the date lies beyond the calendar");
  }
  Date out{months / 12, static_cast<std::int32_t>(months % 12) + 1, 0};
  const std::int32_t last = days_in_month(out.year, out.month);
  out.day = to_end ? last : std::min(date.day, last);
  return serial_of(call, days_of(out));
}

Operand edate(Call& call) { return months_on(call, false); }
Operand eomonth(Call& call) { return months_on(call, true); }

// --- Years

// Gregorian Easter (the anonymous rule printed in Nature, 20 April 1876).
Operand easter_sunday(Call& call) {
  std::int64_t year = call.whole(0);
  if (call.failed()) return call.failure();
  if (year >= 0 && year < 100) year = full_year(year, call.settings().null_year);
  if (year < 1583 || year > 9956) {
    return Error(Code::argument, "EASTERSUNDAY: the year lies from 1583 to 9956", 0);
  }
  const std::int64_t golden = year % 19;
  const std::int64_t century = year / 100;
  const std::int64_t rest = year % 100;
  const std::int64_t moon =
      (19 * golden + century - century / 4 - (century - (century + 8) / 25 + 1) / 3 + 15) % 30;
  const std::int64_t to_sunday = (32 + 2 * (century % 4) + 2 * (rest / 4) - moon - rest % 4) % 7;
  const std::int64_t shift = (golden + 11 * moon + 22 * to_sunday) / 451;
  const std::int64_t march = moon + to_sunday - 7 * shift + 114;
  return serial_of(call, days_of({year, static_cast<std::int32_t>(march / 31),
                                  static_cast<std::int32_t>(march % 31) + 1}));
}

Operand length_of_month(Call& call) {
  const Date date = date_of(day_argument(call, 0));
  return call.finish(days_in_month(date.year, date.month));
}
Operand length_of_year(Call& call) {
  return call.finish(leap_year(date_of(day_argument(call, 0)).year) ? 366 : 365);
}
Operand is_leap_year(Call& call) {
  return call.finish(leap_year(date_of(day_argument(call, 0)).year) ? 1 : 0);
}
Operand weeks_in_year(Call& call) {
  // 28 December always lies in the last week.
  const Date date = date_of(day_argument(call, 0));
  return call.finish(week_of_year(days_of({date.year, 12, 28}), kMonday, true));
}

constexpr StandardFunction kFunctions[] = {
    {"DATE", date, 3, 3, "v", Group::small},
    {"DATEVALUE", date_value, 1, 1, "v", Group::medium},
    {"DAY", day, 1, 1, "v", Group::small},
    {"EASTERSUNDAY", easter_sunday, 1, 1, "v", Group::office, false, 1, Counting::at_call},
    {"EDATE", edate, 2, 2, "i", Group::large, false, 1, Counting::addin},
    {"EOMONTH", eomonth, 2, 2, "i", Group::medium, false, 1, Counting::addin},
    {"HOUR", hour, 1, 1, "v", Group::small},
    {"ISOWEEKNUM", iso_week_number, 1, 2, "v", Group::medium, false, 1, Counting::at_call},
    {"MINUTE", minute, 1, 1, "v", Group::small},
    {"MONTH", month, 1, 1, "v", Group::small},
    {"NOW", now, 0, 0, "", Group::small, true, 1, Counting::usual, Varies::by_clock},
    {"ORG.LIBREOFFICE.WEEKNUM_OOO", old_week_number, 2, 2, "v"},
    {"ORG.OPENOFFICE.DAYSINMONTH", length_of_month, 1, 1, "i", Group::office, false, 1,
     Counting::addin},
    {"ORG.OPENOFFICE.DAYSINYEAR", length_of_year, 1, 1, "i", Group::office, false, 1,
     Counting::addin},
    {"ORG.OPENOFFICE.EASTERSUNDAY", easter_sunday, 1, 1, "v", Group::office, false, 1,
     Counting::at_call},
    {"ORG.OPENOFFICE.ISLEAPYEAR", is_leap_year, 1, 1, "i", Group::office, false, 1,
     Counting::addin},
    {"ORG.OPENOFFICE.WEEKSINYEAR", weeks_in_year, 1, 1, "i", Group::office, false, 1,
     Counting::addin},
    {"SECOND", second, 1, 1, "v", Group::small},
    {"TIME", time, 3, 3, "v", Group::small},
    {"TIMEVALUE", time_value, 1, 1, "v", Group::medium},
    {"TODAY", today, 0, 0, "", Group::small, true, 1, Counting::usual, Varies::by_clock},
    {"WEEKDAY", weekday, 1, 2, "v", Group::small},
    {"WEEKNUM", week_number, 1, 2, "v", Group::medium},
    {"YEAR", year, 1, 1, "v", Group::small},
};

}  // namespace

StandardFunctions date_functions() { return kFunctions; }

}  // namespace loftledger::standard
