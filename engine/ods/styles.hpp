// The styles of a document, as far as they say how a cell's value is shown.
#pragma once

#include <cstdint>
#include <functional>
#include <map>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

#include "engine/ods/markup/xml.hpp"

namespace loftledger::ods {

// One piece of a number style (ODF 1.3 part 3, section 16.29).
struct FormatPart {
  enum class Kind : std::uint8_t {
    text,  // also a currency's symbol
    number,
    scientific,
    boolean,
    year,
    quarter,
    month,
    week,
    day,
    weekday,
    hours,
    minutes,
    seconds,
    half_of_day,
    other,  // a fraction, another era: shown in the general format
  };
  Kind kind = Kind::text;
  std::string text;
  int decimals = -1;  // -1: as many as the number has
  int least_decimals = -1;
  int least_digits = 1;
  int exponent_digits = 2;
  int exponent_interval = 1;
  bool exponent_sign = true;
  bool grouping = false;
  double divisor = 1;
  std::string replacement;  // for decimals that are all 0
  bool long_form = false;
  bool words = false;                   // a month by its name
  std::map<int, std::string> embedded;  // texts inside the digits, by the digits right of them
};

struct NumberFormat {
  enum class Kind : std::uint8_t { number, percentage, currency, date, time, boolean, text };
  // "value()>=0": another format for some numbers.
  struct Condition {
    std::string operation;
    double limit = 0;
    std::string format;
  };
  Kind kind = Kind::number;
  std::vector<FormatPart> parts;
  std::vector<Condition> conditions;
  bool whole_hours = false;  // hours run on past 24
};

class Styles {
 public:
  // Takes in what stands in office:styles or office:automatic-styles, whose start was just read, up
  // to its end.
  Scanner::Token read(Scanner& scanner);

  // The number format of a cell style, its parents' where it has none, or nullptr.
  const NumberFormat* of_cell(std::string_view style) const;
  const NumberFormat* format(std::string_view name) const;

 private:
  struct CellStyle {
    std::string format;
    std::string parent;
  };
  struct Hash {
    using is_transparent = void;
    std::size_t operator()(std::string_view text) const {
      return std::hash<std::string_view>{}(text);
    }
  };
  template <class T>
  using ByName = std::unordered_map<std::string, T, Hash, std::equal_to<>>;

  Scanner::Token read_format(Scanner& scanner, NumberFormat::Kind kind);

  ByName<CellStyle> cells_;
  ByName<NumberFormat> formats_;
};

}  // namespace loftledger::ods
