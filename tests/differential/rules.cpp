#include "tests/differential/rules.hpp"

#include <algorithm>
#include <cmath>
#include <initializer_list>
#include <string_view>

#include "tests/differential/matchers.hpp"

namespace loftledger::differential {

using formula::Kind;

namespace {

constexpr std::size_t kDigits = 13;  // that two ways of calculating share

bool is_one_of(const Term& call, std::initializer_list<std::string_view> names) {
  return is_one_of(call, Names(names.begin(), names.size()));
}

bool takes(const Term& call, Kind kind) {
  return std::ranges::any_of(
      call.parts, [kind](const TermPointer& argument) { return argument->node.kind == kind; });
}

bool one_cell(const Term& argument) {
  return argument.node.kind == Kind::reference && !argument.reference.range;
}

bool is_regression(const Term& call) {
  return is_one_of(call, {"LINEST", "LOGEST", "TREND", "GROWTH"});
}

bool calls(const Sample& sample, std::initializer_list<std::string_view> names) {
  return any_call(sample, [&](const Term& call) { return is_one_of(call, names); });
}

// An error written out where a function takes an argument.
bool written_error(const Sample& sample, const Value& office, const Value& engine) {
  return office.is_error() && engine.is_error() &&
         any_part(sample, [](const Term& part) { return part.node.kind == Kind::error; });
}

bool signed_truth(const Sample&, const Value& office, const Value& engine) {
  return office.kind() == Value::Kind::boolean && engine.kind() == Value::Kind::number &&
         engine.number() != 0 && engine.number() != 1;
}

bool digit(char c) { return c >= '0' && c <= '9'; }

// How many digits of a number two texts share before the first that differs.
std::size_t shared_digits(std::string_view a, std::string_view b) {
  const auto [left, right] = std::ranges::mismatch(a, b);
  // One may have ended before the other.
  const bool at_digit = (left != a.end() && digit(*left)) || (right != b.end() && digit(*right));
  std::size_t shared = 0;
  for (auto at = left; at_digit && at != a.begin() && (digit(at[-1]) || at[-1] == '.'); --at) {
    shared += digit(at[-1]) ? 1 : 0;
  }
  return shared;
}

// The same up to the thirteenth digit of a number inside.
bool last_digits(const Sample&, const Value& office, const Value& engine) {
  return office.is_text() && engine.is_text() &&
         shared_digits(office.text(), engine.text()) >= kDigits;
}

// Quantiles that the office searches for until they change little, and what it makes of them.
bool coarse_search(const Sample& sample, const Value& office, const Value& engine) {
  constexpr double kNear = 2e-7;
  constexpr std::size_t kFewDigits = 7;
  const bool texts = office.is_text() && engine.is_text();
  const bool numbers = office.is_numeric() && engine.is_numeric();
  const bool near = texts ? shared_digits(office.text(), engine.text()) >= kFewDigits
                          : numbers && std::fabs(office.number() - engine.number()) <=
                                           kNear * std::fabs(engine.number());
  return near && calls(sample, {"TINV",
                                "LEGACY.TDIST",
                                "COM.MICROSOFT.T.DIST.2T",
                                "COM.MICROSOFT.T.DIST.RT",
                                "COM.MICROSOFT.T.INV",
                                "COM.MICROSOFT.T.INV.2T",
                                "CHISQINV",
                                "COM.MICROSOFT.CHISQ.INV",
                                "COM.MICROSOFT.CHISQ.INV.RT",
                                "LEGACY.CHIINV",
                                "FINV",
                                "LEGACY.FINV",
                                "COM.MICROSOFT.F.INV",
                                "COM.MICROSOFT.F.INV.RT",
                                "GAMMAINV",
                                "COM.MICROSOFT.GAMMA.INV",
                                "BETAINV",
                                "COM.MICROSOFT.BETA.INV",
                                "FTEST",
                                "COM.MICROSOFT.F.TEST"});
}

// A wave so far out that its phase is not known to many digits.
bool far_wave(const Sample& sample, const Value& office, const Value& engine) {
  constexpr double kNear = 1e-9;
  return office.is_numeric() && engine.is_numeric() &&
         std::fabs(office.number() - engine.number()) <= kNear &&
         calls(sample, {"BESSELJ", "BESSELY"});
}

bool repeated_bounds(const Sample& sample, const Value& office, const Value& engine) {
  return !office.is_error() && !engine.is_error() && calls(sample, {"FREQUENCY"});
}

bool odd_first_period(const Sample& sample, const Value& office, const Value&) {
  return office.is_error() && calls(sample, {"ODDFPRICE", "ODDFYIELD"});
}

bool control_character(const Sample& sample, const Value& office, const Value& engine) {
  return office.is_text() && engine.is_text() && calls(sample, {"CHAR", "UNICHAR"}) &&
         std::ranges::any_of(engine.text(), [](char c) { return c >= 0 && c < ' '; });
}

bool small_chance(const Sample& sample, const Value& office, const Value& engine) {
  return office.is_numeric() && engine.is_numeric() &&
         std::fabs(office.number() - engine.number()) <= 1e-14 &&
         calls(sample,
               {"EXPONDIST", "COM.MICROSOFT.EXPON.DIST", "WEIBULL", "COM.MICROSOFT.WEIBULL.DIST",
                "ZTEST", "COM.MICROSOFT.Z.TEST", "BINOMDIST", "COM.MICROSOFT.BINOM.DIST"});
}

// A call of one of these with such a part as its first argument.
bool begins_with(const Sample& sample, std::initializer_list<std::string_view> names,
                 bool (*fits)(const Term&)) {
  return any_call(sample, [&](const Term& call) {
    return is_one_of(call, names) && !call.parts.empty() && fits(*call.parts[0]);
  });
}

bool unit_sizes(const Sample& sample, const Value& office, const Value& engine) {
  return office.is_numeric() && engine.is_numeric() && calls(sample, {"CONVERT"});
}

bool large_array(const Sample& sample, const Value&, const Value& engine) {
  return engine.code() == Code::array_size && calls(sample, {"MUNIT"});
}

bool truth_in_array(const Sample& sample, const Value& office, const Value& engine) {
  return !office.is_error() && !engine.is_error() && calls(sample, {"ISLOGICAL"});
}

bool unsigned_day(const Sample&, const Value& office, const Value& engine) {
  constexpr double kUnsigned = 4294967296.;  // 2^32
  return office.is_numeric() && engine.is_numeric() && engine.number() < 0 &&
         office.number() == engine.number() + kUnsigned;
}

bool condition_on_array(const Sample& sample, const Value&, const Value&) {
  return begins_with(sample, {"SUMIF", "AVERAGEIF"}, [](const Term& range) {
    return range.node.kind != Kind::reference && range.node.kind != Kind::name;
  });
}

bool far_tail(const Sample& sample, const Value& office, const Value& engine) {
  const bool test = calls(sample, {"ZTEST", "COM.MICROSOFT.Z.TEST"});
  const bool out = office.is_numeric() || (test && office.code() == Code::number);
  const double end = std::fabs(engine.number());
  return out && engine.is_numeric() && (test || (end == 0.5 && calls(sample, {"GAUSS"})));
}

bool sure_quantile(const Sample& sample, const Value& office, const Value& engine) {
  const bool other = office.is_numeric() || sample.term->node.kind != Kind::call;
  return other && engine.code() == Code::no_convergence &&
         calls(sample, {"FINV", "LEGACY.FINV", "COM.MICROSOFT.F.INV", "COM.MICROSOFT.F.INV.RT"});
}

// An array where a cell is due gives an array of errors there.
bool what_if_of_array(const Sample& sample, const Value& office, const Value& engine) {
  return office.is_error() && engine.is_error() && any_call(sample, [](const Term& call) {
           return is_one_of(call, {"MULTIPLE.OPERATIONS"}) && takes(call, Kind::array);
         });
}

bool nested_what_if(const Sample& sample, const Value& office, const Value& engine) {
  return office.is_numeric() && engine.is_numeric() && calls(sample, {"MULTIPLE.OPERATIONS"});
}

// Both refuse.
bool without_pivot(const Sample& sample, const Value& office, const Value& engine) {
  return office.is_error() && engine.is_error() && calls(sample, {"GETPIVOTDATA"});
}

// A call that takes a single cell where an array is due.
bool cell_as_array(const Sample& sample, const Value& office, const Value& engine) {
  return office.is_numeric() && engine.is_error() && begins_with(sample, {"MMULT"}, one_cell);
}

bool link_in_array(const Sample& sample, const Value& office, const Value& engine) {
  const bool inside = sample.matrix || sample.term->node.kind != Kind::call ||
                      sample.term->node.text != "HYPERLINK";
  return inside && calls(sample, {"HYPERLINK"}) && !(office.is_numeric() && engine.is_numeric());
}

bool beyond_53_bits(const Sample& sample, const Value& office, const Value& engine) {
  return office.is_text() && engine.is_text() && office.text().size() == engine.text().size() &&
         calls(sample, {"BASE"});
}

bool power_of_text(const Sample& sample, const Value& office, const Value& engine) {
  return office.code() == Code::number && engine.is_error() && calls(sample, {"POWER"});
}

// A moment that a file gives to the hundredth of a second.
bool moment_in_file(const Sample& sample, const Value& office, const Value& engine) {
  constexpr double kHundredths = 24. * 3600 * 100;  // of a day
  if (!office.is_numeric() || !engine.is_numeric()) return false;
  const double shown = office.number() * kHundredths;
  return std::fabs(office.number() - engine.number()) <= 0.51 / kHundredths &&
         std::fabs(shown - std::round(shown)) < 0.01 && sample.term->node.kind != Kind::call;
}

bool no_date_for_file(const Sample&, const Value& office, const Value& engine) {
  constexpr double kFirstOfAll = -693990;  // 0000-00-00, as it were
  return office.is_numeric() && office.number() == kFirstOfAll && engine.is_numeric() &&
         engine.number() != kFirstOfAll;
}

bool number_as_text(const Sample& sample, const Value&, const Value& engine) {
  return engine.is_numeric() && begins_with(sample, {"NUMBERVALUE"}, [](const Term& first) {
           return first.node.kind != Kind::text && first.node.kind != Kind::number;
         });
}

bool far_out(const Sample& sample, const Value& office, const Value& engine) {
  constexpr double kFar = 1e6;
  const bool at_end = engine.is_numeric() && (engine.number() == 0 || engine.number() == 1 ||
                                              std::fabs(engine.number()) > kFar);
  return office.code() == Code::no_convergence && at_end &&
         calls(sample,
               {"GAMMADIST", "COM.MICROSOFT.GAMMA.DIST", "COM.MICROSOFT.GAMMA.INV", "GAMMAINV",
                "CHISQDIST", "COM.MICROSOFT.CHISQ.DIST", "COM.MICROSOFT.CHISQ.DIST.RT",
                "LEGACY.CHIDIST", "CHISQINV", "COM.MICROSOFT.CHISQ.INV",
                "COM.MICROSOFT.CHISQ.INV.RT", "LEGACY.CHIINV", "POISSON"});
}

// A text as the code of a number format that holds digits, or letters that mean nothing there.
bool no_format(const Sample& sample, const Value&, const Value&) {
  return any_call(sample, [](const Term& call) {
    if (call.node.text != "TEXT" || call.parts.size() != 2) return false;
    const formula::Node& code = call.parts[1]->node;
    return code.kind != Kind::text ||
           code.text.find_first_of("123456789NoOKix'[") != code.text.npos ||
           code.text.find("AAA") != code.text.npos || code.text.find("TRUE") != code.text.npos;
  });
}

bool divisor_of_array(const Sample& sample, const Value& office, const Value& engine) {
  const bool numbers = office.is_numeric() && engine.is_numeric();
  return (numbers || engine.code() == Code::argument) && any_call(sample, [](const Term& call) {
           return is_one_of(call, {"GCD", "LCM"}) && takes(call, Kind::array);
         });
}

bool divisor_of_errors(const Sample& sample, const Value& office, const Value& engine) {
  return office.code() == Code::argument && engine.is_error() &&
         any_call(sample, [](const Term& call) {
           return is_one_of(call, {"GCD", "LCM"}) &&
                  (takes(call, Kind::reference) || takes(call, Kind::name));
         });
}

bool sum_of_errors(const Sample& sample, const Value& office, const Value& engine) {
  return office.is_error() && engine.is_error() &&
         begins_with(sample, {"COM.MICROSOFT.AGGREGATE"}, [](const Term& number) {
           return number.node.kind == Kind::number && number.node.number == 9;
         });
}

bool array_of_cases(const Sample& sample, const Value& office, const Value& engine) {
  return office.is_error() && engine.is_error() && any_call(sample, [](const Term& call) {
           return is_one_of(call, {"COM.MICROSOFT.SWITCH"}) && takes(call, Kind::array);
         });
}

bool unsigned_periods(const Sample& sample, const Value& office, const Value& engine) {
  return office.is_numeric() && engine.is_numeric() && engine.number() == 0 &&
         calls(sample, {"AMORLINC"});
}

bool unused_columns(const Sample& sample, const Value& office, const Value& engine) {
  return office.is_numeric() && engine.is_numeric() && engine.number() != office.number() &&
         calls(sample, {"COUNTIF", "COUNTIFS", "COUNTBLANK"});
}

// A regression for each element of an option.
bool options_in_array(const Sample& sample, const Value&, const Value&) {
  return any_call(sample, [&](const Term& call) {
    if (!is_regression(call)) return false;
    for (std::size_t i = 2; i < call.parts.size(); ++i) {
      const Term& option = *call.parts[i];
      const bool range = option.node.kind == Kind::name ||
                         (option.node.kind == Kind::reference && option.reference.range);
      if (option.node.kind == Kind::array || (range && sample.matrix)) return true;
    }
    return false;
  });
}

bool beyond_doubles(const Sample& sample, const Value& office, const Value& engine) {
  return (office.is_numeric() || office.code() == Code::number || engine.is_numeric()) &&
         any_part(sample, [](const Term& part) {
           return part.node.text.find("1E400") != std::string::npos;
         });
}

bool array_of_texts(const Sample& sample, const Value& office, const Value& engine) {
  return office.is_numeric() && engine.is_numeric() && any_call(sample, [](const Term& call) {
           return is_one_of(call, {"MIN", "MAX"}) && takes(call, Kind::array);
         });
}

bool power_of_one(const Sample& sample, const Value& office, const Value& engine) {
  const bool other = office.code() == Code::number || (office.is_numeric() && office.number() == 1);
  return other && engine.is_error() && sample.term->node.op == formula::Operator::power;
}

// The page of what-if cells goes round in a circle where it is calculated from within.
bool circle(const Sample&, const Value& office, const Value& engine) {
  return office.code() == Code::circular && engine.code() != Code::circular;
}

// Constants that the office has changed where another row of the run used them.
bool changed_constants(const Sample& sample, const Value&, const Value&) {
  return sample.rows > 1 && any_call(sample, [](const Term& call) {
           return is_regression(call) && takes(call, Kind::array);
         });
}

bool unit_of_array(const Sample& sample, const Value& office, const Value& engine) {
  return sample.matrix && office.is_numeric() && engine.is_numeric() && calls(sample, {"MUNIT"});
}

bool half_character(const Sample& sample, const Value&, const Value&) {
  return calls(sample, {"LEFTB", "RIGHTB", "MIDB"}) && calls(sample, {"UNICHAR"});
}

// Days so far on that their year does not fit into a file's date.
bool far_date(const Sample& sample, const Value& office, const Value& engine) {
  constexpr double kLastDay = 11'942'000;
  constexpr double kFirstDay = -693'960;
  const bool far = std::fabs(engine.number()) > kLastDay || engine.number() < kFirstDay;
  return office.is_numeric() && far && sample.term->node.kind != Kind::call;
}

bool regression_of_cells(const Sample& sample, const Value&, const Value& engine) {
  return engine.is_error() && any_call(sample, [](const Term& call) {
           return is_regression(call) &&
                  std::ranges::any_of(call.parts, [](const TermPointer& argument) {
                    return one_cell(*argument) || argument->node.kind == Kind::name;
                  });
         });
}

bool is_areas(const Term& part) {
  if (part.node.kind == Kind::group) return is_areas(*part.parts[0]);
  return part.node.op == formula::Operator::joined && part.node.kind == Kind::infix;
}

bool areas_as_value(const Sample& sample, const Value& office, const Value& engine) {
  return office.is_error() && engine.is_error() && any_call(sample, [](const Term& call) {
           return is_one_of(call, {"COM.MICROSOFT.T.TEST"}) && call.parts.size() == 4 &&
                  (is_areas(*call.parts[2]) || is_areas(*call.parts[3]));
         });
}

bool range_beside_loop(const Sample& sample, const Value&, const Value& engine) {
  return engine.code() == Code::value && any_part(sample, [](const Term& part) {
           return part.node.kind == Kind::infix && part.node.op == formula::Operator::concatenate &&
                  part.parts[1]->node.kind == Kind::call;
         });
// Room as wide as a character.
bool room(const Sample& sample, const Value& office, const Value& engine) {
  const auto squeezed = [](std::string_view text) {
    std::string out;
    for (const char c : text) {
      if (c != ' ' || !out.ends_with(' ')) out += c;
    }
    return out;
  };
  return calls(sample, {"TEXT"}) && office.is_text() && engine.is_text() &&
         squeezed(office.text()) == squeezed(engine.text());
}

constexpr Rule kRules[] = {
    {"areas as a value",
     "T.TEST of several areas where a number is due: Err:504, or Err:502 where there is more to "
     "refuse.",
     areas_as_value},
    {"range beside a loop",
     "A range is no value outside of its rows, but the office makes one of it for & where what "
     "stands behind is gone over element by element.",
     range_beside_loop},
    {"written error",
     "An error written out as an argument or operand shows as it is; the office answers it with "
     "Err:504, Err:502 or another by what takes it.",
     written_error},
    {"signed truth",
     "The office keeps the format of a truth for -TRUE() and the like, and a file that says "
     "\"true\" "
     "or \"false\" does not hold the number.",
     signed_truth},
    {"last digits in a text",
     "Two ways of calculating differ in the last digits, which a text shows.", last_digits},
    {"far wave", "Bessel functions far out are waves, whose phase takes the last digits of x.",
     far_wave},
    {"repeated bounds",
     "Which of several equal bounds of FREQUENCY gets the numbers depends on how the office "
     "happens to sort them.",
     repeated_bounds},
    {"coarse search",
     "The office ends its search for a quantile, and its series for the t and F distributions, "
     "before the last digits are found.",
     coarse_search},
    {"odd first period",
     "The office has no odd first period: it answers ODDFPRICE and ODDFYIELD with an error.",
     odd_first_period},
    {"control character",
     "An XML file cannot hold these characters, and the office leaves them out.",
     control_character},
    {"no pivot table",
     "No pivot table is there to be read; how far the office reads the arguments differs.",
     without_pivot},
    {"cell as array", "The office takes a single cell with an error for 0 in MMULT.",
     cell_as_array},
    {"link in an array",
     "In the office a link is always an array of its text and its address, also where it is used "
     "as a value.",
     link_in_array},
    {"beyond 53 bits", "BASE of more than 2^53 goes on dividing what is rounded.", beyond_53_bits},
    {"power of a text",
     "POWER over an array lets texts through to where the power fails, as the operator does; the "
     "engine refuses them.",
     power_of_text},
    {"moment in a file", "The office writes a moment to the hundredth of a second.",
     moment_in_file},
    {"no date for a file", "The office writes a date beyond its calendar as the year 0.",
     no_date_for_file},
    {"number as text",
     "NUMBERVALUE of a cell with a number reads what the cell's text would be, whose point is no "
     "separator then.",
     number_as_text},
    {"far out", "The office's series for the gamma distribution do not end far out; ours do.",
     far_out},
    {"no format",
     "TEXT with a code that is no number format, digits or words: the office takes some of the "
     "letters for dates and drops others.",
     no_format},
    {"divisor of an array",
     "GCD and LCM of an inline array with texts or negative numbers are refused here, and "
     "fractions cut by GCD; the office leaves some of them out.",
     divisor_of_array},
    {"divisor of errors",
     "GCD and LCM of a range with an error first go by whatever number the office read before.",
     divisor_of_errors},
    {"sum of errors",
     "Of several errors AGGREGATE of a sum shows the first or the last in the office, by what "
     "stands between them.",
     sum_of_errors},
    {"array of cases",
     "An array among the cases of SWITCH ends the formula in the office with the error of its "
     "first element.",
     array_of_cases},
    {"unsigned periods",
     "AMORLINC counts periods without a sign in the office, and writes off "
     "what is written off already.",
     unsigned_periods},
    {"unused columns",
     "The office does not count the empty cells of columns beyond the last one in use.",
     unused_columns},
    {"beyond doubles",
     "The office reads a text beyond all numbers as the largest one, whatever its sign.",
     beyond_doubles},
    {"array of texts", "MIN and MAX take an array without numbers for 0 in the office.",
     array_of_texts},
    {"power of one", "In the office 1 to the power of an error is 1 among arrays.", power_of_one},
    {"circle",
     "A cell of MULTIPLE.OPERATIONS that is asked for while it is calculated is a circle "
     "in the office.",
     circle},
    {"changed constants",
     "A regression of an inline array changes it in the office, and the next row of the run goes "
     "on with what it has become.",
     changed_constants},
    {"unit of an array", "MUNIT of an array is an array of arrays in the office.", unit_of_array},
    {"half a character", "No file holds half a character, which the office can compare.",
     half_character},
    {"room of a character",
     "Room in a format code (_x) is one space in the engine; in the office as many as a table of "
     "widths says.",
     room},
    {"far date",
     "The office writes a sum of dates as a date, whose year a file keeps in 16 bits and without a "
     "year 0.",
     far_date},
    {"options in an array",
     "Where a regression is done for each element of an option, the office goes on with series "
     "that the ones before have changed.",
     options_in_array},
    {"regression of cells", "The office takes a single cell in error for 0 where series are due.",
     regression_of_cells},
    {"large array", "The engine refuses an array of more than 4,096 rows.", large_array},
    {"truth in an array",
     "A comparison over arrays yields truth values here, so that a matrix formula shows them; the "
     "office holds numbers in between, and takes -TRUE() for a truth value.",
     truth_in_array},
    {"unsigned day", "The office shows a day before its first one as 2^32 more.", unsigned_day},
    {"condition on an array",
     "The office looks for the cells to total of an inline array beside its memory.",
     condition_on_array},
    {"far tail", "The office's series for GAUSS leaves all bounds far out.", far_tail},
    {"sure quantile",
     "The office shows where its search ended for the quantile of 1, which is none.",
     sure_quantile},
    {"what-if of an array",
     "An array as an argument of MULTIPLE.OPERATIONS makes it an array of errors in the office, "
     "which ends no formula.",
     what_if_of_array},
    {"what-if in a what-if",
     "In the office what MULTIPLE.OPERATIONS shows over a cell that calls it depends on which of "
     "them was calculated first.",
     nested_what_if},
    {"sizes of units",
     "The office reckons with sizes of units that are rounded, or those of other units.",
     unit_sizes},
    {"tiny probability", "The office takes 1 minus nearly 1 and keeps no digits; the engine does.",
     small_chance},
};

}  // namespace

std::span<const Rule> rules() { return kRules; }

}  // namespace loftledger::differential
