// What the standard functions are built of: reading and writing numbers, dates, format codes,
// search criteria, patterns, the order of texts. Values "as the office answers" are those of
// LibreOffice Calc 7.4.7, asked with these very formulas.
#include <gtest/gtest.h>

#include <cmath>
#include <map>
#include <random>

#include "engine/format/calendar.hpp"
#include "engine/format/general.hpp"
#include "engine/format/number_format.hpp"
#include "engine/standard/call/criteria.hpp"
#include "engine/standard/values/collation.hpp"
#include "engine/standard/values/pattern.hpp"
#include "engine/standard/values/text_number.hpp"
#include "engine/standard/values/unicode.hpp"

namespace loftledger::standard {
namespace {

// --- Numbers and texts

TEST(GeneralText, HasAtMostFifteenDigits) {
  EXPECT_EQ(general_text(1.0 / 3), "0.333333333333333");
  EXPECT_EQ(general_text(0.1 + 0.2), "0.3");
  EXPECT_EQ(general_text(-2.5), "-2.5");
  EXPECT_EQ(general_text(-0.0), "0");
  // Halves go up in the number as it is read, not in the binary one.
  EXPECT_EQ(general_text(-38770721772.93935), "-38770721772.9394");
  EXPECT_EQ(general_text(130694779389863.5), "130694779389864");
}

TEST(GeneralText, TurnsToPowersOfTenAsTheOfficeDoes) {
  EXPECT_EQ(general_text(1e15), "1000000000000000");
  EXPECT_EQ(general_text(1234567890123456.0), "1234567890123456");
  EXPECT_EQ(general_text(9999999999999999.0), "1E+016");
  EXPECT_EQ(general_text(1e-14), "0.00000000000001");
  EXPECT_EQ(general_text(1e-15), "1E-015");
  EXPECT_EQ(general_text(5.94293982862409e-11), "0.00000000005942939829");
}

TEST(GeneralText, ReadsBackToTwelveDigits) {
  const sheet::Settings settings;
  std::mt19937_64 random(20240517);
  std::uniform_real_distribution<double> mantissa(-10, 10);
  std::uniform_int_distribution<int> exponent(-7, 250);
  for (int i = 0; i < 5000; ++i) {
    const double number = mantissa(random) * std::pow(10.0, exponent(random));
    const auto read = read_typed(general_text(number), settings);
    ASSERT_TRUE(read) << number;
    EXPECT_NEAR(read->value / number, 1, 1e-12) << number;
  }
}

TEST(FixedText, RoundsWhatAPersonSees) {
  EXPECT_EQ(fixed_text(1.005, 2), "1.01");
  EXPECT_EQ(fixed_text(2.5, 0), "3");
  EXPECT_EQ(fixed_text(0.06, 1), "0.1");
  EXPECT_EQ(fixed_text(0.04, 1), "0.0");
  EXPECT_EQ(fixed_text(-0.04, 1), "0.0");
  EXPECT_EQ(fixed_text(99.995, 2), "100.00");
  EXPECT_EQ(fixed_text(1e20, 1), "100000000000000000000.0");
}

struct Typed {
  const char* text;
  double value;
};

TEST(ReadTyped, ReadsWhatTheOfficeReads) {
  const Typed kRead[] = {
      {"1,234.5", 1234.5},
      {"1234,567", 1234567},
      {"( $5 )", -5},
      {"5-$", -5},
      {"- $ 5", -5},
      {"5. %", 0.05},
      {"1e + 5", 100000},
      {"-1 1/2", -1.5},
      {"tRUE", 1},
      {"2020-1-2", 43832},
      {"20-01-02", 43832},
      {"1/2/20", 43832},
      {"1/2/30", 10960},
      {"10/4/1582", -115859},
      {"10/15/1582", -115858},
      {"Sept 5, 2020", 44079},
      {"Monday, January 6, 2020", 43836},
      {"5-Jan-20", 43835},
      {"32-Jan-05", 11693},
      {"Jan 2020", 43831},
      {"100:00", 100.0 / 24},
      {"1:30.5", 90.5 / 86400},
      {"1 PM", 13.0 / 24},
      {"2020-01-02T12:30", 43832 + 12.5 / 24},
      {"1/2/2020 25:00", 43833 + 1.0 / 24},
  };
  const sheet::Settings settings;
  for (const Typed& each : kRead) {
    const auto read = read_typed(each.text, settings);
    ASSERT_TRUE(read) << each.text;
    EXPECT_NEAR(read->value, each.value, 1e-9) << each.text;
  }
}

TEST(ReadTyped, RefusesWhatTheOfficeRefuses) {
  const char* const kRefused[] = {
      "",           " ",          "1,23",           "--5",        "(-5)",     "5%-",
      "5%%",        "1E",         "13/14",          "2/30/2020",  "1-2-2020", "1.2.2020",
      "5 Jan 2020", "JAN 5,2020", "13:00 PM",       "12:60",      "2020-01",  "10/10/1582",
      "1 2",        "$5%",        "12:30 1/2/2020", "2020/01/02", "inf",      "0x10",
      "1d",         "Jan 5-2020", "$5 1/2",         "-1/2/2020"};
  const sheet::Settings settings;
  for (const char* text : kRefused) EXPECT_FALSE(read_typed(text, settings)) << text;
}

TEST(ReadTyped, FollowsTheDocumentsDates) {
  sheet::Settings settings;
  settings.null_date = -24107;  // 1904-01-01
  settings.null_year = 1950;
  settings.this_year = 2031;
  EXPECT_EQ(read_typed("1904-01-02", settings)->value, 1);
  EXPECT_EQ(read_typed("1/1/49", settings)->value, read_typed("2049-01-01", settings)->value);
  EXPECT_EQ(read_typed("1/1/50", settings)->value, read_typed("1950-01-01", settings)->value);
  EXPECT_EQ(read_typed("3/4", settings)->value, read_typed("2031-03-04", settings)->value);
}

// --- Dates

TEST(Calendar, CountsEveryDayOnce) {
  std::int64_t days = days_of({1, 1, 1});
  EXPECT_EQ(days, -719162);  // derived here: 719162 days lie before 1970-01-01
  for (; days < days_of({2500, 1, 1}); ++days) {
    const Date date = date_of(days);
    ASSERT_EQ(days_of(date), days);
    const Date next = date_of(days + 1);
    if (next.day != date.day + 1) {
      ASSERT_EQ(next.day, 1);
      ASSERT_EQ(date.day, days_in_month(date.year, date.month));
    }
  }
}

TEST(Calendar, LeavesOutTheTenDaysOfTheReform) {
  const std::int64_t last = historic_days_of({1582, 10, 4}).value();
  EXPECT_EQ(historic_days_of({1582, 10, 15}), last + 1);
  EXPECT_FALSE(historic_days_of({1582, 10, 5}));
  EXPECT_FALSE(historic_days_of({1582, 10, 14}));
  EXPECT_TRUE(historic_days_of({1500, 2, 29}));  // a leap year in the old calendar only
  EXPECT_FALSE(historic_days_of({1700, 2, 29}));
  for (std::int64_t day = last - 800000; day < last + 1000; ++day) {
    ASSERT_EQ(historic_days_of(historic_date_of(day)), day);
  }
}

TEST(Calendar, NumbersWeeks) {
  constexpr std::int32_t kMonday = 0;
  constexpr std::int32_t kSunday = 6;
  // ISO 8601: week 1 has the year's first Thursday.
  EXPECT_EQ(week_of_year(days_of({2021, 1, 3}), kMonday, true), 53);
  EXPECT_EQ(week_of_year(days_of({2021, 1, 4}), kMonday, true), 1);
  EXPECT_EQ(week_of_year(days_of({2018, 12, 31}), kMonday, true), 1);
  EXPECT_EQ(week_of_year(days_of({2020, 12, 31}), kSunday, false), 1);
  EXPECT_EQ(week_of_year(days_of({2011, 12, 31}), kSunday, false), 53);
}

TEST(Calendar, KeepsSecondsFromRoundingUp) {
  EXPECT_EQ(seconds_of_day(0.5), 43200);
  EXPECT_EQ(seconds_of_day(43831.041666666664), 3600);
  EXPECT_EQ(seconds_of_day(-0.25), 64800);
  EXPECT_LT(seconds_of_day(0.99999999999999), 86400);
}

// --- Format codes

std::string shown_as(double number, const char* code) {
  const auto format = NumberFormat::read(code);
  return format ? format->format(number, sheet::Settings().null_date).value_or("#FMT") : "no code";
}

TEST(NumberFormat, ShowsSectionsByTheirConditions) {
  EXPECT_EQ(shown_as(5, "[<10]\"low\";[<100]\"mid\";\"high\""), "low");
  EXPECT_EQ(shown_as(50, "[<10]\"low\";[<100]\"mid\";\"high\""), "mid");
  EXPECT_EQ(shown_as(500, "[<10]\"low\";[<100]\"mid\";\"high\""), "high");
  EXPECT_EQ(shown_as(-5, "0;(0)"), "(5)");
  EXPECT_EQ(shown_as(-0.001, "0.00"), "0.00");
}

TEST(NumberFormat, RefusesWhatIsNoCode) {
  for (const char* code : {"0 kg", "0E", "[x]0", "0 yyyy", "#h", "d.0", "/0", "0*", "# ?/?%"}) {
    EXPECT_FALSE(NumberFormat::read(code)) << code;
  }
}

TEST(NumberFormat, FindsTheBestFraction) {
  // No fraction with so small a divisor lies nearer.
  std::mt19937 random(7);
  std::uniform_real_distribution<double> share(0, 1);
  for (int i = 0; i < 500; ++i) {
    const double number = share(random);
    double least = 1;
    for (int below = 1; below <= 99; ++below) {
      least = std::min(least, std::fabs(std::round(number * below) / below - number));
    }
    const std::string text = shown_as(number, "?/??");
    const std::size_t slash = text.find('/');
    const double found = std::stod(text.substr(0, slash)) / std::stod(text.substr(slash + 1));
    EXPECT_NEAR(std::fabs(found - number), least, 1e-12) << number << ": " << text;
  }
}

// --- Patterns and criteria

TEST(Pattern, MatchesWildcards) {
  const auto matches = [](const char* pattern, const char* text) {
    return Pattern::make(pattern, Search::wildcards, false)->matches(text, true);
  };
  EXPECT_TRUE(matches("b*e", "Bale"));
  EXPECT_TRUE(matches("b??e", "bale"));
  EXPECT_FALSE(matches("b?e", "bale"));
  EXPECT_TRUE(matches("5~*", "5*"));
  EXPECT_FALSE(matches("5~*", "5x"));
  EXPECT_TRUE(matches("?", "é"));
  EXPECT_TRUE(matches("*", ""));
  EXPECT_TRUE(matches("*a*b*", "xxaxxbxx"));
  EXPECT_FALSE(matches("*a*b*", "xxbxxaxx"));
}

TEST(Pattern, TakesNoTimeForManyStars) {
  const std::string text(20000, 'a');
  const auto pattern = Pattern::make("*a*a*a*a*a*a*a*a*b", Search::wildcards, false);
  EXPECT_FALSE(pattern->matches(text, true));
}

TEST(Pattern, GivesUpOnExpressionsThatTakeForever) {
  const std::string text(40, 'a');
  bool gave_up = false;
  EXPECT_FALSE(Pattern::expression("^(a|aa|aaa)+$(?<!a)")->find(text, 0, &gave_up));
  EXPECT_TRUE(gave_up);
}

bool finds(const Value& criterion, const Value& cell, const sheet::Settings& settings) {
  return Criterion::read(criterion, settings).matches(cell);
}

TEST(Criterion, TellsEmptyCellsFromEmptyTexts) {
  const sheet::Settings settings;
  EXPECT_TRUE(finds("", Value(), settings));
  EXPECT_TRUE(finds("", "", settings));
  EXPECT_TRUE(finds("=", Value(), settings));
  EXPECT_FALSE(finds("=", "", settings));
  EXPECT_FALSE(finds("<>", Value(), settings));
  EXPECT_TRUE(finds("<>", "", settings));
  EXPECT_FALSE(finds(Value(), Value(), settings));
  EXPECT_TRUE(finds(Value(), 0.0, settings));
}

TEST(Criterion, LooksForNumbersAndTheSameTexts) {
  const sheet::Settings settings;
  EXPECT_TRUE(finds(1.0, 1.0, settings));
  EXPECT_FALSE(finds(1.0, "1", settings));
  EXPECT_TRUE(finds("1", "1", settings));
  EXPECT_TRUE(finds("50%", 0.5, settings));
  EXPECT_FALSE(finds("50%", "0.5", settings));
  EXPECT_TRUE(finds("2020-01-05", 43835.0, settings));
  EXPECT_TRUE(finds(0.1 + 0.2, 0.3, settings));
  EXPECT_FALSE(finds("<2", "1", settings));
  EXPECT_TRUE(finds(">a", "B", settings));
  EXPECT_FALSE(finds(">a", 5.0, settings));
  EXPECT_TRUE(finds("#DIV/0!", Code::division, settings));
}

TEST(Criterion, FollowsTheDocumentsSettings) {
  sheet::Settings regular;
  EXPECT_TRUE(finds("a.c", "ABC", regular));
  EXPECT_FALSE(finds("b", "abc", regular));
  EXPECT_FALSE(finds("abc|abcd", "abcd", regular));  // the first match is not all of it
  EXPECT_FALSE(finds("(a", "(a", regular));

  sheet::Settings parts;
  parts.regular_expressions = false;
  parts.whole_cell = false;
  EXPECT_TRUE(finds("b", "ABC", parts));
  EXPECT_FALSE(finds("a.c", "abc", parts));
  EXPECT_TRUE(finds("2", "A2", parts));
  EXPECT_FALSE(finds("", "", parts));

  sheet::Settings wild;
  wild.wildcards = true;
  EXPECT_TRUE(finds("a*", "abc", wild));
  EXPECT_FALSE(finds("<>a*", "abc", wild));
  EXPECT_TRUE(finds("1*", 12.0, wild));
}

// --- Texts

TEST(Collation, OrdersAsADictionary) {
  // The root order of the Unicode collation (CLDR 42), as ICU 72 sorts these.
  const char* const kOrder[] = {" a", "_a", "-a", ",a",  ".a", "'a", "(a", "@a", "*a", "/a", "#a",
                                "%a", "+a", "<a", "|a",  "$a", "1",  "10", "9",  "a",  "A",  "á",
                                "à",  "ä",  "ab", "a b", "ad", "æ",  "af", "B",  "ç",  "d",  "đ",
                                "e",  "é",  "f",  "ß",   "st", "z",  "α",  "я"};
  // "a b" lies before "ab": the space counts.
  std::vector<std::string> order(std::begin(kOrder), std::end(kOrder));
  std::swap(order[24], order[25]);
  for (std::size_t i = 1; i < order.size(); ++i) {
    EXPECT_TRUE(compare_texts(order[i - 1], order[i], true) < 0)
        << order[i - 1] << " before " << order[i];
  }
}

TEST(Collation, ForgetsTheCaseButNotTheAccent) {
  EXPECT_TRUE(compare_texts("bale", "BALE", false) == 0);
  EXPECT_TRUE(compare_texts("été", "ÉTÉ", false) == 0);
  EXPECT_TRUE(compare_texts("e", "é", false) < 0);
  EXPECT_TRUE(compare_texts("ß", "ss", false) != 0);
  EXPECT_TRUE(compare_texts("a", "A", true) < 0);
  EXPECT_TRUE(compare_texts("aB", "Ab", true) < 0);
}

TEST(Unicode, TurnsCaseThereAndBack) {
  EXPECT_EQ(upper_case("straße ǆ ω ς я"), "STRAẞE Ǆ Ω Σ Я");
  EXPECT_EQ(lower_case("ΑΣ ΑΣΑ Я"), "ας ασα я");
  // Letters of a title and signs that are letters: their small letter has another capital
  // (UnicodeData.txt, fields 12 and 13).
  const std::map<char32_t, char32_t> elsewhere = {
      {0x1C5, 0x1C4}, {0x1C8, 0x1C7},  {0x1CB, 0x1CA}, {0x1F2, 0x1F1},
      {0x3F4, 0x398}, {0x2126, 0x3A9}, {0x212A, 0x4B}, {0x212B, 0xC5},
  };
  for (char32_t point = 0; point < 0x3000; ++point) {
    const char32_t small = lower(point);
    if (small == point) continue;
    const auto other = elsewhere.find(point);
    EXPECT_EQ(upper(small), other == elsewhere.end() ? point : other->second)
        << static_cast<std::uint32_t>(point);
  }
}

TEST(Unicode, CountsCodePoints) {
  EXPECT_EQ(length("a😀bé"), 4U);
  EXPECT_EQ(slice("a😀bé", 1, 2), "😀b");
  EXPECT_EQ(slice("abc", 5, 2), "");
  const std::string all = "a\u00e9\u20ac\U0001F600";
  std::string copy;
  for (std::size_t i = 0; i < all.size();) append(copy, decode(all, i));
  EXPECT_EQ(copy, all);
}

}  // namespace
}  // namespace loftledger::standard
