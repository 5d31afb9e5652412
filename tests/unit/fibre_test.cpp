// What must hold between the functions of fibre, whatever the numbers.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <random>
#include <set>

#include "tests/support/tables/call_reader.hpp"

namespace loftledger::support {
namespace {

template <class... Args>
Value calc(fmt::format_string<Args...> formula, Args&&... args) {
  const std::string text = fmt::format(formula, std::forward<Args>(args)...);
  Result<Value> value = evaluate_one(text);
  if (!value || value->is_error()) {
    ADD_FAILURE() << text << ": "
                  << (value ? value->error().text() : std::string_view(value.error().text()));
    return {};
  }
  return *value;
}

struct Trial {
  double loose_before;
  double fill_before;
  double loose_after;
};

std::vector<Trial> random_trials() {
  std::mt19937_64 random(5);
  std::uniform_real_distribution<double> loose(5, 60);
  std::uniform_real_distribution<double> pressed(1, 4);
  std::uniform_real_distribution<double> loft(1, 15);
  std::vector<Trial> out;
  for (int i = 0; i < 500; ++i) {
    const double before = loose(random);
    out.push_back({before, before * pressed(random), before / loft(random)});
  }
  return out;
}

// Pressed fibre keeps little of its loft: the gain stays below loft - 1, and below the limit that
// no loft can pass.
TEST(Firmness, AGainStaysBelowTheLoftAndBelowItsLimit) {
  for (const Trial& t : random_trials()) {
    const double fill =
        calc("=OPENEDFILLDENSITY({};{};{})", t.loose_before, t.fill_before, t.loose_after).number();
    const double limit =
        calc("=OPENEDFILLDENSITY({};{};0)", t.loose_before, t.fill_before).number();
    const double loft = t.loose_before / t.loose_after;
    EXPECT_LE(t.fill_before / fill, loft * (1 + 1e-12));
    EXPECT_GE(fill, limit);
    EXPECT_GE(fill, t.loose_after * (1 - 1e-12));
    EXPECT_LE(fill, t.fill_before * (1 + 1e-12));
  }
}

TEST(Firmness, StiffnessAndDensityAreInverse) {
  for (const Trial& t : random_trials()) {
    if (t.fill_before <= t.loose_before) continue;
    const double back =
        calc("=FIRMDENSITY({0};800;FIBRESTIFFNESS({0};{1};800))", t.loose_before, t.fill_before)
            .number();
    EXPECT_NEAR(back / t.fill_before, 1, 1e-9);
  }
}

// The trade's choice of units must not change what a result means.
TEST(Units, AnEditedUnitChangesNoResult) {
  const std::pair<const char*, const char*> kSame[] = {
      {"=BODIESPERCASE(\"28 lb\";\"5 oz\")", "=BODIESPERCASE(\"448 oz\";\"0.3125 lb\")"},
      {"=FILLMASS(\"2.5 L\";\"22 kg/m³\")", "=FILLMASS(\"2500 cm3\";\"0.022 g/cm³\")"},
      {"=BULKDENSITY(\"1 kg\";\"10 L\")", "=BULKDENSITY(\"1000 g\";\"0.01 m³\")"},
      {"=ELLIPSOIDVOLUME(\"10 in\";\"8 in\";\"6 in\")",
       "=ELLIPSOIDVOLUME(\"25.4 cm\";\"203.2 mm\";\"0.5 ft\")"},
      {"=HOPPERBODIES(\"200 L\";\"12 g/L\";\"60 g\")",
       "=HOPPERBODIES(\"0.2 m³\";\"0.012 g/cm³\";\"0.06 kg\")"},
      {"=FIBRESTIFFNESS(\"20 kg/m³\";\"30 kg/m³\";\"1 psi\")",
       "=FIBRESTIFFNESS(20;30;QUANTITY(\"1 psi\";\"Pa\"))"},
      {"=STATIONFIT(\"1 1/4 in\";\"virgin\";\"opened\";\"machine\")",
       "=STATIONFIT(3.175;\"virgin\";\"opened\";\"machine\")"},
  };
  for (const auto& [one, other] : kSame) {
    const Value a = calc("{}", one);
    const Value b = calc("{}", other);
    EXPECT_EQ(a.text(), b.text());
    EXPECT_NEAR(a.number(), b.number(), 1e-13 * std::abs(a.number())) << one;
  }
}

// Bare numbers in one coherent set of units: pounds, cubic feet, pounds a cubic foot.
TEST(Units, BareNumbersMayBePounds) {
  EXPECT_DOUBLE_EQ(calc("=FILLMASS(0.5;1.2)").number(), 0.6);
  EXPECT_DOUBLE_EQ(calc("=BULKDENSITY(28;4)").number(), 7);
  EXPECT_DOUBLE_EQ(calc("=HOPPERBODIES(7;1;0.35)").number(), 20);
}

TEST(Stations, EveryCaseHasAVerdictAndItsReason) {
  const std::set<std::string_view> kFits = {"fits", "does not fit", "fits only once opened",
                                            "ask the maker"};
  std::set<std::string> cautions;
  std::set<std::string_view> seen;
  for (const char* staple :
       {"1 mm", "32 mm", "1 1/4 in", "38 mm", "50 mm", "2 in", "51 mm", "64 mm"}) {
    for (const char* origin : {"virgin", "recycled"}) {
      for (const char* preparation : {"as delivered", "opened", "vacuum-packed"}) {
        for (const char* station : {"hand", "machine"}) {
          const Value fit = calc("=STATIONFIT(\"{}\";\"{}\";\"{}\";\"{}\")", staple, origin,
                                 preparation, station);
          const auto known = kFits.find(fit.text());
          ASSERT_NE(known, kFits.end()) << fit.text();
          seen.insert(*known);
          if (std::string_view(station) == "hand") {
            EXPECT_EQ(fit.text(), "fits");
          }
          const Value caution = calc("=STATIONCAUTION(\"{}\";\"{}\";\"{}\";\"{}\")", staple, origin,
                                     preparation, station);
          const std::string text(caution.text());
          EXPECT_NE(text.find("plastic bags"), text.npos);
          EXPECT_NE(text.find("local codes"), text.npos);
          if (std::string_view(station) == "machine") {
            for (const char* word : {"switched off and isolated", "overload", "jam", "static",
                                     "maker's manual", "licensed"}) {
              EXPECT_NE(text.find(word), text.npos) << text;
            }
          }
          cautions.insert(text);
        }
      }
    }
  }
  EXPECT_EQ(seen.size(), kFits.size());
  EXPECT_EQ(cautions.size(), 10U) << "every rule is reached";
}

TEST(Stations, WordsAreTakenInAnyCaseAndWithOrWithoutHyphen) {
  EXPECT_EQ(calc("=STATIONFIT(\"32 mm\";\"Virgin\";\"VACUUM PACKED\";\" hand \")").text(), "fits");
}

TEST(Stations, TheMakersLimitRules) {
  EXPECT_EQ(calc("=STATIONFIT(\"64 mm\";\"virgin\";\"opened\";\"machine\";\"70 mm\")").text(),
            "fits");
  EXPECT_EQ(calc("=STATIONFIT(\"30 mm\";\"virgin\";\"opened\";\"machine\";\"25 mm\")").text(),
            "does not fit");
}

// A part-used case that carries over costs nothing; a case by itself loses its remainder.
TEST(Yield, WholeBodiesAreFewerThanTheMean) {
  for (const char* spread : {"1", "4", "10", "25"}) {
    const double mean = calc("=BODIESPERCASE(9000;56;3%)").number();
    const double whole = calc("=WHOLEBODIES(9000;56;{};3%)", spread).number();
    EXPECT_LT(whole, mean);
    EXPECT_GT(whole, mean - 1.01);
    const double likely = std::floor(whole) - 3;
    EXPECT_GE(calc("=CASECHANCE(9000;56;{};{};3%)", spread, likely).number(),
              calc("=CASECHANCE(9000;56;{};{};3%)", spread, likely + 1).number());
  }
}

}  // namespace
}  // namespace loftledger::support
