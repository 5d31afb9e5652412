#include "engine/ods/reading/styles.hpp"

#include <algorithm>
#include <map>
#include <utility>

#include "engine/base/checked_integer.hpp"
#include "engine/base/number_text.hpp"

namespace loftledger::ods {

namespace {

using Token = Scanner::Token;
using Piece = NumberFormat::Piece;
using Section = NumberFormat::Section;
using Kind = Piece::Kind;

constexpr int kMostParents = 20;  // styles that name each other in a ring must not hang
constexpr int kMostDigits = 300;  // no double has more

std::optional<NumberStyle::Kind> kind_of(Name element) {
  switch (element) {
    case "number:number-style"_name:
      return NumberStyle::Kind::number;
    case "number:percentage-style"_name:
      return NumberStyle::Kind::percentage;
    case "number:currency-style"_name:
      return NumberStyle::Kind::currency;
    case "number:date-style"_name:
      return NumberStyle::Kind::date;
    case "number:time-style"_name:
      return NumberStyle::Kind::time;
    case "number:boolean-style"_name:
      return NumberStyle::Kind::boolean;
    case "number:text-style"_name:
      return NumberStyle::Kind::text;
    default:
      return std::nullopt;
  }
}

// What an element of a number style says.
struct Part {
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

int whole(std::string_view text, int otherwise) {
  const std::optional<double> number = read_number(text);
  if (!number) return otherwise;
  return std::clamp(clamped_integer<int>(*number), 0, kMostDigits);
}

void read_attributes(const Scanner& scanner, Part& part) {
  std::string scratch;
  bool replaced = false;
  for (const Attribute& a : scanner.attributes()) {
    const std::string_view value = scanner.value(a, scratch);
    switch (a.name) {
      case "number:decimal-places"_name:
        part.decimals = whole(value, part.decimals);
        break;
      case "number:min-decimal-places"_name:
        part.least_decimals = whole(value, part.least_decimals);
        break;
      case "number:min-integer-digits"_name:
        part.least_digits = whole(value, part.least_digits);
        break;
      case "number:min-exponent-digits"_name:
        part.exponent_digits = whole(value, part.exponent_digits);
        break;
      case "number:exponent-interval"_name:
        part.exponent_interval = std::max(1, whole(value, 1));
        break;
      case "number:forced-exponent-sign"_name:
        part.exponent_sign = value != "false";
        break;
      case "number:grouping"_name:
        part.grouping = value == "true";
        break;
      case "number:display-factor"_name:
        part.divisor = read_number(value).value_or(1);
        break;
      case "number:decimal-replacement"_name:
        part.replacement = value;
        replaced = true;
        break;
      case "number:style"_name:
        part.long_form = value == "long";
        break;
      case "number:textual"_name:
        part.words = value == "true";
        break;
      default:
        break;
    }
  }
  if (part.least_decimals < 0) part.least_decimals = replaced ? 0 : part.decimals;
}

// A part's text, and the texts embedded in its digits, up to its end.
Token read_content(Scanner& scanner, Part& part) {
  const std::size_t outside = scanner.depth() - 1;
  std::string* text = &part.text;
  for (;;) {
    const Token token = scanner.next();
    if (token == Token::text) scanner.append_text(*text);
    if (token == Token::start && scanner.name() == "number:embedded-text"_name) {
      text = &part.embedded[whole(scanner.text_of("number:position"_name), 0)];
    }
    if (token == Token::end) text = &part.text;
    if (token == Token::failed || (token == Token::end && scanner.depth() == outside)) return token;
  }
}

// Puts the parts of a number style together as the pieces that a format code is read into.
class SectionWriter {
 public:
  explicit SectionWriter(Section& section) : out_(section) {}

  // False for an element that is not known here.
  bool add(Name element, const Part& part) {
    switch (element) {
      case "number:text"_name:
      case "number:currency-symbol"_name:
        out_.pieces.push_back({Kind::literal, part.text});
        return true;
      case "number:number"_name:
        add_number(part);
        return true;
      case "number:scientific-number"_name:
        add_scientific(part);
        return true;
      case "number:boolean"_name:
        add_piece(Kind::truth);
        return true;
      case "number:text-content"_name:
        add_piece(Kind::text);
        return true;
      case "number:seconds"_name:
        add_piece(Kind::second, part.long_form ? 2 : 1);
        if (part.decimals > 0) add_piece(Kind::decimals, part.decimals);
        return true;
      default:
        return add_moment(element, part);
    }
  }

 private:
  void add_piece(Kind kind, int count = 0, char mark = 0) {
    out_.pieces.push_back({kind, {}, mark, count});
  }
  void add_digits(int count, char mark) {
    for (int i = 0; i < count; ++i) add_piece(Kind::digit, 0, mark);
  }

  // So many places before the point at least.
  void add_whole(const Part& part, int places) {
    places = std::max({places, part.least_digits, 1});
    // A text stands behind a digit.
    if (!part.embedded.empty()) places = std::max(places, part.embedded.rbegin()->first + 1);
    for (int right = places; right-- > 0;) {
      add_piece(Kind::digit, 0, right < part.least_digits ? '0' : '#');
      const auto text = part.embedded.find(right);
      if (right > 0 && text != part.embedded.end()) {
        out_.pieces.push_back({Kind::literal, text->second});
      }
    }
    out_.grouped = out_.grouped || part.grouping;
  }

  void add_decimals(const Part& part) {
    if (part.decimals <= 0) return;
    out_.replacement = part.replacement;
    const int least =
        part.replacement.empty() ? std::min(part.least_decimals, part.decimals) : part.decimals;
    add_piece(Kind::point);
    add_digits(least, '0');
    add_digits(part.decimals - least, '#');
  }

  void add_number(const Part& part) {
    for (double factor = part.divisor; factor >= kThousand; factor /= kThousand) ++out_.thousands;
    if (part.decimals < 0) {
      add_piece(Kind::general);
      return;
    }
    add_whole(part, 1);
    add_decimals(part);
  }

  void add_scientific(const Part& part) {
    add_whole(part, part.exponent_interval);
    add_decimals(part);
    add_piece(Kind::exponent, part.exponent_digits, part.exponent_sign ? '+' : '\0');
  }

  bool add_moment(Name element, const Part& part) {
    const int letters = part.long_form ? 2 : 1;
    switch (element) {
      case "number:year"_name:
        add_piece(Kind::year, part.long_form ? 4 : 2);
        return true;
      case "number:quarter"_name:
        add_piece(Kind::quarter, letters);
        return true;
      case "number:month"_name:
        add_piece(Kind::month, part.words ? letters + 2 : letters);
        return true;
      case "number:week-of-year"_name:
        add_piece(Kind::week);
        return true;
      case "number:day"_name:
        add_piece(Kind::day, letters);
        return true;
      case "number:day-of-week"_name:
        add_piece(Kind::weekday, letters + 2);
        return true;
      case "number:hours"_name:
        add_piece(Kind::hour, letters);
        return true;
      case "number:minutes"_name:
        add_piece(Kind::minute, letters);
        return true;
      case "number:am-pm"_name:
        add_piece(Kind::half);
        return true;
      default:
        return false;
    }
  }

  static constexpr double kThousand = 1000;
  Section& out_;
};

// The first part of a time that runs on past a day, an hour or a minute.
void let_run_on(Section& section) {
  for (Piece& piece : section.pieces) {
    if (piece.kind == Kind::hour) piece.kind = Kind::total_hours;
    if (piece.kind == Kind::minute) piece.kind = Kind::total_minutes;
    if (piece.kind == Kind::second) piece.kind = Kind::total_seconds;
    if (piece.kind >= Kind::total_hours) return;
  }
}

// "value()>=0"
void read_condition(const Scanner& scanner, NumberStyle& style) {
  using Test = Section::Test;
  struct Spelling {
    std::string_view text;
    Test test;
  };
  constexpr Spelling kSpellings[] = {{"!=", Test::unequal},       {"<=", Test::less_equal},
                                     {">=", Test::greater_equal}, {"<", Test::less},
                                     {">", Test::greater},        {"=", Test::equal}};
  constexpr std::string_view kValue = "value()";
  const std::string written = scanner.text_of("style:condition"_name);
  if (!written.starts_with(kValue)) return;
  const std::string_view condition = std::string_view(written).substr(kValue.size());
  for (const Spelling& each : kSpellings) {
    if (!condition.starts_with(each.text)) continue;
    const std::optional<double> limit = read_number(condition.substr(each.text.size()));
    if (!limit) return;
    style.maps.push_back({each.test, *limit, scanner.text_of("style:apply-style-name"_name)});
    return;
  }
}

}  // namespace

Token Styles::read(Scanner& scanner) {
  const Token token = read_styles(scanner);
  for (auto& [name, style] : number_styles_) put_together(style);
  return token;
}

Token Styles::read_styles(Scanner& scanner) {
  const std::size_t inside = scanner.depth();
  for (;;) {
    Token token = scanner.next();
    if (token == Token::start) {
      if (const auto kind = kind_of(scanner.name())) {
        token = read_number_style(scanner, *kind);
      } else {
        const bool cell = scanner.name() == "style:style"_name &&
                          scanner.text_of("style:family"_name) == "table-cell";
        if (cell) {
          cells_[scanner.text_of("style:name"_name)] = {
              scanner.text_of("style:data-style-name"_name),
              scanner.text_of("style:parent-style-name"_name)};
        }
        token = scanner.skip();
      }
    }
    if (token == Token::failed || (token == Token::end && scanner.depth() < inside)) return token;
  }
}

Token Styles::read_number_style(Scanner& scanner, NumberStyle::Kind kind) {
  const std::size_t outside = scanner.depth() - 1;
  NumberStyle style;
  style.kind = kind;
  if (kind == NumberStyle::Kind::percentage) style.section.percents = 1;
  const bool runs_on = scanner.text_of("number:truncate-on-overflow"_name) == "false";
  std::string name = scanner.text_of("style:name"_name);
  SectionWriter writer(style.section);
  for (;;) {
    Token token = scanner.next();
    if (token == Token::start) {
      if (scanner.name() == "style:map"_name) {
        read_condition(scanner, style);
        token = scanner.skip();
      } else if (scanner.name() == "style:text-properties"_name) {
        token = scanner.skip();
      } else {
        const Name element = scanner.name();
        Part part;
        read_attributes(scanner, part);
        token = read_content(scanner, part);
        if (!writer.add(element, part)) style.general = true;
      }
    }
    if (token == Token::failed) return token;
    if (token == Token::end && scanner.depth() == outside) {
      if (runs_on) let_run_on(style.section);
      number_styles_[std::move(name)] = std::move(style);
      return token;
    }
  }
}

void Styles::put_together(NumberStyle& style) const {
  std::vector<Section> sections;
  for (const NumberStyle::Map& map : style.maps) {
    const NumberStyle* other = number_style(map.style);
    if (other == nullptr) continue;
    sections.push_back(other->section);
    sections.back().test = map.test;
    sections.back().limit = map.limit;
  }
  const std::vector<Piece>& own = style.section.pieces;
  const bool plain = own.size() == 1 && (own[0].kind == Kind::general || own[0].kind == Kind::text);
  if (sections.empty() && plain) style.general = true;
  sections.push_back(style.section);
  style.format = NumberFormat(std::move(sections));
}

const NumberStyle* Styles::number_style(std::string_view name) const {
  const auto found = number_styles_.find(name);
  return found == number_styles_.end() ? nullptr : &found->second;
}

const NumberStyle* Styles::of_cell(std::string_view style) const {
  for (int i = 0; i < kMostParents; ++i) {
    const auto found = cells_.find(style);
    if (found == cells_.end()) return nullptr;
    if (!found->second.format.empty()) return number_style(found->second.format);
    style = found->second.parent;
  }
  return nullptr;
}

}  // namespace loftledger::ods
