#include "engine/base/quantity_grammar.hpp"

#include <fmt/format.h>

#include <boost/fusion/include/adapt_struct.hpp>
#include <boost/spirit/home/x3.hpp>
#include <charconv>
#include <cstddef>
#include <system_error>
#include <utility>

#include "engine/base/ascii.hpp"
#include "engine/base/plain_text.hpp"
#include "engine/base/units.hpp"

BOOST_FUSION_ADAPT_STRUCT(loftledger::AmountText, digits, numerator, denominator)
BOOST_FUSION_ADAPT_STRUCT(loftledger::PartText, amount, unit)
BOOST_FUSION_ADAPT_STRUCT(loftledger::QuantityText, sign, parts)

namespace loftledger {

namespace {

namespace x3 = boost::spirit::x3;

// A unit of the table, of up to three words, the longest that there is; else one unknown word.
struct UnitParser : x3::parser<UnitParser> {
  using attribute_type = std::string;
  static constexpr bool has_attribute = true;

  static std::size_t word_end(std::string_view text, std::size_t at) {
    const std::size_t start = at;
    while (at < text.size()) {
      const char c = text[at];
      if (at == start && text.substr(at).starts_with("''")) return at + 2;
      const bool mark = std::string_view("%\"'#:").find(c) != std::string_view::npos;
      if (mark && at == start) return at + 1;
      // "ft3" and "m3/kg", but "2lb3oz" is two pounds and three ounces.
      const bool power = (c == '2' || c == '3') &&
                         (at + 1 == text.size() ||
                          !(ascii::is_letter(text[at + 1]) || ascii::is_digit(text[at + 1])));
      const bool inside = at > start && (c == '/' || c == '^' || c == '.' || c == ')' ||
                                         (power && !ascii::is_digit(text[at - 1])));
      const bool high_byte = static_cast<unsigned char>(c) >= 0x80;
      if (!ascii::is_letter(c) && !high_byte && !inside && c != '(') break;
      ++at;
    }
    return at;
  }

  // How much of the text is the dash of 5'-3", which joins inches to feet. Behind a dash 12 inches
  // or more may end a range.
  static std::size_t foot_dash(std::string_view text) {
    const std::size_t dash = text.find_first_not_of(' ');
    if (dash == text.npos || text[dash] != '-') return 0;
    const std::size_t start = text.find_first_not_of(' ', dash + 1);
    if (start == text.npos || !ascii::is_digit(text[start])) return 0;
    const std::string_view inches = text.substr(start);
    const std::size_t mark = inches.find_first_not_of("0123456789., /");
    if (mark == inches.npos) return 0;
    if (inches[mark] != '"' && !inches.substr(mark).starts_with("''")) return 0;
    int whole = 0;
    const auto read = std::from_chars(inches.data(), inches.data() + mark, whole);
    return read.ec == std::errc{} && whole < 12 ? start : 0;
  }

  template <class It, class Context, class RuleContext, class Attribute>
  bool parse(It& first, const It& last, const Context& context, RuleContext&,
             Attribute& attribute) const {
    x3::skip_over(first, last, context);
    const std::string_view text(first, static_cast<std::size_t>(last - first));
    if (text.empty()) return false;
    const std::size_t one = word_end(text, 0);
    if (one == 0 || text.substr(0, one) == "to" || text.substr(0, one) == "and") return false;
    std::size_t best = 0;
    std::size_t end = one;
    for (int words = 1; words <= 4; ++words) {
      if (find_unit(text.substr(0, end)) != nullptr) best = end;
      if (end >= text.size()) break;
      std::size_t next = end;
      while (next < text.size() && (text[next] == ' ' || text[next] == '/')) ++next;
      const std::size_t further = word_end(text, next);
      if (further == next) break;
      end = further;
    }
    if (best == 0) best = one;
    x3::traits::move_to(std::string(text.substr(0, best)), attribute);
    if (text.substr(0, best) == "'") best += foot_dash(text.substr(best));
    first += static_cast<std::ptrdiff_t>(best);
    return true;
  }
};

namespace grammar {
using x3::attr;
using x3::char_;
using x3::lit;
using x3::omit;
using x3::raw;
using x3::repeat;

// Not x3::digit, which must not be asked about bytes beyond ASCII.
const auto digit = char_('0', '9');
const auto spaces = omit[*lit(' ')];
const auto whole = raw[+digit];
const auto run = +(digit | char_(".,"));
const auto three = repeat(3)[digit] >> !digit;
const auto group = lit(' ') >> &three >> run;
const auto exponent = char_("eE") >> -char_("+-") >> +digit;
const auto apostrophes = raw[+digit >> +('\'' >> three) >> -(char_(".,") >> +digit)];
const auto numeral = apostrophes | raw[run >> *group >> -exponent];

const x3::rule<class Amount, AmountText> amount = "amount";
const auto amount_def = (whole >> omit[char_(" -")] >> whole >> '/' >> whole) |
                        (attr(std::string()) >> whole >> '/' >> whole) |
                        (numeral >> attr(std::string()) >> attr(std::string()));
const x3::rule<class Part, PartText> part = "part";
const auto part_def = amount >> spaces >> (UnitParser{} | attr(std::string()));
const auto sign = raw[char_("+-")] | attr(std::string());
const auto joint = omit[spaces >> -char_(",&") >> spaces];
const x3::rule<class Whole, QuantityText> quantity = "quantity";
const auto quantity_def = sign >> spaces >> (part % joint);
const x3::rule<class Sum, QuantityText> sum = "sum";
const auto sum_def = sign >> spaces >> (part % (joint >> omit[-lit("and") >> spaces]));
const x3::rule<class Range, RangeText> range = "range";
const auto range_def = omit[-((lit("from") | lit("between")) >> spaces)] >>
                       (quantity % omit[spaces >> (lit("to") | lit("and") | '-') >> spaces]);
BOOST_SPIRIT_DEFINE(amount, part, quantity, sum, range)
}  // namespace grammar

// No quantity is longer, and no sentence should be.
constexpr std::size_t kLongestText = 120;

Error refused(std::string sentence) { return Error(Code::argument, std::move(sentence)); }

}  // namespace

std::optional<QuantityText> divide_sum(std::string_view written) {
  if (written.size() > kLongestText) return std::nullopt;
  const std::string text = plain(written);
  if (text.find("and") == text.npos) return std::nullopt;
  QuantityText out;
  const char* first = text.data();
  const char* const last = first + text.size();
  if (!x3::parse(first, last, grammar::sum, out) || first != last) return std::nullopt;
  return out;
}

Result<RangeText> divide_quantity(std::string_view written) {
  if (written.size() > kLongestText) {
    return refused(fmt::format("the text is longer than {} characters", kLongestText));
  }
  const std::string text = plain(written);
  if (text.empty()) return refused("the text is empty");
  RangeText out;
  const char* first = text.data();
  const char* const last = first + text.size();
  if (!x3::parse(first, last, grammar::range, out)) {
    return refused("it does not begin with a number");
  }
  if (first != last) {
    return refused(fmt::format("it is not understood from \"{}\" on", std::string(first, last)));
  }
  if (out.size() > 2) return refused("it names more than two ends of a range");
  return out;
}

}  // namespace loftledger
