#include "engine/base/quantity.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <random>
#include <set>

namespace loftledger {
namespace {

// The text as a number in the unit; "(error) ..." goes to the test's output.
double in(std::string_view text, std::string_view unit, Marks marks = Marks::either,
          DueDimension due = std::nullopt) {
  Result<Measured> m = parse_quantity(text, marks, due);
  if (!m) {
    ADD_FAILURE() << text << ": " << m.error().text();
    return -1;
  }
  const Unit* to = find_unit(unit);
  if (to == nullptr || m->unit == nullptr || to->dimension != m->unit->dimension) {
    ADD_FAILURE() << text << " in " << unit;
    return -1;
  }
  return convert(m->value, *m->unit, *to);
}

double bare(std::string_view text, Marks marks = Marks::either) {
  Result<Measured> m = parse_quantity(text, marks);
  if (!m) {
    ADD_FAILURE() << text << ": " << m.error().text();
    return -1;
  }
  EXPECT_EQ(m->unit, nullptr) << text;
  return m->value;
}

std::string complaint(std::string_view text, Marks marks = Marks::either,
                      DueDimension due = std::nullopt) {
  Result<Measured> m = parse_quantity(text, marks, due);
  return m ? "none; it is " + std::to_string(m->value) : std::string(m.error().text());
}

TEST(Units, EverySpellingIsFoundAndIsListedOnce) {
  std::set<std::string_view> seen;
  for (const Unit& unit : units()) {
    EXPECT_TRUE(seen.insert(unit.symbol).second) << unit.symbol;
    const Unit* found = find_unit(unit.symbol);
    ASSERT_NE(found, nullptr) << unit.symbol;
    EXPECT_EQ(found->dimension, unit.dimension) << unit.symbol;
    EXPECT_EQ(found->size, unit.size) << unit.symbol;
    EXPECT_GT(unit.size, 0);
    EXPECT_EQ(in("3 " + std::string(unit.symbol), unit.symbol), 3) << unit.symbol;
    EXPECT_EQ(in("3" + std::string(unit.symbol), unit.symbol), 3) << unit.symbol;
  }
}

TEST(Units, EveryMeasuredDimensionHasItsOwnUnitInTheTable) {
  for (int i = 0; i <= static_cast<int>(Dimension::rate); ++i) {
    const auto dimension = static_cast<Dimension>(i);
    EXPECT_EQ(info(dimension).dimension, dimension);
    EXPECT_FALSE(info(dimension).name.empty());
    if (!measured(dimension)) continue;
    const Unit* own = find_unit(info(dimension).unit);
    ASSERT_NE(own, nullptr) << info(dimension).name;
    EXPECT_EQ(own->dimension, dimension);
    EXPECT_EQ(own->symbol, info(dimension).unit);
  }
  EXPECT_FALSE(measured(Dimension::money));
  EXPECT_FALSE(measured(Dimension::rate));
  EXPECT_TRUE(measured(Dimension::mass));
  EXPECT_TRUE(measured(Dimension::power));
}

TEST(Units, CaseCountsOnlyWhereItTellsUnitsApart) {
  for (const char* spelling :
       {"KG", "Kg", "kgs", "LB", "Lbs", "lb.", "OZ", "M3", "m^3", "Cu. Ft.", "FT3", "ft^3", "Litre",
        "kg / m3", "kg per m³", "Min", "MM", "MPA"}) {
    EXPECT_NE(find_unit(spelling), nullptr) << spelling;
  }
  for (const char* spelling : {"Mg", "Mm", "Ml", "M", "mPa", "mpa", "", "kgg", "furlong", "m4",
                               "kg/", "/kg", "\xff\xfe", "t o", "ton"}) {
    EXPECT_EQ(find_unit(spelling), nullptr) << spelling;
  }
}

TEST(Convert, IsExactWhereTheDefinitionsAre) {
  EXPECT_EQ(in("10 kg", "g"), 10000);
  EXPECT_EQ(in("1 lb", "g"), 453.59237);     // 1959 agreement
  EXPECT_EQ(in("1 oz", "g"), 28.349523125);  // lb/16
  EXPECT_EQ(in("1 in", "cm"), 2.54);
  EXPECT_EQ(in("1 ft", "m"), 0.3048);
  EXPECT_EQ(in("1 ft3", "L"), 28.316846592);  // 0.3048³ m³
  EXPECT_EQ(in("1 in³", "mL"), 16.387064);    // 2.54³ cm³
  EXPECT_EQ(in("1 gal", "L"), 3.785411784);   // 231 in³
  EXPECT_EQ(in("1 short ton", "kg"), 907.18474);
  EXPECT_EQ(in("28 lb", "oz"), 448);
  EXPECT_EQ(in("9 den", "tex"), 1);
  EXPECT_EQ(in("1 day", "h"), 24);
  EXPECT_EQ(in("1 g/L", "kg/m³"), 1);
  EXPECT_EQ(in("4 %", "%"), 4);
  EXPECT_EQ(in("5000 cm³/kg", "L/kg"), 5);
}

TEST(Convert, ThereAndBackIsTheSameNumber) {
  std::mt19937_64 random(7);
  std::uniform_real_distribution<double> any(0.001, 10000);
  for (const Unit& from : units()) {
    for (const Unit& to : units()) {
      if (from.dimension != to.dimension) continue;
      const double value = any(random);
      EXPECT_NEAR(convert(convert(value, from, to), to, from) / value, 1, 3e-16)
          << from.symbol << " " << to.symbol;
    }
  }
}

TEST(Quantity, ReadsHowPeopleWrite) {
  EXPECT_EQ(in("12,5 kg", "kg"), 12.5);
  EXPECT_EQ(in("12.5kg", "kg"), 12.5);
  EXPECT_EQ(in("1 1/4 in", "in"), 1.25);
  EXPECT_EQ(in("1-1/4 in", "in"), 1.25);
  EXPECT_EQ(in("1\u20111/4 in", "in"), 1.25);  // non-breaking hyphen
  EXPECT_EQ(in("1 1\u20444\"", "in"), 1.25);   // fraction slash, inch mark
  EXPECT_EQ(in("5½ oz", "oz"), 5.5);
  EXPECT_EQ(in("½ lb", "oz"), 8);
  EXPECT_EQ(in("3 ⅝ in", "in"), 3.625);
  EXPECT_EQ(bare("1½"), 1.5);
  EXPECT_EQ(in("2 lb 3 oz", "lb"), 2.1875);
  EXPECT_EQ(in("2 lb, 3 oz", "oz"), 35);
  EXPECT_EQ(in("2lb3oz", "oz"), 35);
  EXPECT_EQ(in("-2 lb 3 oz", "oz"), -35);
  EXPECT_DOUBLE_EQ(in("5' 3 1/2\"", "in"), 63.5);
  EXPECT_EQ(in("1 h 30 min", "min"), 90);
  EXPECT_EQ(in("4 %", "%"), 4);
  EXPECT_EQ(in("4%", "%"), 4);
  EXPECT_EQ(in("1 200 g", "g"), 1200);
  EXPECT_EQ(in("1\u00A0200\u00A0g", "g"), 1200);
  EXPECT_EQ(in("1\u202F234,5 kg", "kg"), 1234.5);
  EXPECT_EQ(in("1,234.5 kg", "kg"), 1234.5);
  EXPECT_EQ(in("1.234,5 kg", "kg"), 1234.5);
  EXPECT_EQ(in("1,234,567 g", "g"), 1234567);
  EXPECT_EQ(bare("1.234.567"), 1234567);
  EXPECT_EQ(bare("\u2212"
                 "5"),
            -5);
  EXPECT_EQ(bare("- 5"), -5);
  EXPECT_EQ(bare("+5"), 5);
  EXPECT_EQ(bare("  7  "), 7);
  EXPECT_EQ(bare(".5"), 0.5);
  EXPECT_EQ(bare(",5"), 0.5);
  EXPECT_EQ(bare("0,125"), 0.125);
  EXPECT_EQ(bare("1234,567"), 1234.567);
  EXPECT_EQ(bare("1e3"), 1000);
  EXPECT_EQ(bare("1.5e-3"), 0.0015);
  EXPECT_EQ(bare("3/4"), 0.75);
  EXPECT_EQ(in("22 kg/m³", "g/L"), 22);
}

TEST(Quantity, TheConventionSettlesWhatIsAmbiguous) {
  EXPECT_NE(complaint("1,234 kg").find("1234 or 1.234"), std::string::npos);
  EXPECT_EQ(in("1,234 kg", "kg", Marks::decimal_point), 1234);
  EXPECT_EQ(in("1,234 kg", "kg", Marks::decimal_comma), 1.234);
  EXPECT_NE(complaint("1.234 kg").find("1234 or 1.234"), std::string::npos);
  EXPECT_EQ(in("1.234 kg", "kg", Marks::decimal_point), 1.234);
  EXPECT_EQ(in("1.234 kg", "kg", Marks::decimal_comma), 1234);
  EXPECT_EQ(in("1.234,5 kg", "kg", Marks::decimal_comma), 1234.5);
  EXPECT_EQ(in("1,234.5 kg", "kg", Marks::decimal_point), 1234.5);
  EXPECT_NE(complaint("12,5 kg", Marks::decimal_point).find("comma"), std::string::npos);
  EXPECT_NE(complaint("12.5 kg", Marks::decimal_comma).find("point"), std::string::npos);
  EXPECT_NE(complaint("1.234,5 kg", Marks::decimal_point).find("not a number"), std::string::npos);
}

// One rule for the point and the comma: three digits behind a single mark and one to three before.
TEST(Quantity, ThreeDigitsBehindASingleMarkAreAmbiguous) {
  EXPECT_EQ(complaint("10.000 g"), "10.000 is ambiguous: it may be 10000 or 10; write 10000 or 10");
  EXPECT_EQ(complaint("10,000 g"), "10,000 is ambiguous: it may be 10000 or 10; write 10000 or 10");
  EXPECT_EQ(complaint("2.250 kg"),
            "2.250 is ambiguous: it may be 2250 or 2.25; write 2250 or 2.25");
  EXPECT_EQ(complaint("125.100"),
            "125.100 is ambiguous: it may be 125100 or 125.1; write 125100 or 125.1");
  // What the sentence tells people to write is read.
  EXPECT_EQ(complaint("1.234 kg"),
            "1.234 is ambiguous: it may be 1234 or 1.234; write 1234 or 1.2340");
  EXPECT_EQ(in("1.2340 kg", "kg"), 1.234);
  EXPECT_EQ(in("1,2340 kg", "kg"), 1.234);
  EXPECT_EQ(in("1234 kg", "kg"), 1234);

  EXPECT_EQ(in("0.250 kg", "g"), 250);
  EXPECT_EQ(in("0,250 kg", "g"), 250);
  EXPECT_EQ(in("1234.567 g", "g"), 1234.567);
  EXPECT_EQ(in("1 234.567 g", "g"), 1234.567);
  EXPECT_EQ(in("10.00 g", "g"), 10);
  EXPECT_EQ(in("1.234e3 g", "g"), 1234);
  EXPECT_EQ(in("10.000 g", "g", Marks::decimal_point), 10);
  EXPECT_EQ(in("10.000 g", "g", Marks::decimal_comma), 10000);
}

TEST(Quantity, AnotherNumberOfTheTextNamesTheConvention) {
  EXPECT_EQ(in("1.250 kg 2.5 g", "g"), 1252.5);
  EXPECT_EQ(in("1.250 kg 2,5 g", "kg"), 1250.0025);
  EXPECT_EQ(in("1,250 kg 2.5 g", "kg"), 1250.0025);
  const Result<MeasuredRange> range = parse_range("1.125 to 1.5 kg");
  ASSERT_TRUE(range);
  EXPECT_EQ(range->low.value, 1.125);
  const Result<MeasuredRange> million = parse_range("900,000 to 1,100,000");
  ASSERT_TRUE(million);
  EXPECT_EQ(million->low.value, 900000);
  // Two conventions name none; two numbers in doubt stay so.
  EXPECT_FALSE(parse_range("1.125 to 1.250 kg"));
  EXPECT_EQ(in("1.5 kg 2,5 g", "g"), 1502.5);
}

// Sizes: SI Brochure, 9th edition, table 8 (day, litre); NIST SP 811, 2008, appendix B.8: bar
// 1 E+05 Pa, US liquid quart 9.463 529 E-04 m³, short hundredweight 4.535 924 E+01 kg, long one
// 5.080 235 E+01 kg, horsepower (metric) 7.354 988 E+02 W, (550 ft·lbf/s) 7.456 999 E+02 W, all
// from memory.
TEST(Quantity, ReadsMoreNamesOfUnits) {
  EXPECT_EQ(in("28#", "lb"), 28);
  EXPECT_EQ(in("28 #", "lb"), 28);
  EXPECT_EQ(in("2# 3 oz", "oz"), 35);
  EXPECT_EQ(in("56 gm", "g"), 56);
  EXPECT_EQ(in("56gms", "g"), 56);
  EXPECT_EQ(in("16''", "in"), 16);
  EXPECT_EQ(in("16’’", "in"), 16);
  EXPECT_EQ(in("2 ltr", "L"), 2);
  EXPECT_EQ(in("2 gals", "gal"), 2);
  EXPECT_EQ(in("3 cubic ft", "ft³"), 3);
  EXPECT_EQ(in("3 cu.ft.", "ft³"), 3);
  EXPECT_EQ(in("3 cuft", "ft³"), 3);
  EXPECT_EQ(in("1.5 lb per cubic foot", "lb/ft³"), 1.5);
  EXPECT_EQ(in("1.5 pounds per cu. ft.", "lb/ft³"), 1.5);
  EXPECT_EQ(in("1.5 pcf", "lb/ft³"), 1.5);
  EXPECT_EQ(in("22 kg/cbm", "kg/m³"), 22);
  EXPECT_EQ(in("22 kg per cubic metre", "kg/m³"), 22);
  EXPECT_EQ(in("22 grams per litre", "kg/m³"), 22);
  EXPECT_EQ(in("0.5 g per cubic centimetre", "kg/m³"), 500);
  EXPECT_EQ(in("139 cubic inches per pound", "in³/lb"), 139);
  EXPECT_EQ(in("1 d", "h"), 24);
  EXPECT_EQ(in("75 cl", "mL"), 750);
  EXPECT_EQ(in("4 dm", "cm"), 40);
  EXPECT_EQ(in("1 qt", "L"), 0.946352946);
  EXPECT_EQ(in("1 short cwt", "lb"), 100);
  EXPECT_EQ(in("1 US cwt", "kg"), 45.359237);
  EXPECT_EQ(in("1 long cwt", "kg"), 50.80234544);
  EXPECT_EQ(in("1 bar", "kPa"), 100);
  EXPECT_EQ(in("1 metric hp", "W"), 735.49875);
  EXPECT_EQ(in("1 mechanical hp", "W"), 745.69987158227022);
}

TEST(Quantity, JoinsPartsWithAndAndWithTheDashBehindFeet) {
  EXPECT_EQ(in("2 lb and 3 oz", "oz"), 35);
  EXPECT_EQ(in("2 lb & 3 oz", "oz"), 35);
  EXPECT_EQ(in("2 lb, and 3 oz", "oz"), 35);
  EXPECT_EQ(in("-2 lb and 3 oz", "oz"), -35);
  EXPECT_DOUBLE_EQ(in("5'-3\"", "in"), 63);
  EXPECT_DOUBLE_EQ(in("5' - 3 1/2\"", "in"), 63.5);
  EXPECT_DOUBLE_EQ(in("5'-11''", "in"), 71);
  EXPECT_DOUBLE_EQ(in("5'3\"", "in"), 63);
  // Where it may be a range it is none of one quantity.
  for (const char* text :
       {"4 kg and 5 kg", "between 2 lb and 3 oz", "4'-5'", "1'-16\"", "2 lb and 3", "4\"-5\""}) {
    EXPECT_NE(complaint(text).find("reads as a range"), std::string::npos)
        << text << ": " << complaint(text);
  }
}

TEST(Quantity, ReadsAnApostropheBetweenThousands) {
  EXPECT_EQ(in("1'250 g", "g"), 1250);
  EXPECT_EQ(in("1’250 g", "g"), 1250);
  EXPECT_EQ(in("1'250'000 g", "g"), 1250000);
  EXPECT_EQ(in("1'250.125 g", "g"), 1250.125);
  EXPECT_EQ(in("1'250,5 g", "g"), 1250.5);
  EXPECT_EQ(in("1'250 mm", "mm"), 1250);
  for (const char* text : {"1'250", "1'250 in", "1'250\"", "1'250 ft"}) {
    EXPECT_NE(complaint(text).find("it may be 1250"), std::string::npos) << complaint(text);
    EXPECT_NE(complaint(text).find("or 1 ft 250"), std::string::npos) << complaint(text);
  }
  EXPECT_NE(complaint("1234'250 g").find("not a number"), std::string::npos);
  EXPECT_NE(complaint("1' 250 g").find("cannot follow a number in ft"), std::string::npos);
}

TEST(Quantity, ReadsTimesWhereATimeIsDue) {
  constexpr auto kTime = Dimension::time;
  EXPECT_EQ(in("1h 30m", "min"), 90);
  EXPECT_EQ(in("1h30m", "min"), 90);
  EXPECT_EQ(in("1 h and 30 m", "min"), 90);
  EXPECT_EQ(in("5 m", "min", Marks::either, kTime), 5);
  EXPECT_EQ(in("5 m", "cm"), 500);
  EXPECT_EQ(in("5 m", "cm", Marks::either, Dimension::length), 500);
  EXPECT_EQ(in("5 m 20 s", "s", Marks::either, kTime), 320);
  EXPECT_EQ(in("1:30", "min", Marks::either, kTime), 90);
  EXPECT_EQ(in("0:05", "min", Marks::either, kTime), 5);
  EXPECT_EQ(in("-1:30", "min", Marks::either, kTime), -90);
  const Result<MeasuredRange> range = parse_range("1:30 to 2:00", Marks::either, kTime);
  ASSERT_TRUE(range);
  EXPECT_EQ(range->low.value, 90);
  EXPECT_EQ(range->high.value, 120);
  EXPECT_NE(complaint("1:30").find("no time is due"), std::string::npos);
  EXPECT_NE(complaint("1:30", Marks::either, Dimension::ratio).find("no time is due"),
            std::string::npos);
  for (const char* text : {"1:75", "1:5", "1:300", "1:30:00", "1.5:30", "1:30 kg", "1:30½", "1:"}) {
    EXPECT_NE(complaint(text, Marks::either, kTime).find("written as in 1:30"), std::string::npos)
        << text << ": " << complaint(text, Marks::either, kTime);
  }
}

TEST(Quantity, NamesBothMeaningsOfAUnitThatHasTwo) {
  EXPECT_EQ(complaint("2 cwt"),
            "\"cwt\" is ambiguous: write short cwt (100 lb) or long cwt (112 lb)");
  EXPECT_EQ(complaint("2 hp"),
            "\"hp\" is ambiguous: write metric hp (735.49875 W) or mechanical hp (745.7 W)");
  EXPECT_EQ(unit_meanings("Tons"), "t (1000 kg) or short ton (2000 lb)");
  EXPECT_EQ(unit_meanings("kg"), "");
  EXPECT_EQ(unit_meanings(""), "");
}

TEST(Quantity, SaysWhatIsWrong) {
  const std::pair<const char*, const char*> cases[] = {
      {"", "is empty"},
      {" ", "is empty"},
      {"kg", "begin with a number"},
      {"-", "begin with a number"},
      {"½/2 kg", "not understood"},
      {"12 furlongs", "\"furlongs\" is no unit"},
      {"5 ton", "ambiguous"},
      {"5 Mg", "no unit"},
      {"3 4 kg", "3 stands beside another number and has no unit"},
      {"2 lb 3", "3 stands beside another number and has no unit"},
      {"2 oz 3 lb", "cannot follow"},
      {"2 lb 3 in", "cannot follow"},
      {"2 % 3 %", "cannot follow"},
      {"1/0 in", "divides by zero"},
      {"1 5/4 in", "not less than 1"},
      {"12 34 kg", "12 stands beside another number"},
      {"1234 567 kg", "thousands"},
      {"1,23,456 kg", "thousands"},
      {"1,2345,678", "thousands"},
      {"1..5", "not a number"},
      {"5.", "not a number"},
      {"1,234.567.8", "not a number"},
      {"1e999", "too large"},
      {"1e308 kg kg", "not understood"},
      {"45 to 55", "reads as a range"},
      {"45-55", "reads as a range"},
      {"5 to", "not understood from \"to\" on"},
      {"$5", "begin with a number"},
      {"5 kg!", "not understood from \"!\" on"},
  };
  for (const auto& [text, part] : cases) {
    EXPECT_NE(complaint(text).find(part), std::string::npos) << text << ": " << complaint(text);
  }
  EXPECT_NE(complaint(std::string(100000, '9')).find("longer than"), std::string::npos);
}

TEST(Range, ReadsWordsAndDashes) {
  auto ends = [](std::string_view text) {
    Result<MeasuredRange> r = parse_range(text);
    if (!r) return std::string(r.error().text());
    auto one = [](const Measured& m) {
      return std::to_string(m.value).substr(0, 5) + (m.unit ? std::string(m.unit->symbol) : "");
    };
    return one(r->low) + " " + one(r->high);
  };
  EXPECT_EQ(ends("45 to 55"), "45.00 55.00");
  EXPECT_EQ(ends("45–55"), "45.00 55.00");
  EXPECT_EQ(ends("45-55"), "45.00 55.00");
  EXPECT_EQ(ends("from 45 to 55"), "45.00 55.00");
  EXPECT_EQ(ends("between 45 and 55"), "45.00 55.00");
  EXPECT_EQ(ends("4 to 5 kg"), "4.000kg 5.000kg");
  EXPECT_EQ(ends("4 kg–5"), "4.000kg 5.000kg");
  EXPECT_EQ(ends("900 g to 1,1 kg"), "900.0g 1.100kg");
  EXPECT_EQ(ends("1-1/4 to 1-1/2 in"), "1.250in 1.500in");
  EXPECT_EQ(ends("4½–5½"), "4.500 5.500");
  EXPECT_EQ(ends("3 to 5 %"), "3.000% 5.000%");
  EXPECT_EQ(ends("-5 to -3"), "-5.00 -3.00");
  EXPECT_EQ(ends("7 kg"), "7.000kg 7.000kg");
  EXPECT_EQ(ends("1 to 2 to 3"), "it names more than two ends of a range");
  EXPECT_EQ(ends("1 kg to 2 cm"), "its ends are mass and length");
  EXPECT_NE(ends("1,234 to 1,500").find("ambiguous"), std::string::npos);
}

// Whatever the bytes, there is a finite number or a sentence.
TEST(Quantity, NoBytesCrashIt) {
  std::mt19937 random(11);
  const std::string_view pieces[] = {
      "1",  "234", "0",  ".", ",", " ", "-",   "+",      "/", "½",   "kg",   "m",
      "^",  "3",   "to", "%", "e", "(", "\"",  "\u2013", "'", "per", "\xff", "\xe2\x80",
      "\0", ")",   "lb", ":", "#", "&", "and", "''",     "d", "h",   "hp",   "250"};
  for (int i = 0; i < 200000; ++i) {
    std::string text;
    const int count = static_cast<int>(random() % 9);
    for (int k = 0; k < count; ++k) {
      if (random() % 12 == 0) {
        text += static_cast<char>(random() % 256);
      } else {
        text += pieces[random() % std::size(pieces)];
      }
    }
    for (Marks marks : {Marks::either, Marks::decimal_point, Marks::decimal_comma}) {
      const DueDimension due = i % 2 == 0 ? DueDimension() : Dimension::time;
      Result<MeasuredRange> range = parse_range(text, marks, due);
      if (range) {
        ASSERT_TRUE(std::isfinite(range->low.value) && std::isfinite(range->high.value)) << text;
      } else {
        ASSERT_FALSE(range.error().text().empty());
      }
    }
  }
}

}  // namespace
}  // namespace loftledger
