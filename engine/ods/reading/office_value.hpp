// Values as an OpenDocument file writes them (ODF 1.3 part 3, office:value-type and its
// attributes).
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace loftledger::ods {

enum class ValueType : std::uint8_t {
  none,
  number,
  percentage,
  currency,
  date,
  time,
  boolean,
  text,
  error,
};

// "float", "percentage", …; empty for none. An error is written as a text with a mark of its own.
std::string_view type_name(ValueType type);
ValueType type_of(std::string_view name);

// True for the types whose value is a number.
constexpr bool numeric(ValueType type) {
  return type >= ValueType::number && type <= ValueType::boolean;
}

// "12.5", "-1e3", blanks around them; nothing for other texts and for infinities.
std::optional<double> read_number_value(std::string_view text);

// "2024-01-31", "2024-01-31T12:30:00.5", "-0044-03-15" as a serial number: days since the null
// date, which itself counts from 1970-01-01. There is no year 0. A time zone is passed over.
std::optional<double> read_date(std::string_view text, std::int64_t null_date);

// "PT12H30M15.5S", "-PT6H", "P1DT2H" in days; hours may be any number.
std::optional<double> read_duration(std::string_view text);

// The reverse, with as many decimals of a second as it takes to read back the same number. A date
// outside the years -9999 to 9999 gives nothing.
std::optional<std::string> date_text(double serial, std::int64_t null_date);
std::optional<std::string> duration_text(double days);

}  // namespace loftledger::ods
