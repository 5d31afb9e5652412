// Counting between dates: days, months, years, shares of a year, working days.
#include <algorithm>
#include <array>
#include <cmath>
#include <optional>
#include <vector>

#include "engine/standard/call/addin.hpp"
#include "engine/standard/call/serial.hpp"
#include "engine/standard/dates/day_count.hpp"
#include "engine/standard/dates/functions.hpp"
#include "engine/standard/values/arithmetic.hpp"
#include "engine/standard/values/collation.hpp"

namespace loftledger::standard {

namespace {

struct Span {
  std::int64_t first = 0;
  std::int64_t last = 0;
  Date from;
  Date to;
};

Span span_of(std::int64_t first, std::int64_t last) {
  return {first, last, date_of(first), date_of(last)};
}

Operand days(Call& call) { return call.finish(call.number(0) - call.number(1)); }

// Days in years of twelve months of thirty.
double thirty_days(const Date& from, const Date& to) {
  return static_cast<double>((to.year - from.year) * 360 + (to.month - from.month) * 30 +
                             (to.day - from.day));
}

bool ends_february(const Date& date) {
  return date.month == 2 && date.day == days_in_month(date.year, 2);
}

Operand days360(Call& call) {
  std::int64_t first = day_argument(call, 0);
  std::int64_t last = day_argument(call, 1);
  const bool european = call.truth(2, false);
  if (call.failed()) return call.failure();
  // Only the European count is the same both ways.
  const bool backwards = european && last < first;
  if (backwards) std::swap(first, last);
  Span span = span_of(first, last);
  if (span.from.day == 31 || (!european && ends_february(span.from))) span.from.day = 30;
  if (span.to.day == 31 && (european || span.from.day == 30)) span.to.day = 30;
  const double count = thirty_days(span.from, span.to);
  return backwards ? -count : count;
}

// --- DATEDIF

// The date in another year or month; a day that the month has not runs over into the next.
std::int64_t moved(const Date& date, std::int64_t year, std::int64_t month) {
  return days_of({year, static_cast<std::int32_t>(month), 1}) + date.day - 1;
}

std::int64_t full_months(const Span& span) {
  const std::int64_t months =
      (span.to.year - span.from.year) * 12 + span.to.month - span.from.month;
  return span.to.day < span.from.day ? months - 1 : months;
}

std::int64_t days_beyond_months(const Span& span) {
  if (span.from.day <= span.to.day) return span.to.day - span.from.day;
  const bool january = span.to.month == 1;
  return span.last - moved(span.from, january ? span.to.year - 1 : span.to.year,
                           january ? 12 : span.to.month - 1);
}

std::int64_t days_beyond_years(const Span& span) {
  const bool reached = span.to.month > span.from.month ||
                       (span.to.month == span.from.month && span.to.day >= span.from.day);
  return span.last - moved(span.from, reached ? span.to.year : span.to.year - 1, span.from.month);
}

Operand date_difference(Call& call) {
  const std::int64_t first = day_argument(call, 0);
  const std::int64_t last = day_argument(call, 1);
  const std::string unit = lower_case(call.text(2));
  if (call.failed()) return call.failure();
  if (first == last) return 0.0;
  if (first > last) return Error(Code::argument, "DATEDIF: the first date is the later one", 0);
  const Span span = span_of(first, last);
  const auto count = [](std::int64_t number) { return static_cast<double>(number); };
  if (unit == "d") return count(last - first);
  if (unit == "m") return count(full_months(span));
  if (unit == "y") return count(full_months(span) / 12);
  if (unit == "md") return count(days_beyond_months(span));
  if (unit == "ym") return count(full_months(span) % 12);
  if (unit == "yd") return count(days_beyond_years(span));
  return Error(Code::argument, "DATEDIF: the unit is d, m, y, md, ym or yd", 2);
}

// --- Shares of a year

double american_days(Span span) {
  if (span.from.day == 31) span.from.day = 30;
  if (span.from.day == 30 && span.to.day == 31) {
    span.to.day = 30;
  } else if (ends_february(span.from)) {
    span.from.day = 30;
    if (ends_february(span.to)) span.to.day = 30;
  }
  return thirty_days(span.from, span.to);
}

double european_days(Span span) {
  span.from.day = std::min(span.from.day, 30);
  span.to.day = std::min(span.to.day, 30);
  return thirty_days(span.from, span.to);
}

// The length of a year for the actual count: over more than a year the mean of the years touched,
// else that of the year with its leap day in the span.
double actual_year(const Span& span) {
  const std::int64_t years = span.to.year - span.from.year;
  const bool later = span.from.month < span.to.month ||
                     (span.from.month == span.to.month && span.from.day < span.to.day);
  if (years > 1 || (years == 1 && later)) {
    const std::int64_t whole = days_of({span.to.year + 1, 1, 1}) - days_of({span.from.year, 1, 1});
    return static_cast<double>(whole) / static_cast<double>(years + 1);
  }
  if (years == 0) return leap_year(span.from.year) ? 366 : 365;
  const bool first_leap = leap_year(span.from.year) && span.from.month <= 2;
  const bool last_leap =
      leap_year(span.to.year) && (span.to.month > 2 || (span.to.month == 2 && span.to.day == 29));
  return first_leap || last_leap ? 366 : 365;
}

}  // namespace

double share_of_year(std::int64_t a, std::int64_t b, std::int64_t basis) {
  const Span span = span_of(std::min(a, b), std::max(a, b));
  const auto actual = static_cast<double>(span.last - span.first);
  if (actual == 0) return 0;
  switch (basis) {
    case 0:
      return american_days(span) / 360;
    case 1:
      return actual / actual_year(span);
    case 2:
      return actual / 360;
    case 3:
      return actual / 365;
    default:
      return european_days(span) / 360;
  }
}

namespace {

Operand year_fraction(Call& call) {
  const std::int64_t a = day_argument(call, 0);
  const std::int64_t b = day_argument(call, 1);
  const double basis = std::trunc(addin_option(call, 2, 0));
  if (call.failed()) return call.failure();
  if (basis < 0 || basis > 4) return Error(Code::argument, "YEARFRAC: the basis is 0 to 4", 2);
  return share_of_year(a, b, static_cast<std::int64_t>(basis));
}

// --- Weeks, months and years between dates: whole ones, or (mode 1) those of the calendar

struct Between {
  Span span;
  bool calendar = false;
};

Between between(Call& call) {
  Between out;
  out.span = span_of(day_argument(call, 0), day_argument(call, 1));
  const std::int64_t mode = call.whole(2);
  if (mode != 0 && mode != 1) call.fail(Code::argument);
  out.calendar = mode == 1;
  return out;
}

Operand weeks(Call& call) {
  const auto [span, calendar] = between(call);
  // To the Mondays of both weeks.
  const std::int64_t first = calendar ? span.first - weekday_of(span.first) : span.first;
  const std::int64_t last = calendar ? span.last - weekday_of(span.last) : span.last;
  return call.finish(static_cast<double>((last - first) / 7));
}

// Months towards zero, whichever date is the earlier.
std::int64_t months_between(const Between& all) {
  const Span& span = all.span;
  const std::int64_t months =
      (span.to.year - span.from.year) * 12 + span.to.month - span.from.month;
  if (all.calendar) return months;
  if (span.first < span.last && span.to.day < span.from.day) return months - 1;
  if (span.first > span.last && span.to.day > span.from.day) return months + 1;
  return months;
}

Operand months(Call& call) {
  return call.finish(static_cast<double>(months_between(between(call))));
}

Operand years(Call& call) {
  const Between all = between(call);
  if (all.calendar) return call.finish(static_cast<double>(all.span.to.year - all.span.from.year));
  return call.finish(static_cast<double>(months_between(all) / 12));
}

// --- Working days

using Weekend = std::array<bool, 7>;  // from Monday on

constexpr Weekend kUsualWeekend{false, false, false, false, false, true, true};

// Saturday and Sunday are 1, each pair a day later the next up to 7; 11 to 17 are Sunday to
// Saturday alone; a text has a 1 for each free day from Monday on.
std::optional<Weekend> read_weekend(Call& call, std::size_t index) {
  if (!call.given(index)) return kUsualWeekend;
  Weekend out{};
  const Value value = single(call[index], call.cells(), call.here());
  if (value.is_error()) {
    call.fail(value);
    return std::nullopt;
  }
  if (value.is_text()) {
    const std::string_view text = value.text();
    if (text.size() != out.size()) {
      call.fail(Code::value);
      return std::nullopt;
    }
    for (std::size_t i = 0; i < out.size(); ++i) {
      if (text[i] != '0' && text[i] != '1') {
        call.fail(Code::argument);
        return std::nullopt;
      }
      out[i] = text[i] == '1';
    }
    return out;
  }
  const double number = value.number();
  const bool pair = number >= 1 && number <= 7;
  const bool alone = number >= 11 && number <= 17;
  if ((!pair && !alone) || number != std::floor(number)) {
    call.fail(number < 1 || number > 17 ? Code::value : Code::argument);
    return std::nullopt;
  }
  const auto day = static_cast<std::size_t>(number);
  out[pair ? (day + 4) % 7 : (day - 5) % 7] = true;
  if (pair) out[(day + 5) % 7] = true;
  return out;
}

// Seven numbers from Sunday on; what is not 0 is free.
Weekend read_workdays(Call& call, std::size_t index) {
  if (!call.given(index)) return kUsualWeekend;
  if (call[index].kind == Operand::Kind::value && call[index].value.is_text()) {
    call.fail(Code::parameters);
  }
  const std::vector<Value> flags = call.matrix(index).cells();
  for (const Value& flag : flags) {
    if (flag.is_error()) call.fail(flag);
  }
  Weekend out{};
  if (flags.size() != out.size()) {
    call.fail(Error(Code::argument, "NETWORKDAYS: the week has seven days", 3));
    return out;
  }
  for (std::size_t i = 0; i < out.size(); ++i) out[(i + 6) % 7] = flags[i].number() != 0;
  return out;
}

// Which texts count as holidays: those of arrays, or (as for WORKDAY) those of cells too. A text
// that is no date is an error; given by itself, one is refused, which may show before all else.
enum class Texts { in_arrays, in_arrays_first, everywhere };

// The holidays, sorted, each once.
std::vector<std::int64_t> read_holidays(Call& call, std::size_t index, Texts texts) {
  std::vector<std::int64_t> out;
  // Where they are left out between separators, the office takes day 0 for one.
  if (!call.given(index) && index < call.count() && texts == Texts::in_arrays_first) {
    out.push_back(call.settings().null_date);
  }
  if (!call.given(index)) return out;
  const Operand& operand = call[index];
  if (operand.kind == Operand::Kind::value && operand.value.is_text() &&
      texts != Texts::everywhere) {
    if (texts == Texts::in_arrays_first) call.fail(Code::parameters);
    call.reject(index, Code::parameters);
    return out;
  }
  const auto add = [&](double serial) {
    if (texts == Texts::everywhere && !(serial >= -0x1p31 && serial <= 0x1p31)) {
      call.fail(Error(Code::argument, "a holiday lies beyond the calendar"));
    }
    if (std::fabs(serial) > 1e7) return true;
    out.push_back(static_cast<std::int64_t>(std::floor(serial)) + call.settings().null_date);
    return true;
  };
  if (operand.kind == Operand::Kind::matrix || texts == Texts::everywhere) {
    call.values(index, [&](const Value& value) {
      if (value.is_empty() || (value.is_text() && value.text().empty())) return true;
      const Value serial = to_number(value, call.settings());
      if (serial.is_error()) {
        call.fail(texts == Texts::everywhere && value.is_text() ? Value(Code::argument) : serial);
      }
      return add(serial.number());
    });
  } else {
    call.numbers(index, add);
  }
  std::sort(out.begin(), out.end());
  out.erase(std::unique(out.begin(), out.end()), out.end());
  return out;
}

bool is_free(const Weekend& weekend, std::int64_t day) {
  return weekend[static_cast<std::size_t>(weekday_of(day))];
}

std::int64_t free_days(const Weekend& weekend) {
  return std::count(weekend.begin(), weekend.end(), true);
}

// Days from `first` to `last` that are no weekend.
std::int64_t count_weekdays(std::int64_t first, std::int64_t last, const Weekend& weekend) {
  const std::int64_t weeks = (last - first + 1) / 7;
  std::int64_t count = weeks * (7 - free_days(weekend));
  for (std::int64_t day = first + weeks * 7; day <= last; ++day) {
    if (!is_free(weekend, day)) ++count;
  }
  return count;
}

// A date that working days are counted from: not before the null date.
std::int64_t working_date(Call& call, std::size_t index) {
  if (call.number(index) < 0) call.reject(index, Code::argument);
  return day_argument(call, index);
}

Operand count_working_days(Call& call, const Weekend& weekend,
                           const std::vector<std::int64_t>& holidays) {
  std::int64_t last = working_date(call, 1);
  std::int64_t first = working_date(call, 0);
  if (call.failed()) return call.failure();
  const bool backwards = last < first;
  if (backwards) std::swap(first, last);
  const auto begin = std::lower_bound(holidays.begin(), holidays.end(), first);
  const auto end = std::upper_bound(holidays.begin(), holidays.end(), last);
  const auto kept =
      std::count_if(begin, end, [&](std::int64_t day) { return !is_free(weekend, day); });
  const auto count = static_cast<double>(count_weekdays(first, last, weekend) - kept);
  return backwards ? -count : count;
}

Operand working_days(Call& call) {
  const Weekend weekend = read_workdays(call, 3);
  return count_working_days(call, weekend, read_holidays(call, 2, Texts::in_arrays_first));
}

Operand working_days_in(Call& call) {
  const auto holidays = read_holidays(call, 3, Texts::in_arrays);
  const auto weekend = read_weekend(call, 2);
  return weekend ? count_working_days(call, *weekend, holidays) : call.failure();
}

Operand move_working_days(Call& call, std::int64_t day, std::int64_t count, const Weekend& weekend,
                          const std::vector<std::int64_t>& holidays) {
  if (call.failed()) return call.failure();
  if (free_days(weekend) == 7) return Error(Code::value, "no day of the week is a working day");
  constexpr std::int64_t kMost = 12'000'000;
  if (std::abs(count) > kMost) return Code::argument;
  const std::int64_t step = count < 0 ? -1 : 1;
  for (std::int64_t left = std::abs(count); left > 0;) {
    day += step;
    const bool free =
        is_free(weekend, day) || std::binary_search(holidays.begin(), holidays.end(), day);
    if (!free) --left;
  }
  return serial_of(call, day);
}

Operand working_day(Call& call) {
  const std::int64_t day = day_argument(call, 0);
  const std::int64_t count = call.whole(1);
  if (!call.failed() && count == 0) return serial_of(call, day);
  const auto holidays = read_holidays(call, 2, Texts::everywhere);
  return move_working_days(call, day, count, kUsualWeekend, holidays);
}

Operand working_day_in(Call& call) {
  const auto holidays = read_holidays(call, 3, Texts::in_arrays);
  const auto weekend = read_weekend(call, 2);
  if (!weekend) return call.failure();
  if (free_days(*weekend) == 7) call.fail(Code::value);
  const std::int64_t count = call.whole(1);
  return move_working_days(call, working_date(call, 0), count, *weekend, holidays);
}

constexpr StandardFunction kFunctions[] = {
    {"COM.MICROSOFT.NETWORKDAYS.INTL", working_days_in, 2, 4, "vvvr"},
    {"COM.MICROSOFT.WORKDAY.INTL", working_day_in, 2, 4, "vvvr"},
    {"DATEDIF", date_difference, 3, 3, "v", Group::large},
    {"DAYS", days, 2, 2, "v", Group::large},
    {"DAYS360", days360, 2, 3, "v", Group::medium},
    {"NETWORKDAYS", working_days, 2, 4, "vvrr", Group::medium},
    {"ORG.OPENOFFICE.MONTHS", months, 3, 3, "i", Group::office, false, 1, Counting::addin},
    {"ORG.OPENOFFICE.WEEKS", weeks, 3, 3, "i", Group::office, false, 1, Counting::addin},
    {"ORG.OPENOFFICE.YEARS", years, 3, 3, "i", Group::office, false, 1, Counting::addin},
    {"WORKDAY", working_day, 2, 3, "iio", Group::medium, false, 1, Counting::addin},
    {"YEARFRAC", year_fraction, 2, 3, "iio", Group::medium, false, 1, Counting::addin},
};

}  // namespace

StandardFunctions day_count_functions() { return kFunctions; }

}  // namespace loftledger::standard
