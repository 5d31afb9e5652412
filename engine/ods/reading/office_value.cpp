#include "engine/ods/reading/office_value.hpp"

#include <fmt/format.h>

#include <array>
#include <charconv>
#include <cmath>

#include "engine/base/ascii.hpp"
#include "engine/base/number_text.hpp"
#include "engine/format/calendar.hpp"

namespace loftledger::ods {

namespace {

constexpr std::array<std::string_view, 9> kNames = {
    "", "float", "percentage", "currency", "date", "time", "boolean", "string", "",
};
constexpr int kMostDecimals = 9;
constexpr double kFarthestDay = 5e6;  // keeps years inside what calendars are made for

// Reads a text from the left.
class Reader {
 public:
  explicit Reader(std::string_view text) : rest_(text) {}
  bool take(char c) {
    if (rest_.empty() || rest_[0] != c) return false;
    rest_.remove_prefix(1);
    return true;
  }
  // Digits, at least `least` of them.
  std::optional<std::int64_t> whole(std::size_t least) {
    std::size_t size = 0;
    std::int64_t out = 0;
    while (size < rest_.size() && size < 15 && ascii::is_digit(rest_[size])) {
      out = out * 10 + (rest_[size++] - '0');
    }
    if (size < least) return std::nullopt;
    rest_.remove_prefix(size);
    return out;
  }
  // Digits with decimals behind a point or a comma.
  std::optional<double> decimal() {
    std::string number;
    while (!rest_.empty() && (ascii::is_digit(rest_[0]) || rest_[0] == '.' || rest_[0] == ',')) {
      number += rest_[0] == ',' ? '.' : rest_[0];
      rest_.remove_prefix(1);
    }
    return read_number(number);
  }
  bool done() const { return rest_.empty(); }
  char next() const { return rest_.empty() ? '\0' : rest_[0]; }

 private:
  std::string_view rest_;
};

// "12:30:15.5" in seconds; the seconds may be left out.
std::optional<double> read_clock(Reader& in) {
  const auto hour = in.whole(2);
  if (!hour || !in.take(':')) return std::nullopt;
  const auto minute = in.whole(2);
  if (!minute) return std::nullopt;
  double second = 0;
  if (in.take(':')) {
    const auto read = in.decimal();
    if (!read) return std::nullopt;
    second = *read;
  }
  if (*hour > 24 || *minute > 59 || second >= 61) return std::nullopt;
  return static_cast<double>(*hour * 3600 + *minute * 60) + second;
}

bool read_zone(Reader& in) {
  if (in.take('Z') || in.done()) return true;
  if (!in.take('+') && !in.take('-')) return false;
  return in.whole(2) && in.take(':') && in.whole(2);
}

std::string seconds_text(double seconds, int decimals) {
  return fmt::format("{:0{}.{}f}", seconds, decimals == 0 ? 2 : decimals + 3, decimals);
}

// With the seconds rounded to so many decimals; empty where a file has no such year.
std::string date_with(double serial, std::int64_t null_date, int decimals) {
  const double scale = std::pow(10.0, decimals);
  double day = std::floor(serial);
  double units = std::round((serial - day) * kSecondsPerDay * scale);
  if (units >= kSecondsPerDay * scale) {
    units = 0;
    day += 1;
  }
  const Date date = date_of(static_cast<std::int64_t>(day) + null_date);
  if (date.year > 9999 || date.year < -9998) return {};
  std::string out =
      date.year > 0 ? fmt::format("{:04}", date.year) : fmt::format("-{:04}", 1 - date.year);
  out += fmt::format("-{:02}-{:02}", date.month, date.day);
  if (units == 0) return out;
  const double minutes = std::floor(units / (60 * scale));
  const double hours = std::floor(minutes / 60);
  return out + fmt::format("T{:02.0f}:{:02.0f}:{}", hours, minutes - hours * 60,
                           seconds_text((units - minutes * 60 * scale) / scale, decimals));
}

std::string duration_with(double days, int decimals) {
  const double scale = std::pow(10.0, decimals);
  const double units = std::round(std::fabs(days) * kSecondsPerDay * scale);
  const double minutes = std::floor(units / (60 * scale));
  const double hours = std::floor(minutes / 60);
  return fmt::format("{}PT{:02.0f}H{:02.0f}M{}S", days < 0 ? "-" : "", hours, minutes - hours * 60,
                     seconds_text((units - minutes * 60 * scale) / scale, decimals));
}

}  // namespace

std::string_view type_name(ValueType type) { return kNames[static_cast<std::size_t>(type)]; }

ValueType type_of(std::string_view name) {
  for (std::size_t i = 1; i < kNames.size(); ++i) {
    if (kNames[i] == name) return static_cast<ValueType>(i);
  }
  return ValueType::none;
}

std::optional<double> read_number_value(std::string_view text) {
  // The common case first: digits to the end.
  double number = 0;
  const char* const end = text.data() + text.size();
  if (!text.empty() && (ascii::is_digit(text[0]) || text[0] == '-')) {
    const auto [stop, problem] = std::from_chars(text.data(), end, number);
    if (stop == end && problem == std::errc{} && std::isfinite(number)) return number;
  }
  while (!text.empty() && (text.front() == ' ' || text.front() == '\n')) text.remove_prefix(1);
  while (!text.empty() && (text.back() == ' ' || text.back() == '\n')) text.remove_suffix(1);
  return read_number(text);
}

std::optional<double> read_date(std::string_view text, std::int64_t null_date) {
  Reader in(text);
  const bool before = in.take('-');
  const auto year = in.whole(4);
  if (!year || *year == 0 || *year > 9999 || !in.take('-')) return std::nullopt;
  const auto month = in.whole(2);
  if (!month || !in.take('-')) return std::nullopt;
  const auto day = in.whole(2);
  if (!day) return std::nullopt;
  // The year before 1 is 0 in the reckoning.
  const Date date{before ? 1 - *year : *year, static_cast<std::int32_t>(*month),
                  static_cast<std::int32_t>(*day)};
  if (date.month < 1 || date.month > 12 || date.day < 1 ||
      date.day > days_in_month(date.year, date.month)) {
    return std::nullopt;
  }
  double serial = static_cast<double>(days_of(date) - null_date);
  if (in.take('T')) {
    const auto seconds = read_clock(in);
    if (!seconds) return std::nullopt;
    serial += *seconds / kSecondsPerDay;
  }
  if (!read_zone(in) || !in.done()) return std::nullopt;
  return serial;
}

std::optional<double> read_duration(std::string_view text) {
  Reader in(text);
  const bool negative = in.take('-');
  if (!in.take('P')) return std::nullopt;
  double seconds = 0;
  bool any = false;
  bool clock = false;
  while (!in.done()) {
    if (!clock && in.take('T')) {
      clock = true;
      continue;
    }
    const auto number = in.decimal();
    if (!number) return std::nullopt;
    // Years and months have no fixed length, so that a time of day cannot count in them.
    if (!clock && in.take('D')) {
      seconds += *number * kSecondsPerDay;
    } else if (clock && in.take('H')) {
      seconds += *number * 3600;
    } else if (clock && in.take('M')) {
      seconds += *number * 60;
    } else if (clock && in.take('S')) {
      seconds += *number;
    } else {
      return std::nullopt;
    }
    any = true;
  }
  const double days = seconds / kSecondsPerDay;
  if (!any || !std::isfinite(days)) return std::nullopt;
  return negative ? -days : days;
}

std::optional<std::string> date_text(double serial, std::int64_t null_date) {
  if (!(std::fabs(serial) < kFarthestDay)) return std::nullopt;
  std::string out;
  for (int decimals = 0; decimals <= kMostDecimals; ++decimals) {
    out = date_with(serial, null_date, decimals);
    if (out.empty()) return std::nullopt;
    if (read_date(out, null_date) == serial) break;
  }
  return out;
}

std::optional<std::string> duration_text(double days) {
  if (!(std::fabs(days) < kFarthestDay)) return std::nullopt;
  std::string out;
  for (int decimals = 0; decimals <= kMostDecimals; ++decimals) {
    out = duration_with(days, decimals);
    if (read_duration(out) == days) break;
  }
  return out;
}

}  // namespace loftledger::ods
