// Number format codes: "#,##0.00", "0.0E+00", "yyyy-mm-dd", "[h]:mm", "# ?/?",
// "0.0;-0.0;\"none\";@".
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace loftledger {

// How numbers are shown (locale en-US), with English names of months and days: read from a format
// code as TEXT takes it, or put together from pieces.
class NumberFormat {
 public:
  struct Section;

  // Nothing where the code is none.
  static std::optional<NumberFormat> read(std::string_view code);
  // One section or more; the first whose test a number passes shows it.
  explicit NumberFormat(std::vector<Section> sections);

  // Nothing where the number lies beyond what the format can show, such as a date after the year
  // 32767. The null date is the day of the serial number 0, from 1970-01-01 on.
  std::optional<std::string> format(double number, std::int64_t null_date) const;
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
    bool grouped = false;     // thousands separators
    int thousands = 0;        // how often the number is divided by a thousand
    int percents = 0;         // percent signs; one or more multiply by a hundred
    std::string replacement;  // stands for decimals that are all 0
  };

 private:
  std::vector<Section> sections_;
};

// What stands, as in the office, for a number that a format cannot show.
inline constexpr std::string_view kNotShown = "#FMT";

// Whether such a piece shows a part of a date or a time.
constexpr bool shows_moment(NumberFormat::Piece::Kind kind) {
  return kind >= NumberFormat::Piece::Kind::year;
}

// Whether any piece of the section shows a part of a date or a time.
bool is_date(const NumberFormat::Section& section);

}  // namespace loftledger
