// Counting between dates: days, months, years, shares of a year, working days. The bases are those
// of OpenFormula 4.11.7; the rules for months of thirty days are 30/360 and 30E/360 as J. J. Lynch
// and J. H. Mayle (Standard Securities Calculation Methods) and the ISDA Definitions of 2006, 4.16,
// have them, and where the office departs from these it says so.
#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>
#include <optional>
#include <utility>
#include <vector>

#include "engine/standard/call/addin.hpp"
#include "engine/standard/call/serial.hpp"
#include "engine/standard/dates/day_count.hpp"
#include "engine/standard/dates/functions.hpp"
#include "engine/standard/values/collation.hpp"

namespace loftledger::standard {

// --- Bases

namespace {

// A day with its place in the calendar.
struct Day {
  explicit Day(std::int64_t day) : number(day), date(date_of(day)) {}

  bool ends_february() const { return date.month == 2 && date.day == days_in_month(date.year, 2); }
  // Months since the year 0.
  std::int64_t months() const { return date.year * 12 + date.month - 1; }

  std::int64_t number;
  Date date;
};

// With both days of the month as a convention sees them, days in months of thirty.
std::int64_t thirties(const Day& first, std::int32_t first_day, const Day& last,
                      std::int32_t last_day) {
  return (last.months() - first.months()) * 30 + last_day - first_day;
}

std::int64_t european_days(const Day& first, const Day& last) {
  return thirties(first, std::min(first.date.day, 30), last, std::min(last.date.day, 30));
}

// The last day of February is a 30th, at the end of a span only where it is one at the beginning.
// A 31st is a 30th, at the end of a span only after a 30th or 31st of the calendar: unlike Lynch
// and Mayle, and unlike its own DAYS360, the office does not move it after the end of February.
std::int64_t american_days(const Day& first, const Day& last) {
  const bool february = first.ends_february();
  const std::int32_t first_day = february ? 30 : std::min(first.date.day, 30);
  const bool moves = february ? last.ends_february() : first_day == 30 && last.date.day == 31;
  return thirties(first, first_day, last, moves ? 30 : last.date.day);
}

// Whether a 29 February lies in the span, its ends included. A span of a year or less has room for
// one in the years of its ends alone.
bool has_leap_day(const Day& first, const Day& last) {
  const auto within = [&](std::int64_t year) {
    if (!leap_year(year)) return false;
    const std::int64_t leap_day = days_of({year, 2, 29});
    return first.number <= leap_day && leap_day <= last.number;
  };
  return within(first.date.year) || within(last.date.year);
}

// The length of a year for actual days: up to an anniversary that of the year with its leap day in
// the span, beyond it the mean of all years touched.
double actual_year(const Day& first, const Day& last) {
  const std::int64_t months = last.months() - first.months();
  if (months < 12 || (months == 12 && last.date.day <= first.date.day)) {
    const bool one_year = first.date.year == last.date.year;
    const bool leap = one_year ? leap_year(first.date.year) : has_leap_day(first, last);
    return leap ? 366 : 365;
  }
  const std::int64_t days = days_of({last.date.year + 1, 1, 1}) - days_of({first.date.year, 1, 1});
  return static_cast<double>(days) / static_cast<double>(last.date.year - first.date.year + 1);
}

}  // namespace

std::optional<Basis> basis_of(double number) {
  const double whole = std::trunc(number);
  if (!(whole >= 0 && whole <= 4)) return std::nullopt;
  return static_cast<Basis>(static_cast<int>(whole));
}

std::int64_t days_between(std::int64_t first, std::int64_t last, Basis basis) {
  if (basis == Basis::american) return american_days(Day(first), Day(last));
  if (basis == Basis::european) return european_days(Day(first), Day(last));
  return last - first;
}

double accrued_years(std::int64_t first, std::int64_t last, Basis basis) {
  if (first > last) return -accrued_years(last, first, basis);
  const Day from(first);
  const Day to(last);
  if (basis == Basis::actual) {
    return static_cast<double>(last - first) / (leap_year(from.date.year) ? 366 : 365);
  }
  std::int64_t days = last - first;
  if (counts_thirties(basis)) days = thirties(from, from.date.day, to, to.date.day);
  const bool leaves_february = from.date.month == 2 && to.date.month > 2;
  if (basis == Basis::american && leaves_february && from.date.year == to.date.year) {
    days -= 30 - days_in_month(from.date.year, 2);
  }
  return static_cast<double>(days) / days_in_year(basis);
}

std::int64_t days_360(std::int64_t first, std::int64_t last) {
  const Day from(first);
  const Day to(last);
  const std::int32_t from_day = from.ends_february() ? 30 : std::min(from.date.day, 30);
  return thirties(from, from_day, to, from_day == 30 ? std::min(to.date.day, 30) : to.date.day);
}

double share_of_year(std::int64_t a, std::int64_t b, Basis basis) {
  const auto [first, last] = std::minmax(a, b);
  if (first == last) return 0;
  const double year =
      basis == Basis::actual ? actual_year(Day(first), Day(last)) : days_in_year(basis);
  return static_cast<double>(days_between(first, last, basis)) / year;
}

namespace {

Operand days(Call& call) { return call.finish(call.number(0) - call.number(1)); }

Operand days360(Call& call) {
  const std::int64_t first = day_argument(call, 0);
  const std::int64_t last = day_argument(call, 1);
  const bool european = call.truth(2, false);
  if (call.failed()) return call.failure();
  const std::int64_t count =
      european ? days_between(first, last, Basis::european) : days_360(first, last);
  return static_cast<double>(count);
}

Operand year_fraction(Call& call) {
  const std::int64_t a = day_argument(call, 0);
  const std::int64_t b = day_argument(call, 1);
  const auto basis = basis_of(addin_option(call, 2, 0));
  if (call.failed()) return call.failure();
  if (!basis) return Error(Code::argument, "YEARFRAC: the basis is 0 to 4", 2);
  return share_of_year(a, b, *basis);
}

// --- Weeks, months and years between dates

// Months that are over: the last one is when its day of the month is reached.
std::int64_t full_months(const Day& first, const Day& last) {
  const std::int64_t months = last.months() - first.months();
  return last.date.day < first.date.day ? months - 1 : months;
}

// So many months on. A day that the month has not runs over into the next.
std::int64_t months_on(const Day& day, std::int64_t months) {
  const std::int64_t all = day.months() + months;
  const std::int64_t in_year = (all % 12 + 12) % 12;
  return days_of({(all - in_year) / 12, static_cast<std::int32_t>(in_year) + 1, 1}) + day.date.day -
         1;
}

// Days, months or years ("d", "m", "y"), months beyond the years ("ym"), and the days since the
// last day of a full month ("md") or year ("yd").
Operand date_difference(Call& call) {
  const std::int64_t start = day_argument(call, 0);
  const std::int64_t end = day_argument(call, 1);
  const std::string unit = lower_case(call.text(2));
  if (call.failed()) return call.failure();
  if (start == end) return 0.0;
  if (start > end) return Error(Code::argument, "DATEDIF: the first date is the later one", 0);
  const Day first(start);
  const std::int64_t months = full_months(first, Day(end));
  const std::int64_t years = months / 12;
  const auto count = [](std::int64_t number) { return static_cast<double>(number); };
  if (unit == "d") return count(end - start);
  if (unit == "m") return count(months);
  if (unit == "y") return count(years);
  if (unit == "ym") return count(months - years * 12);
  if (unit == "md") return count(end - months_on(first, months));
  if (unit == "yd") return count(end - months_on(first, years * 12));
  return Error(Code::argument, "DATEDIF: the unit is d, m, y, md, ym or yd", 2);
}

// Two days, and whether what lies between is counted in the calendar's own weeks, months and years
// (mode 1), or in whole ones (mode 0).
struct Between {
  Day first{0};
  Day last{0};
  bool calendar = false;

  // Towards zero, whichever is the earlier.
  std::int64_t months() const {
    if (calendar) return last.months() - first.months();
    return first.number <= last.number ? full_months(first, last) : -full_months(last, first);
  }
};

Between between(Call& call) {
  Between out;
  out.first = Day(day_argument(call, 0));
  out.last = Day(day_argument(call, 1));
  const std::int64_t mode = call.whole(2);
  if (mode != 0 && mode != 1) call.fail(Code::argument);
  out.calendar = mode == 1;
  return out;
}

Operand weeks(Call& call) {
  const Between span = between(call);
  // To the Mondays of both weeks.
  const auto start = [&](const Day& day) {
    return span.calendar ? day.number - weekday_of(day.number) : day.number;
  };
  return call.finish(static_cast<double>((start(span.last) - start(span.first)) / 7));
}

Operand months(Call& call) { return call.finish(static_cast<double>(between(call).months())); }

Operand years(Call& call) {
  const Between span = between(call);
  const std::int64_t count =
      span.calendar ? span.last.date.year - span.first.date.year : span.months() / 12;
  return call.finish(static_cast<double>(count));
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

// The holidays in any order.
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
  return out;
}

// The days at work: those that neither the week nor a holiday leaves free.
class WorkCalendar {
 public:
  WorkCalendar(const Weekend& weekend, std::vector<std::int64_t> holidays)
      : weekend_(weekend), holidays_(std::move(holidays)) {
    // A holiday on a day that is free all the same takes nothing away.
    std::erase_if(holidays_, [&](std::int64_t day) { return free(day); });
    std::sort(holidays_.begin(), holidays_.end());
    holidays_.erase(std::unique(holidays_.begin(), holidays_.end()), holidays_.end());
    in_week_ = std::count(weekend_.begin(), weekend_.end(), false);
  }

  std::int64_t in_week() const { return in_week_; }

  // How many there are from the first day to the last, both included.
  std::int64_t count(std::int64_t first, std::int64_t last) const {
    if (last < first) return 0;
    const std::int64_t weeks = (last - first + 1) / 7;
    std::int64_t days = weeks * in_week_;
    for (std::int64_t day = first + weeks * 7; day <= last; ++day) days += free(day) ? 0 : 1;
    const auto from = std::lower_bound(holidays_.begin(), holidays_.end(), first);
    return days - (std::upper_bound(from, holidays_.end(), last) - from);
  }

  // The day on which so many of them are over after `start`, or, of a negative number, before it;
  // there must be one in a week. Halves the span that holds it.
  std::int64_t moved(std::int64_t start, std::int64_t days) const {
    if (days == 0) return start;
    const std::int64_t wanted = std::abs(days);
    const auto reached = [&](std::int64_t distance) {
      return days > 0 ? count(start + 1, start + distance) : count(start - distance, start - 1);
    };
    std::int64_t short_of = 0;
    std::int64_t enough = 7 * (wanted + std::ssize(holidays_) + 1);
    while (enough - short_of > 1) {
      const std::int64_t middle = std::midpoint(short_of, enough);
      (reached(middle) < wanted ? short_of : enough) = middle;
    }
    return days > 0 ? start + enough : start - enough;
  }

 private:
  bool free(std::int64_t day) const { return weekend_[static_cast<std::size_t>(weekday_of(day))]; }

  Weekend weekend_;
  std::vector<std::int64_t> holidays_;  // in order, on days of work
  std::int64_t in_week_ = 0;
};

// A date that working days are counted from: not before the null date.
std::int64_t working_date(Call& call, std::size_t index) {
  if (call.number(index) < 0) call.reject(index, Code::argument);
  return day_argument(call, index);
}

Operand count_working_days(Call& call, const WorkCalendar& calendar) {
  const std::int64_t last = working_date(call, 1);
  const std::int64_t first = working_date(call, 0);
  if (call.failed()) return call.failure();
  return static_cast<double>(first <= last ? calendar.count(first, last)
                                           : -calendar.count(last, first));
}

Operand working_days(Call& call) {
  const Weekend weekend = read_workdays(call, 3);
  return count_working_days(call, {weekend, read_holidays(call, 2, Texts::in_arrays_first)});
}

Operand working_days_in(Call& call) {
  const auto holidays = read_holidays(call, 3, Texts::in_arrays);
  const auto weekend = read_weekend(call, 2);
  return weekend ? count_working_days(call, {*weekend, holidays}) : call.failure();
}

Operand move_working_days(Call& call, std::int64_t day, std::int64_t count,
                          const WorkCalendar& calendar) {
  if (call.failed()) return call.failure();
  if (calendar.in_week() == 0) return Error(Code::value, "no day of the week is a working day");
  constexpr std::int64_t kMost = 12'000'000;
  if (std::abs(count) > kMost) return Code::argument;
  return serial_of(call, calendar.moved(day, count));
}

Operand working_day(Call& call) {
  const std::int64_t day = day_argument(call, 0);
  const std::int64_t count = call.whole(1);
  if (!call.failed() && count == 0) return serial_of(call, day);
  const auto holidays = read_holidays(call, 2, Texts::everywhere);
  return move_working_days(call, day, count, {kUsualWeekend, holidays});
}

Operand working_day_in(Call& call) {
  const auto holidays = read_holidays(call, 3, Texts::in_arrays);
  const auto weekend = read_weekend(call, 2);
  if (!weekend) return call.failure();
  const WorkCalendar calendar(*weekend, holidays);
  if (calendar.in_week() == 0) call.fail(Code::value);
  const std::int64_t count = call.whole(1);
  return move_working_days(call, working_date(call, 0), count, calendar);
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
