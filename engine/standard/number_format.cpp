#include "engine/standard/number_format.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <span>

#include "engine/standard/arithmetic.hpp"
#include "engine/standard/calendar.hpp"
#include "engine/standard/format_code.hpp"
#include "engine/standard/rounding.hpp"
#include "engine/standard/text_number.hpp"

namespace loftledger::standard {

namespace {

using Piece = NumberFormat::Piece;
using Section = NumberFormat::Section;
using Kind = Piece::Kind;
using Test = Section::Test;
using Pieces = std::vector<Piece>;

bool has(const Section& section, Kind kind) {
  return std::any_of(section.pieces.begin(), section.pieces.end(),
                     [kind](const Piece& piece) { return piece.kind == kind; });
}

bool holds(const Section& section, double number) {
  switch (section.test) {
    case Test::none:
      return true;
    case Test::less:
      return number < section.limit;
    case Test::less_equal:
      return number <= section.limit;
    case Test::equal:
      return number == section.limit;
    case Test::unequal:
      return number != section.limit;
    case Test::greater:
      return number > section.limit;
    case Test::greater_equal:
      return number >= section.limit;
  }
  return false;
}

// --- Digits

// The placeholders and literals on one side of the point with the digits put in.
struct Filled {
  std::string text;
  bool any = false;  // a digit shows
};

// Whole digits stand at the right end; the first placeholder takes all that come before.
Filled fill_whole(std::span<const Piece> pieces, std::string digits, bool grouped) {
  if (digits == "0") digits.clear();
  std::vector<std::string> parts(pieces.size());
  std::size_t first = pieces.size();
  std::size_t forced = pieces.size();  // from the first 0 on, every placeholder shows a digit
  for (std::size_t i = pieces.size(); i-- > 0;) {
    if (pieces[i].kind != Kind::digit) continue;
    first = i;
    if (pieces[i].mark == '0') forced = i;
  }
  std::size_t shown = 0;
  bool any = false;
  auto put = [&](std::string& part, char c) {
    const bool digit = c != ' ';
    if (grouped && shown > 0 && shown % 3 == 0) part.insert(0, 1, digit ? ',' : ' ');
    part.insert(0, 1, c);
    any = any || digit;
    ++shown;
  };
  for (std::size_t i = pieces.size(); i-- > 0;) {
    if (pieces[i].kind != Kind::digit) {
      parts[i] = pieces[i].words;
      continue;
    }
    do {
      if (!digits.empty()) {
        put(parts[i], digits.back());
        digits.pop_back();
      } else if (i >= forced) {
        put(parts[i], '0');
      } else if (pieces[i].mark == '?') {
        put(parts[i], ' ');
      }
    } while (i == first && !digits.empty());
  }
  Filled out{{}, any};
  for (const std::string& part : parts) out.text += part;
  return out;
}

// Decimals stand at the left end; zeros at the right end show only where a 0 asks for them.
Filled fill_decimals(std::span<const Piece> pieces, std::string_view digits) {
  std::size_t needed = digits.find_last_not_of('0') + 1;
  std::size_t place = 0;
  for (const Piece& piece : pieces) {
    if (piece.kind != Kind::digit) continue;
    ++place;
    if (piece.mark == '0') needed = std::max(needed, place);
  }
  Filled out;
  place = 0;
  for (const Piece& piece : pieces) {
    if (piece.kind != Kind::digit) {
      out.text += piece.words;
      continue;
    }
    if (place < needed) {
      out.text += digits[place];
      out.any = true;
    } else if (piece.mark == '?') {
      out.text += ' ';
      out.any = true;
    }
    ++place;
  }
  return out;
}

std::size_t count_digits(std::span<const Piece> pieces) {
  return static_cast<std::size_t>(std::count_if(
      pieces.begin(), pieces.end(), [](const Piece& p) { return p.kind == Kind::digit; }));
}

// The point among the pieces, or the end.
std::size_t point_at(std::span<const Piece> pieces) {
  std::size_t i = 0;
  while (i < pieces.size() && pieces[i].kind != Kind::point) ++i;
  return i;
}

// A number of 0 or more in the placeholders.
std::string fill(std::span<const Piece> pieces, double number, bool grouped) {
  const std::size_t point = point_at(pieces);
  const auto whole_pieces = pieces.subspan(0, point);
  const auto decimal_pieces = pieces.subspan(std::min(point + 1, pieces.size()));
  const std::string text = fixed_text(number, static_cast<int>(count_digits(decimal_pieces)));
  const std::size_t dot = text.find('.');
  const Filled whole = fill_whole(whole_pieces, text.substr(0, dot), grouped);
  if (point == pieces.size()) return whole.text;
  const Filled decimals =
      fill_decimals(decimal_pieces, dot == text.npos ? std::string() : text.substr(dot + 1));
  // What no placeholder takes stands in front.
  const bool left_over = count_digits(whole_pieces) == 0 && text.substr(0, dot) != "0";
  return (left_over ? text.substr(0, dot) : "") + whole.text + (decimals.any ? "." : "") +
         decimals.text;
}

bool all_zero(std::string_view text) { return text.find_first_of("123456789") == text.npos; }

// --- Kinds of formats

std::string format_decimal(const Section& section, double number) {
  return fill(section.pieces, number, section.grouped);
}

// The exponent is a multiple of the number of whole placeholders where a # or a comma is among
// them.
std::string format_scientific(const Section& section, double number) {
  const auto mark = std::find_if(section.pieces.begin(), section.pieces.end(),
                                 [](const Piece& p) { return p.kind == Kind::exponent; });
  const std::span<const Piece> before(section.pieces.begin(), mark);
  const std::size_t point = point_at(before);
  const auto whole = before.subspan(0, point);
  const auto places =
      static_cast<int>(count_digits(before.subspan(std::min(point + 1, before.size()))));
  const bool stepped = section.grouped || std::any_of(whole.begin(), whole.end(),
                                                      [](const Piece& p) { return p.mark == '#'; });
  const int step = stepped ? std::max(static_cast<int>(count_digits(whole)), 1) : 1;
  int exponent = 0;
  double mantissa = 0;
  if (number > 0) {
    exponent = static_cast<int>(std::floor(std::log10(number)));
    exponent = static_cast<int>(std::floor(static_cast<double>(exponent) / step)) * step;
    mantissa = number / std::pow(10.0, exponent);
    // Rounding may have added a digit too many.
    if (round_as_seen(mantissa, places) >= std::pow(10.0, step)) {
      exponent += step;
      mantissa = number / std::pow(10.0, exponent);
    }
  }
  std::string out = fill(before, mantissa, false);
  out += 'E';
  if (exponent < 0) out += '-';
  if (exponent >= 0 && mark->mark == '+') out += '+';
  out += fmt::format("{:0{}}", std::abs(exponent), mark->count);
  for (auto piece = mark + 1; piece != section.pieces.end(); ++piece) out += piece->words;
  return out;
}

struct Ratio {
  double above = 0;
  double below = 1;
};

// The best fraction with a divisor of at most `most`, by walking down the tree of fractions (Stern
// 1858, Brocot 1861). The number lies from 0 to 1.
Ratio best_ratio(double number, double most) {
  Ratio low{0, 1};
  Ratio high{1, 1};
  while (low.below + high.below <= most) {
    const Ratio middle{low.above + high.above, low.below + high.below};
    if (number == middle.above / middle.below) return middle;
    (number < middle.above / middle.below ? high : low) = middle;
  }
  const double to_low = number - low.above / low.below;
  const double to_high = high.above / high.below - number;
  return to_low <= to_high ? low : high;
}

std::string format_fraction(const Section& section, double number) {
  const Pieces& pieces = section.pieces;
  const auto slash =
      static_cast<std::size_t>(std::find_if(pieces.begin(), pieces.end(),
                                            [](const Piece& p) { return p.kind == Kind::slash; }) -
                               pieces.begin());
  std::size_t above_at = slash;
  while (above_at > 0 && pieces[above_at - 1].kind == Kind::digit) --above_at;
  std::size_t behind = slash + 1;
  const bool fixed = behind < pieces.size() && pieces[behind].kind == Kind::divisor;
  if (fixed) ++behind;
  while (behind < pieces.size() && pieces[behind].kind == Kind::digit) ++behind;
  const std::span<const Piece> all(pieces);
  const auto whole_pieces = all.subspan(0, above_at);
  const auto above_pieces = all.subspan(above_at, slash - above_at);
  const auto below_pieces = all.subspan(slash + 1, behind - slash - 1);
  const bool has_whole = count_digits(whole_pieces) > 0;

  double whole = std::floor(number);
  double rest = number - whole;
  Ratio ratio;
  if (fixed) {
    ratio.below = pieces[slash + 1].count;
    ratio.above = std::floor(rest * ratio.below + 0.5 - 1e-9);
  } else {
    const auto digits = std::min<std::size_t>(count_digits(below_pieces), 5);
    ratio = best_ratio(rest, std::pow(10.0, static_cast<double>(digits)) - 1);
  }
  if (ratio.above == ratio.below) {
    whole += 1;
    ratio.above = 0;
    if (!fixed) ratio.below = 1;
  }
  if (!has_whole) {
    ratio.above += whole * ratio.below;
    whole = 0;
  }
  const bool nothing = has_whole && ratio.above == 0;
  const bool spaced = std::any_of(above_pieces.begin(), above_pieces.end(),
                                  [](const Piece& p) { return p.mark == '?'; });
  std::string out;
  if (has_whole) {
    // A whole number shows where there is no fraction.
    Pieces shown(whole_pieces.begin(), whole_pieces.end());
    if (whole == 0 && nothing) {
      for (Piece& piece : shown) {
        if (piece.kind == Kind::digit) piece.mark = '0';
      }
    }
    out = fill(shown, whole, section.grouped);
    if (whole == 0 && !nothing && !spaced && all_zero(out)) {
      out.erase(0, out.find_first_not_of(' '));
    }
  } else {
    out = fill(whole_pieces, 0, false);
  }
  std::string part = ratio.above == 0 ? std::string(above_pieces.size() - 1, ' ') + "0/"
                                      : fill(above_pieces, ratio.above, false) + "/";
  if (fixed) {
    part += fmt::format("{}", pieces[slash + 1].count);
  } else {
    // Divisors stand at the left end.
    std::string below = fmt::format("{:.0f}", ratio.below);
    const std::size_t width = count_digits(below_pieces);
    const bool padded = !below_pieces.empty() && below_pieces[0].mark == '?';
    if (padded && below.size() < width) below.append(width - below.size(), ' ');
    part += below;
  }
  if (nothing) {
    part.assign(above_pieces.size() + 1 + (fixed ? 0 : below_pieces.size()), ' ');
  }
  out += part;
  for (const Piece& piece : all.subspan(behind)) out += piece.words;
  return out;
}

// --- Dates and times

constexpr std::string_view kMonthNames[] = {"January",   "February", "March",    "April",
                                            "May",       "June",     "July",     "August",
                                            "September", "October",  "November", "December"};
constexpr std::string_view kDayNames[] = {"Monday", "Tuesday",  "Wednesday", "Thursday",
                                          "Friday", "Saturday", "Sunday"};
constexpr double kSecondsPerDay = 86400;
constexpr std::int32_t kSunday = 6;

// A moment taken apart. Times are cut to what shows, never rounded up to the next second; totals of
// hours are rounded.
struct Moment {
  Date date;
  std::int64_t days = 0;  // from 1970-01-01
  double seconds = 0;     // of the day, or in all
  double fraction = 0;    // of the second
};

double cut_fraction(double fraction, int places) {
  const double rounded = round_as_seen(fraction, places);
  if (rounded < 1) return rounded;
  const double scale = std::pow(10.0, places);
  return std::trunc(fraction * scale) / scale;
}

std::string clock_number(double number, int count) {
  return fmt::format("{:0{}.0f}", number, count);
}

class DateWriter {
 public:
  DateWriter(const Section& section, double number, const sheet::Settings& settings)
      : section_(section) {
    for (const Piece& piece : section.pieces) {
      if (piece.kind == Kind::decimals) places_ = piece.count;
      if (piece.kind == Kind::half || piece.kind == Kind::half_mark) twelve_ = true;
      if (piece.kind >= Kind::total_hours) total_ = true;
    }
    const double day = floor_as_seen(number);
    moment_.days = static_cast<std::int64_t>(day) + settings.null_date;
    moment_.date = historic_date_of(moment_.days);
    negative_ = total_ && number < 0;
    const double seconds = total_ ? round_as_seen(std::fabs(number) * kSecondsPerDay, places_)
                                  : seconds_of_day(number);
    moment_.seconds = std::floor(seconds);
    moment_.fraction = cut_fraction(seconds - moment_.seconds, places_);
  }

  bool possible() const { return moment_.date.year <= kLastYear && moment_.date.year > -kLastYear; }

  std::string write() {
    std::string out;
    for (const Piece& piece : section_.pieces) {
      // The sign stands before the total.
      if (negative_ && piece.kind >= Kind::total_hours) out += '-';
      out += one(piece);
    }
    return out;
  }

 private:
  std::string one(const Piece& piece) const {
    const double hours = std::floor(moment_.seconds / 3600);
    const double minutes = std::floor(moment_.seconds / 60);
    const Date& date = moment_.date;
    switch (piece.kind) {
      case Kind::year:
        if (piece.count == 4) return fmt::format("{:04}", std::abs(shown_year()));
        return fmt::format("{:02}", std::abs(shown_year()) % 100);
      case Kind::month:
        if (piece.count <= 2) return fmt::format("{:0{}}", date.month, piece.count);
        return std::string(kMonthNames[date.month - 1].substr(0, piece.count == 5 ? 1
                                                                 : piece.count == 3
                                                                     ? 3
                                                                     : std::string::npos));
      case Kind::day:
        return fmt::format("{:0{}}", date.day, piece.count);
      case Kind::weekday:
        return std::string(kDayNames[weekday_of(moment_.days)].substr(
            0, piece.count == 3 ? 3 : std::string::npos));
      case Kind::quarter:
        return quarter((date.month - 1) / 3, piece.count);
      case Kind::week:
        return fmt::format("{}", week_of_year(moment_.days, kSunday, false));
      case Kind::hour:
        return clock_number(hour(std::fmod(hours, 24)), piece.count);
      case Kind::minute:
        return clock_number(std::fmod(minutes, 60), piece.count);
      case Kind::second:
        return clock_number(std::fmod(moment_.seconds, 60), piece.count);
      case Kind::decimals:
        return fixed_text(moment_.fraction, piece.count).substr(1);
      case Kind::half:
        return std::fmod(hours, 24) < 12 ? "AM" : "PM";
      case Kind::half_mark:
        return std::fmod(hours, 24) < 12 ? "a" : "p";
      case Kind::total_hours:
        return clock_number(hours, piece.count);
      case Kind::total_minutes:
        return clock_number(minutes, piece.count);
      case Kind::total_seconds:
        return clock_number(moment_.seconds, piece.count);
      default:
        return piece.words;
    }
  }

  // There is no year 0: before 1 comes 1 before our era.
  std::int64_t shown_year() const {
    return moment_.date.year > 0 ? moment_.date.year : moment_.date.year - 1;
  }

  double hour(double of_day) const {
    if (!twelve_) return of_day;
    const double half = std::fmod(of_day, 12);
    return half == 0 ? 12 : half;
  }

  static std::string quarter(int index, int count) {
    if (count == 1) return fmt::format("Q{}", index + 1);
    constexpr std::string_view kWords[] = {"1st quarter", "2nd quarter", "3rd quarter",
                                           "4th quarter"};
    return std::string(kWords[index]);
  }

  const Section& section_;
  Moment moment_;
  int places_ = 0;
  bool twelve_ = false;
  bool total_ = false;
  bool negative_ = false;
};

// --- One section

std::string format_general(const Section& section, double number) {
  std::string out;
  for (const Piece& piece : section.pieces) {
    if (piece.kind == Kind::general) {
      out += standard_text(number);
    } else if (piece.kind == Kind::digit) {
      out += fixed_text(number, 0);
    } else {
      out += piece.words;
    }
  }
  return out;
}

std::string format_positive(const Section& section, double number) {
  if (has(section, Kind::general)) return format_general(section, number);
  if (has(section, Kind::slash)) return format_fraction(section, number);
  if (has(section, Kind::exponent)) return format_scientific(section, number);
  return format_decimal(section, number);
}

// The percent sign stands where it is written.
Section with_percents(Section section) {
  for (Piece& piece : section.pieces) {
    if (piece.kind == Kind::percent) piece = {Kind::literal, "%", 0, 0};
  }
  return section;
}

std::string format_truth(const Section& section, double number) {
  std::string out;
  for (const Piece& piece : section.pieces) {
    out += piece.kind == Kind::truth ? (number != 0 ? "TRUE" : "FALSE") : piece.words;
  }
  return out;
}

std::optional<std::string> format_section(const Section& section, double number, bool sign,
                                          const sheet::Settings& settings) {
  if (is_date(section)) {
    // Beyond these no calendar reaches; whole days must fit their type.
    if (std::fabs(number) > 1e9) return std::nullopt;
    DateWriter writer(section, number, settings);
    if (!writer.possible()) return std::nullopt;
    return writer.write();
  }
  if (has(section, Kind::truth)) return format_truth(section, number);
  if (has(section, Kind::text)) return (number < 0 ? "-" : "") + standard_text(std::fabs(number));
  double size = std::fabs(number);
  if (section.percents > 0) size *= 100;
  for (int i = 0; i < section.thousands; ++i) size /= 1000;
  const Section shown = section.percents > 0 ? with_percents(section) : section;
  const std::string text = format_positive(shown, size);
  const bool digits = has(section, Kind::digit) || has(section, Kind::general);
  return number < 0 && sign && digits && !all_zero(text) ? "-" + text : text;
}

}  // namespace

std::string standard_text(double number) {
  constexpr double kLargest = 1e15;
  constexpr int kPlaces = 20;
  const double size = std::fabs(number);
  if (size > kLargest) {
    std::string text = fmt::format("{:.14E}", number);
    return text;
  }
  if (size >= 1 || size == 0) return general_text(number);
  std::string text = fixed_text(number, kPlaces);
  text.erase(text.find_last_not_of('0') + 1);
  if (text.back() == '.') text.pop_back();
  return text;
}

std::optional<NumberFormat> NumberFormat::read(std::string_view code) {
  auto sections = read_sections(code);
  if (!sections) return std::nullopt;
  NumberFormat out;
  out.sections_ = std::move(*sections);
  // What is for texts alone is none of the sections for numbers, but for the first.
  std::size_t numeric = 1;
  while (numeric < std::min<std::size_t>(out.sections_.size(), 3) &&
         !has(out.sections_[numeric], Piece::Kind::text)) {
    ++numeric;
  }
  // Sections without a condition of their own: positive, negative, zero.
  Section& first = out.sections_[0];
  if (numeric >= 2 && first.test == Section::Test::none) {
    first.test = numeric == 2 ? Section::Test::greater_equal : Section::Test::greater;
  }
  const bool above_zero = first.test == Section::Test::greater && first.limit == 0;
  if (numeric >= 2 && above_zero && out.sections_[1].test == Section::Test::none) {
    out.sections_[1].test = Section::Test::less;
  }
  return out;
}

std::optional<std::string> NumberFormat::format(double number,
                                                const sheet::Settings& settings) const {
  for (std::size_t i = 0; i < std::min<std::size_t>(sections_.size(), 3); ++i) {
    const Section& section = sections_[i];
    if (i > 0 && has(section, Kind::text)) break;
    if (!holds(section, number)) continue;
    const bool negative_alone =
        section.limit == 0 && (section.test == Test::less || section.test == Test::less_equal);
    return format_section(section, number, i == 0 && !negative_alone, settings);
  }
  return standard_text(number);
}

std::string NumberFormat::format(std::string_view text) const {
  const Section* section = nullptr;
  if (sections_.size() >= 4) {
    section = &sections_[3];
  } else {
    const auto found = std::find_if(sections_.begin(), sections_.end(),
                                    [](const Section& s) { return has(s, Kind::text); });
    if (found == sections_.end()) return std::string(text);
    section = &*found;
  }
  std::string out;
  for (const Piece& piece : section->pieces) {
    out += piece.kind == Kind::text ? std::string(text) : piece.words;
  }
  return out;
}

}  // namespace loftledger::standard
