#include "engine/format/number_format.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <span>
#include <utility>

#include "engine/format/format_code.hpp"
#include "engine/format/general.hpp"
#include "engine/format/moment_text.hpp"

namespace loftledger {

namespace {

using Piece = NumberFormat::Piece;
using Section = NumberFormat::Section;
using Kind = Piece::Kind;
using Test = Section::Test;
using Pieces = std::vector<Piece>;

constexpr double kLargest = std::numeric_limits<double>::max();

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

bool all_zero(std::string_view text) { return text.find_first_of("123456789") == text.npos; }

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

int places_of(std::span<const Piece> pieces) {
  const std::size_t point = std::min(point_at(pieces) + 1, pieces.size());
  return static_cast<int>(count_digits(pieces.subspan(point)));
}

// A number in the placeholders, given with as many decimals as there are places for.
std::string fill(std::span<const Piece> pieces, const std::string& number, bool grouped,
                 std::string_view replacement = {}) {
  const std::size_t point = point_at(pieces);
  const std::size_t dot = number.find('.');
  const Filled whole = fill_whole(pieces.subspan(0, point), number.substr(0, dot), grouped);
  if (point == pieces.size()) return whole.text;
  const std::string digits = dot == number.npos ? std::string() : number.substr(dot + 1);
  // What no placeholder takes stands in front.
  const bool left_over =
      count_digits(pieces.subspan(0, point)) == 0 && number.substr(0, dot) != "0";
  const std::string front = (left_over ? number.substr(0, dot) : "") + whole.text;
  if (!replacement.empty() && all_zero(digits)) return front + "." + std::string(replacement);
  const Filled decimals = fill_decimals(pieces.subspan(point + 1), digits);
  return front + (decimals.any ? "." : "") + decimals.text;
}

// The same of a whole number.
std::string fill(std::span<const Piece> pieces, double number, bool grouped) {
  return fill(pieces, fixed_text(number, places_of(pieces)), grouped);
}

// --- Kinds of formats

std::string format_decimal(const Section& section, double number) {
  return fill(section.pieces, fixed_text(number, places_of(section.pieces)), section.grouped,
              section.replacement);
}

// The multiple of the step that is not above the number.
int floor_to(int number, int step) { return number - (number % step + step) % step; }

// The exponent is a multiple of the number of whole placeholders where a # or a comma is among
// them.
std::string format_scientific(const Section& section, double number) {
  const auto mark = std::find_if(section.pieces.begin(), section.pieces.end(),
                                 [](const Piece& p) { return p.kind == Kind::exponent; });
  const std::span<const Piece> before(section.pieces.begin(), mark);
  const auto whole = before.subspan(0, point_at(before));
  const bool stepped = section.grouped || std::any_of(whole.begin(), whole.end(),
                                                      [](const Piece& p) { return p.mark == '#'; });
  const int step = stepped ? std::max(static_cast<int>(count_digits(whole)), 1) : 1;
  const Decimal decimal = Decimal::shortest(number);
  const auto mantissa = [&](int exponent) {
    return fixed_text(decimal * Decimal::power_of_ten(-exponent), places_of(before));
  };
  int exponent = floor_to(decimal.magnitude(), step);
  std::string digits = mantissa(exponent);
  if (static_cast<int>(std::min(digits.find('.'), digits.size())) > step) {
    // Rounding has added a digit too many.
    exponent += step;
    digits = mantissa(exponent);
  }
  std::string out = fill(before, digits, false);
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
                                          std::int64_t null_date) {
  if (is_date(section)) return moment_text(section, number, null_date);
  if (has(section, Kind::truth)) return format_truth(section, number);
  if (has(section, Kind::text)) return (number < 0 ? "-" : "") + standard_text(std::fabs(number));
  double size = std::fabs(number);
  if (section.percents > 0) size *= 100;
  for (int i = 0; i < section.thousands; ++i) size /= 1000;
  // The office takes no fraction of numbers that 32 bits do not hold.
  constexpr double kMostOfFraction = 4294967295.0;
  const double most = has(section, Kind::slash) ? kMostOfFraction : kLargest;
  if (!(size <= most)) return std::nullopt;
  const Section shown = section.percents > 0 ? with_percents(section) : section;
  const std::string text = format_positive(shown, size);
  const bool digits = has(section, Kind::digit) || has(section, Kind::general);
  return number < 0 && sign && digits && !all_zero(text) ? "-" + text : text;
}

}  // namespace

bool is_date(const Section& section) {
  return std::any_of(section.pieces.begin(), section.pieces.end(),
                     [](const Piece& piece) { return shows_moment(piece.kind); });
}

NumberFormat::NumberFormat(std::vector<Section> sections) : sections_(std::move(sections)) {}

std::optional<NumberFormat> NumberFormat::read(std::string_view code) {
  auto sections = read_sections(code);
  if (!sections) return std::nullopt;
  NumberFormat out(std::move(*sections));
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

std::optional<std::string> NumberFormat::format(double number, std::int64_t null_date) const {
  for (std::size_t i = 0; i < std::min<std::size_t>(sections_.size(), 3); ++i) {
    const Section& section = sections_[i];
    if (i > 0 && has(section, Kind::text)) break;
    if (!holds(section, number)) continue;
    const bool negative_alone =
        section.limit == 0 && (section.test == Test::less || section.test == Test::less_equal);
    return format_section(section, number, i == 0 && !negative_alone, null_date);
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

}  // namespace loftledger
