#include "engine/format/format_code.hpp"

#include <algorithm>
#include <charconv>
#include <string>

#include "engine/base/ascii.hpp"
#include "engine/base/number_text.hpp"
#include "engine/base/unicode.hpp"
#include "engine/format/scanner.hpp"

namespace loftledger {

namespace {

using Piece = NumberFormat::Piece;
using Section = NumberFormat::Section;
using Kind = Piece::Kind;
using Test = Section::Test;

bool is_digit_mark(char c) { return c == '0' || c == '#' || c == '?'; }

class SectionReader {
 public:
  SectionReader(std::string_view text, Section& out) : text_(text), in_(text), out_(out) {}

  // False where the section is none.
  bool read() {
    in_.spaces();
    while (!in_.at_end()) {
      if (!step()) return false;
    }
    return finish();
  }

 private:
  void add(Kind kind, int count = 0, char mark = 0) {
    out_.pieces.push_back({kind, {}, mark, count});
  }
  void add_literal(std::string_view words) {
    if (out_.pieces.empty() || out_.pieces.back().kind != Kind::literal) add(Kind::literal);
    out_.pieces.back().words += words;
  }
  bool last_is(Kind kind) const { return !out_.pieces.empty() && out_.pieces.back().kind == kind; }

  std::string_view rest() const { return text_.substr(in_.place()); }

  // One code point, whatever it is.
  std::string_view take_point() {
    std::size_t end = in_.place() + 1;
    while (end < text_.size() && unicode::continues(text_[end])) ++end;
    const std::string_view point = text_.substr(in_.place(), end - in_.place());
    in_.go_back(end);
    return point;
  }

  bool step() {
    const char c = in_.peek();
    switch (c) {
      case '"':
        return quoted();
      case '\\':
        in_.take(c);
        add_literal(in_.at_end() ? std::string_view("\\") : take_point());
        return true;
      case '[':
        return bracketed();
      case '_':
        // Room as wide as a character: a text has no widths, so that one space stands for any.
        in_.take(c);
        if (!in_.at_end()) {
          take_point();
          add_literal(" ");
        }
        return true;
      case '*':
        // Filling up the cell means nothing in a text.
        in_.take(c);
        if (in_.at_end()) return false;
        take_point();
        return true;
      case '@':
        in_.take(c);
        add(Kind::text);
        return true;
      case '%':
        in_.take(c);
        ++out_.percents;
        add(Kind::percent);
        return true;
      case '0':
      case '#':
      case '?':
        in_.take(c);
        digits_ = true;
        add(Kind::digit, 0, c);
        return true;
      case '.':
        return dot();
      case ',':
        return comma();
      case '/':
        return slash();
      default:
        return word_or_literal();
    }
  }

  bool quoted() {
    const std::string_view text = rest();
    const std::size_t close = text.find('"', 1);
    if (close == text.npos) {
      // A quotation mark without another stands for itself.
      in_.take('"');
      add_literal("\"");
      return true;
    }
    add_literal(text.substr(1, close - 1));
    in_.go_back(in_.place() + close + 1);
    return true;
  }

  bool bracketed() {
    const std::string_view text = rest();
    const std::size_t close = text.find(']');
    if (close == text.npos || close < 2) return false;
    const std::string_view inside = text.substr(1, close - 1);
    in_.go_back(in_.place() + close + 1);
    if (inside[0] == '$') {
      add_literal(inside.substr(1, inside.find('-') - 1));
      return true;
    }
    if (inside[0] == '~') return true;  // a calendar: ours is the only one
    return condition(inside) || duration(inside) || colour(inside);
  }

  bool condition(std::string_view inside) {
    struct Spelling {
      std::string_view text;
      Test test;
    };
    constexpr Spelling kSpellings[] = {{"<>", Test::unequal},       {"<=", Test::less_equal},
                                       {">=", Test::greater_equal}, {"<", Test::less},
                                       {">", Test::greater},        {"=", Test::equal}};
    for (const Spelling& each : kSpellings) {
      if (!inside.starts_with(each.text)) continue;
      const auto limit = read_number(inside.substr(each.text.size()));
      if (!limit) return false;
      out_.test = each.test;
      out_.limit = *limit;
      return true;
    }
    return false;
  }

  bool duration(std::string_view inside) {
    if (inside.size() > 2) return false;
    const char letter = ascii::lower(inside[0]);
    if (inside.size() == 2 && ascii::lower(inside[1]) != letter) return false;
    const int count = static_cast<int>(inside.size());
    if (letter == 'h') add(Kind::total_hours, count);
    if (letter == 'm') add(Kind::total_minutes, count);
    if (letter == 's') add(Kind::total_seconds, count);
    return letter == 'h' || letter == 'm' || letter == 's';
  }

  // Colours, and shapes of digits: nothing to see in a text.
  bool colour(std::string_view inside) {
    constexpr std::string_view kWords[] = {"BLACK",   "BLUE",   "GREEN", "CYAN",   "RED",
                                           "MAGENTA", "BROWN",  "GREY",  "YELLOW", "WHITE",
                                           "COLOR",   "NATNUM", "DBNUM"};
    return std::any_of(std::begin(kWords), std::end(kWords), [&](std::string_view word) {
      Scanner in(inside);
      if (!in.take_word(word)) return false;
      in.spaces();
      in.digits();
      return in.at_end();
    });
  }

  bool dot() {
    in_.take('.');
    if (last_is(Kind::second) && in_.peek() == '0') {
      int count = 0;
      while (in_.take('0')) ++count;
      add(Kind::decimals, count);
    } else if (!point_ && !is_date(out_) && (digits_ || is_digit_mark(in_.peek()))) {
      point_ = true;
      add(Kind::point);
      // Dashes stand for decimals that are all 0.
      while (in_.take('-')) {
        add(Kind::digit, 0, '0');
        out_.replacement += '-';
      }
    } else {
      add_literal(".");
    }
    return true;
  }

  // Between digits: separators. Behind the last digit: a thousandth.
  bool comma() {
    in_.take(',');
    if (!last_is(Kind::digit)) {
      if (out_.thousands > 0) {
        ++out_.thousands;
      } else {
        add_literal(",");
      }
      return true;
    }
    if (is_digit_mark(in_.peek())) {
      out_.grouped = true;
    } else {
      ++out_.thousands;
      while (in_.take(',')) ++out_.thousands;
    }
    return true;
  }

  bool slash() {
    in_.take('/');
    if (!last_is(Kind::digit)) {
      if (out_.pieces.empty()) return false;
      add_literal("/");
      return true;
    }
    add(Kind::slash);
    // A divisor that begins with 1 to 9 is fixed.
    if (in_.peek() >= '1' && in_.peek() <= '9') {
      const std::string_view digits = in_.digits();
      int divisor = 0;
      const auto read = std::from_chars(digits.data(), digits.data() + digits.size(), divisor);
      add(Kind::divisor, divisor);
      return read.ec == std::errc{};
    }
    return is_digit_mark(in_.peek());
  }

  bool word_or_literal() {
    if (in_.take_word("GENERAL")) {
      if (is_digit_mark(in_.peek())) return false;
      add(Kind::general);
    } else if (in_.take_word("BOOLEAN")) {
      add(Kind::truth);
    } else if (in_.take_word("AM/PM")) {
      add(Kind::half);
    } else if (in_.take_word("A/P")) {
      add(Kind::half_mark);
    } else {
      return letters();
    }
    return true;
  }

  // The same letter over and over, at most so often.
  std::string_view run(std::size_t most) {
    const std::string_view text = rest();
    std::size_t count = 0;
    while (count < std::min(most, text.size()) &&
           ascii::lower(text[count]) == ascii::lower(text[0])) {
      ++count;
    }
    in_.go_back(in_.place() + count);
    return text.substr(0, count);
  }

  bool letters() {
    switch (ascii::lower(in_.peek())) {
      case 'e':
        // Without digits before it, it is the year of another calendar.
        return digits_ && exponent();
      case 'g':
      case 'r':
        return false;  // eras of other calendars
      case 'y':
        year();
        return true;
      case 'm':
        add(Kind::month, static_cast<int>(run(5).size()));
        return true;
      case 'd': {
        const int count = static_cast<int>(run(4).size());
        add(count <= 2 ? Kind::day : Kind::weekday, count);
        return true;
      }
      case 'a':
        few(run(4), 3, Kind::weekday, 0);
        return true;
      case 'n': {
        const std::string_view word = run(4);
        few(word, 2, Kind::weekday, 1);
        if (word.size() == 4) add_literal(", ");
        return true;
      }
      case 'q':
        add(Kind::quarter, static_cast<int>(run(2).size()));
        return true;
      case 'w':
        few(run(2), 2, Kind::week, 0);
        return true;
      case 'h':
        add(Kind::hour, static_cast<int>(run(2).size()));
        return true;
      case 's':
        add(Kind::second, static_cast<int>(run(2).size()));
        return true;
      default:
        add_literal(take_point());
        return true;
    }
  }

  // Too few letters stand for themselves; NN is as short as DDD.
  void few(std::string_view word, std::size_t least, Kind kind, int more) {
    if (word.size() < least) {
      add_literal(word);
    } else {
      add(kind, std::min(static_cast<int>(word.size()) + more, 4));
    }
  }

  void year() {
    const std::string_view word = run(4);
    if (word.size() >= 2) add(Kind::year, word.size() == 4 ? 4 : 2);
    if (word.size() % 2 == 1) add_literal(word.substr(0, 1));
  }

  bool exponent() {
    run(1);
    const char sign = in_.peek() == '+' || in_.peek() == '-' ? in_.peek() : '\0';
    if (sign != '\0') in_.take(sign);
    int count = 0;
    while (is_digit_mark(in_.peek())) {
      // The least number of digits is that of the zeros.
      if (in_.peek() == '0') ++count;
      in_.take(in_.peek());
      exponent_ = true;
    }
    add(Kind::exponent, std::max(count, 1), sign);
    return exponent_;
  }

  // M and MM are minutes behind hours and before seconds.
  void tell_minutes() {
    Piece* before = nullptr;
    for (Piece& piece : out_.pieces) {
      if (!shows_moment(piece.kind)) continue;
      const bool short_month = piece.kind == Kind::month && piece.count <= 2;
      if (short_month && before != nullptr &&
          (before->kind == Kind::hour || before->kind == Kind::total_hours)) {
        piece.kind = Kind::minute;
      }
      if (piece.kind == Kind::second && before != nullptr && before->kind == Kind::month &&
          before->count <= 2) {
        before->kind = Kind::minute;
      }
      before = &piece;
    }
  }

  bool finish() {
    const bool dates = is_date(out_);
    if (dates && (digits_ || point_ || out_.percents > 0)) return false;
    tell_minutes();
    const bool fraction = std::any_of(out_.pieces.begin(), out_.pieces.end(),
                                      [](const Piece& p) { return p.kind == Kind::slash; });
    if (fraction && (out_.percents > 0 || point_ || exponent_)) return false;
    const bool general = std::any_of(out_.pieces.begin(), out_.pieces.end(),
                                     [](const Piece& p) { return p.kind == Kind::general; });
    // A percent sign alone stands behind a whole number.
    if (out_.percents > 0 && !digits_ && !general) {
      out_.pieces.insert(out_.pieces.begin(), Piece{Kind::digit, {}, '0', 0});
    }
    return true;
  }

  std::string_view text_;
  Scanner in_;
  Section& out_;
  bool digits_ = false;
  bool point_ = false;
  bool exponent_ = false;
};

// The code at its semicolons, but for those in quotation marks and behind a backslash.
std::vector<std::string_view> split(std::string_view code) {
  std::vector<std::string_view> out;
  std::size_t begin = 0;
  for (std::size_t i = 0; i <= code.size(); ++i) {
    if (i == code.size() || code[i] == ';') {
      out.push_back(code.substr(begin, i - begin));
      begin = i + 1;
    } else if (code[i] == '\\' && i + 1 < code.size()) {
      ++i;
    } else if (code[i] == '"') {
      const std::size_t close = code.find('"', i + 1);
      if (close != code.npos) i = close;
    }
  }
  return out;
}

}  // namespace

std::optional<std::vector<NumberFormat::Section>> read_sections(std::string_view code) {
  std::vector<Section> out;
  for (std::string_view text : split(code)) {
    Section section;
    if (!SectionReader(text, section).read()) return std::nullopt;
    out.push_back(std::move(section));
  }
  return out;
}

}  // namespace loftledger
