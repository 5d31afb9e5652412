#include "engine/standard/values/typed_dates.hpp"

#include <charconv>
#include <cmath>
#include <string>

#include "engine/format/calendar.hpp"
#include "engine/format/scanner.hpp"

namespace loftledger::standard {

namespace {

struct Word {
  std::int32_t number = 0;  // from 1 on
  bool full = false;
};

// A month's name, whole or its first three letters ("Sept" as well), with no letter behind.
std::optional<Word> take_month(Scanner& in) {
  for (std::int32_t month = 1; month <= 12; ++month) {
    const std::string_view name = month_name(month);
    const std::size_t place = in.place();
    for (std::string_view form : {name, name.substr(0, 4), name.substr(0, kShortName)}) {
      if (form.size() == 4 && form != name && form != "Sept") continue;
      if (in.take_word(form) && !in.letter_next()) return Word{month, form == name};
      in.go_back(place);
    }
  }
  return std::nullopt;
}

// A day of the week before a date: "Monday, " or "Mon "; passed over whatever the date.
void skip_weekday(Scanner& in) {
  const std::size_t place = in.place();
  for (std::int32_t day = 0; day < 7; ++day) {
    const std::string_view name = weekday_name(day);
    if (in.take_word(name)) {
      in.take(',');
      if (in.spaces() > 0) return;
    }
    in.go_back(place);
    if (in.take_word(name.substr(0, kShortName))) {
      in.take('.');
      if (in.spaces() > 0) return;
    }
    in.go_back(place);
  }
}

// A whole number of at most nine digits; larger ones are -1.
std::int64_t number_of(std::string_view digits) {
  std::int64_t number = 0;
  const auto [end, problem] = std::from_chars(digits.data(), digits.data() + digits.size(), number);
  if (digits.empty() || problem != std::errc{} || end != digits.data() + digits.size()) return -1;
  return number > 999999999 ? -1 : number;
}

std::int64_t year_of(std::string_view digits, const sheet::Settings& settings) {
  // The office keeps a year in 16 bits.
  constexpr std::int64_t kYears = 65536;
  const std::int64_t number = number_of(digits);
  const std::int64_t year = number > 0 ? number % kYears : number;
  return digits.size() <= 2 && year >= 0 ? full_year(year, settings.null_year) : year;
}

// A date as it was written; the day of month and the year may still be one for the other.
struct Written {
  Date date;
  bool iso = false;
  bool time_may_follow = true;
};

std::optional<Written> checked(std::int64_t year, std::int64_t month, std::int64_t day) {
  if (year < 1 || year > kLastYear || month > 12 || month < 1 || day < 1 || day > 31) {
    return std::nullopt;
  }
  return Written{{year, static_cast<std::int32_t>(month), static_cast<std::int32_t>(day)}};
}

// "1/31/2020", "1/31".
std::optional<Written> read_slashes(Scanner& in, const sheet::Settings& settings) {
  const std::string_view month = in.digits();
  if (month.empty() || month.size() > 2 || !in.take('/')) return std::nullopt;
  const std::string_view day = in.digits();
  if (day.empty() || day.size() > 2) return std::nullopt;
  if (!in.take('/')) return checked(settings.this_year, number_of(month), number_of(day));
  const std::string_view year = in.digits();
  return checked(year_of(year, settings), number_of(month), number_of(day));
}

// "2020-01-31", "31-Jan-2020", "2020-Jan-31".
std::optional<Written> read_dashes(Scanner& in, const sheet::Settings& settings) {
  const bool negative = in.take('-');
  const std::string_view first = in.digits();
  if (first.empty() || !in.take('-')) return std::nullopt;
  const std::int64_t leading = number_of(first);
  if (const auto month = take_month(in)) {
    if (negative || !in.take('-')) return std::nullopt;
    const std::string_view last = in.digits();
    if (leading >= 1 && leading <= 31) {
      return checked(year_of(last, settings), month->number, leading);
    }
    return checked(year_of(first, settings), month->number, number_of(last));
  }
  // A first number that could be a month makes no such date.
  if (first.size() < 3 && leading >= 1 && leading <= 12) return std::nullopt;
  const std::string_view month = in.digits();
  if (month.empty() || month.size() > 2 || !in.take('-')) return std::nullopt;
  const std::string_view day = in.digits();
  if (day.empty() || day.size() > 2) return std::nullopt;
  auto written = checked(year_of(first, settings), number_of(month), number_of(day));
  if (!written) return std::nullopt;
  written->iso = true;
  // Year 1 before our era is the year 0 of the reckoning.
  if (negative) written->date.year = 1 - written->date.year;
  return written;
}

// "Jan 31, 2020", "Jan 31", "Jan 2020", "Jan/31/2020".
std::optional<Written> read_name(Scanner& in, const sheet::Settings& settings) {
  const auto month = take_month(in);
  if (!month) return std::nullopt;
  const bool dot = !month->full && in.take('.');
  const bool dash = in.take('-');
  const bool slash = !dash && in.take('/');
  const bool apart = in.spaces() > 0 || dot || dash || slash;
  const std::string_view first = in.digits();
  if (first.empty()) return std::nullopt;
  const std::size_t behind = in.place();
  const bool space = in.spaces() > 0;
  const bool comma = in.take(',');
  const bool comma_space = comma && in.spaces() > 0;
  const bool second_slash = !space && !comma && in.take('/');
  if ((comma_space || second_slash || (space && !comma)) && !dash) {
    const std::string_view year = in.digits();
    if (!year.empty() && in.peek() != ':') {
      if (first.size() > 2) return std::nullopt;
      return checked(year_of(year, settings), month->number, number_of(first));
    }
  }
  in.go_back(behind);
  if (!apart) return std::nullopt;
  // One number: a day of this year where it can be one, else a year.
  const std::int64_t number = number_of(first);
  auto written = number >= 1 && number <= 31 && first.size() <= 2
                     ? checked(settings.this_year, month->number, number)
                     : checked(year_of(first, settings), month->number, 1);
  if (written) written->time_may_follow = false;
  return written;
}

// --- Times

// A fraction behind the seconds.
std::optional<double> take_fraction(Scanner& in, bool comma_allowed) {
  if (!in.take('.') && !(comma_allowed && in.take(','))) return std::nullopt;
  const std::string text = "0." + std::string(in.digits()) + "0";
  double fraction = 0;
  std::from_chars(text.data(), text.data() + text.size(), fraction);
  return fraction;
}

// Which half of the day is named, if any: 'A', 'P', or nothing.
char take_half(Scanner& in) {
  const std::size_t place = in.place();
  in.spaces();
  if (in.take_word("AM")) return 'A';
  if (in.take_word("PM")) return 'P';
  in.go_back(place);
  return '\0';
}

// A colon with spaces about it.
bool take_colon(Scanner& in) {
  const std::size_t place = in.place();
  in.spaces();
  if (in.take(':')) {
    in.spaces();
    return true;
  }
  in.go_back(place);
  return false;
}

// The office keeps the first number in 16 bits.
double first_part(std::string_view digits) {
  const std::int64_t number = number_of(digits);
  return number < 0 ? 0 : static_cast<double>(number % 65536);
}

// From the first digit on to the end of the text, in seconds.
std::optional<double> take_time(Scanner& in, bool colon_needed, bool comma_allowed) {
  const std::string_view first = in.digits();
  if (first.empty()) return std::nullopt;
  double parts[3] = {first_part(first), 0, 0};
  int count = 1;
  bool colon = false;
  while (take_colon(in)) {
    colon = true;
    const std::string_view digits = in.digits();
    // A colon at the end is passed over.
    if (digits.empty()) break;
    // Minutes and seconds go beyond 59 where nothing stands before them: 0:90.
    const bool before = parts[0] != 0 || parts[1] != 0;
    if (count == 3 || number_of(digits) < 0 || (before && number_of(digits) > 59)) {
      return std::nullopt;
    }
    parts[count++] = static_cast<double>(number_of(digits));
  }
  if (!colon && colon_needed) return std::nullopt;
  const auto fraction = colon ? take_fraction(in, comma_allowed) : std::nullopt;
  // With a fraction, two numbers are minutes and seconds.
  if (fraction && count == 2) {
    parts[2] = parts[1];
    parts[1] = parts[0];
    parts[0] = 0;
  }
  if (const char half = take_half(in)) {
    if (parts[0] > 12) return std::nullopt;
    if (parts[0] == 12) parts[0] = 0;
    if (half == 'P') parts[0] += 12;
  } else if (!colon) {
    return std::nullopt;
  }
  return parts[0] * 3600 + parts[1] * 60 + parts[2] + fraction.value_or(0);
}

}  // namespace

std::optional<double> read_time(std::string_view text) {
  Scanner in(text);
  in.spaces();
  const bool bracket = in.take('(');
  bool minus = bracket || in.take('-');
  const bool sign = minus || in.take('+');
  in.spaces();
  const auto seconds = take_time(in, false, false);
  if (!seconds) return std::nullopt;
  in.spaces();
  if (bracket && !in.take(')')) return std::nullopt;
  if (!sign && in.take('-')) minus = true;
  in.spaces();
  if (!in.at_end()) return std::nullopt;
  return (minus ? -*seconds : *seconds) / kSecondsPerDay;
}

std::optional<NumberRead> read_date(std::string_view text, const sheet::Settings& settings) {
  using Reader = std::optional<Written> (*)(Scanner&, const sheet::Settings&);
  for (const Reader reader : {read_slashes, read_dashes, read_name}) {
    Scanner in(text);
    in.spaces();
    skip_weekday(in);
    const auto written = reader(in, settings);
    const auto days = written ? historic_days_of(written->date) : std::nullopt;
    if (!days) continue;
    const auto serial = static_cast<double>(*days - settings.null_date);
    bool spaces = in.spaces() > 0;
    if (in.at_end()) return NumberRead{serial, Reading::date};
    // The sign between the parts of such a date may stand behind it once more.
    const bool dot = written->iso && in.take('.');
    const bool sign = dot || (written->iso && (in.take('-') || in.take('/')));
    if (sign) {
      in.spaces();
      if (in.at_end()) return NumberRead{serial, Reading::date};
      if (dot) continue;
      spaces = true;
    }
    const bool joined = !spaces && written->iso && (in.take('T') || in.take('t'));
    if ((!spaces && !joined) || !written->time_may_follow) continue;
    const auto seconds = take_time(in, true, joined);
    in.spaces();
    if (seconds && in.at_end()) {
      return NumberRead{serial + *seconds / kSecondsPerDay, Reading::date_time};
    }
  }
  return std::nullopt;
}

}  // namespace loftledger::standard
