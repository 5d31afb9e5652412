// The styles of a document, as far as they say how a cell's value is shown.
#pragma once

#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

#include "engine/format/number_format.hpp"
#include "engine/ods/markup/xml.hpp"

namespace loftledger::ods {

// A number style (ODF 1.3 part 3, section 16.29).
struct NumberStyle {
  enum class Kind : std::uint8_t { number, percentage, currency, date, time, boolean, text };
  // "value()>=0": another style for some numbers.
  struct Map {
    NumberFormat::Section::Test test = NumberFormat::Section::Test::none;
    double limit = 0;
    std::string style;
  };
  Kind kind = Kind::number;
  NumberFormat::Section section;
  std::vector<Map> maps;
  bool general = false;  // no more than General, or what is not known here: fractions, eras
  std::optional<NumberFormat> format;  // the section and those of the maps
};

class Styles {
 public:
  // Takes in what stands in office:styles or office:automatic-styles, whose start was just read, up
  // to its end.
  Scanner::Token read(Scanner& scanner);

  // The number format of a cell style, its parents' where it has none, or nullptr.
  const NumberStyle* of_cell(std::string_view style) const;
  const NumberStyle* number_style(std::string_view name) const;

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

  Scanner::Token read_styles(Scanner& scanner);
  Scanner::Token read_number_style(Scanner& scanner, NumberStyle::Kind kind);
  void put_together(NumberStyle& style) const;

  ByName<CellStyle> cells_;
  ByName<NumberStyle> number_styles_;
};

}  // namespace loftledger::ods
