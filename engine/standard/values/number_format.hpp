// Number format codes: "#,##0.00", "0.0E+00", "yyyy-mm-dd", "[h]:mm", "# ?/?",
// "0.0;-0.0;\"none\";@".
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "engine/sheet/settings.hpp"

namespace loftledger::standard {

// A format code as TEXT takes it (locale en-US), with English names of months and days.
class NumberFormat {
 public:
  // Nothing where the code is none.
  static std::optional<NumberFormat> read(std::string_view code);

  // Nothing where the number lies beyond what the format can show, such as a date after the year
  // 32767.
  std::optional<std::string> format(double number, const sheet::Settings& settings) const;
  std::string format(std::string_view text) const;

  struct Piece {
    enum class Kind : std::uint8_t {
      literal,
      digit,     // 0, # or ? in `mark`
      point,     // of a decimal number
      exponent,  // `count` digits at least; '+' in `mark` where the sign always shows
      percent,   // shown as it is; the number is multiplied
      slash,     // of a fraction
      divisor,   // a fixed one, in `count`
      general,
      text,
      truth,
      year,  // the date and time pieces: `count` letters
      month,
      day,
      weekday,
      quarter,
      week,
      hour,
      minute,
      second,
      decimals,   // of a second: `count` digits
      half,       // AM/PM
      half_mark,  // A/P
      total_hours,
      total_minutes,
      total_seconds,
    };
    Kind kind = Kind::literal;
    std::string words;
    char mark = 0;
    int count = 0;
  };

  struct Section {
    enum class Test : std::uint8_t {
      none,
      less,
      less_equal,
      equal,
      unequal,
      greater,
      greater_equal
    };
    Test test = Test::none;
    double limit = 0;
    std::vector<Piece> pieces;
    bool grouped = false;  // thousands separators
    int thousands = 0;     // how often the number is divided by a thousand
    int percents = 0;      // percent signs; one or more multiply by a hundred
  };

 private:
  std::vector<Section> sections_;
};

}  // namespace loftledger::standard
