// The statistics of yields, by simulation and against the GNU Scientific Library.
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_statistics_double.h>
#include <gtest/gtest.h>

#include <cmath>
#include <functional>
#include <random>
#include <vector>

#include "engine/catalogue/function.hpp"
#include "engine/planning/catalogue.hpp"
#include "engine/planning/common/trials.hpp"

namespace loftledger::planning {
namespace {

// What a shop's trials look like; fills in units of their mean.
struct Shop {
  double spread;  // standard deviation over mean
  int weighings;  // in one trial
  double bodies;  // that a case fills on average
  double confidence;
};

using Draw = std::function<double(std::mt19937_64&)>;

Draw normal_fills(double spread) {
  return [d = std::normal_distribution<double>(1, spread)](std::mt19937_64& random) mutable {
    return std::max(1e-6, d(random));
  };
}

Draw gamma_fills(double spread) {
  return [d = std::gamma_distribution<double>(1 / (spread * spread), spread * spread)](
             std::mt19937_64& random) mutable { return d(random); };
}

// BODIESPROMISED through the catalogue; 0 where it refuses to promise anything.
double promised(double mass, const std::vector<double>& weighings, double confidence) {
  Matrix cells(weighings.size(), 1);
  for (std::size_t i = 0; i < weighings.size(); ++i) cells.at(i, 0) = Value(weighings[i]);
  using catalogue::Argument;
  const std::vector<Argument> arguments = {Argument::of(Value(mass)), Argument::of(cells),
                                           Argument::of(Value(0.0)),
                                           Argument::of(Value(confidence))};
  const catalogue::Answer answer =
      catalogue::call(*planning::catalogue().find("BODIESPROMISED"), arguments);
  return std::get<Value>(answer).number();
}

std::vector<double> trial(int weighings, const Draw& draw, std::mt19937_64& random) {
  std::vector<double> out(static_cast<std::size_t>(weighings));
  for (double& each : out) each = draw(random);
  return out;
}

bool case_reaches(double bodies, double mass, const Draw& draw, std::mt19937_64& random) {
  double used = 0;
  for (double n = 0; n < bodies; ++n) {
    used += draw(random);
    if (used > mass) return false;
  }
  return true;
}

struct Share {
  double mean = 0;
  double error = 0;  // standard error over the trials
};

// Of 1,000 trials, each followed by cases: the share of cases that reach what their trial promised.
Share share_reached(const Shop& shop, const Draw& draw, int cases, std::uint64_t seed) {
  std::mt19937_64 random(seed);
  std::vector<double> shares;
  for (int i = 0; i < 1000; ++i) {
    const double n = promised(shop.bodies, trial(shop.weighings, draw, random), shop.confidence);
    int reached = 0;
    for (int k = 0; k < cases; ++k) reached += case_reaches(n, shop.bodies, draw, random) ? 1 : 0;
    shares.push_back(static_cast<double>(reached) / cases);
  }
  const Sample sample = sample_of(shares);
  return {sample.mean, sample.deviation / std::sqrt(sample.count)};
}

const Shop kShops[] = {
    {0.06, 3, 44, 0.80}, {0.08, 6, 157, 0.95},  {0.10, 5, 66, 0.95},
    {0.10, 5, 66, 0.50}, {0.08, 10, 44, 0.99},  {0.15, 4, 12, 0.90},
    {0.25, 8, 20, 0.95}, {0.08, 30, 105, 0.95}, {0.10, 2, 50, 0.90},
};

TEST(BodiesPromised, CasesReachItAtTheStatedConfidence) {
  std::uint64_t seed = 100;
  for (const Shop& shop : kShops) {
    const Share share = share_reached(shop, normal_fills(shop.spread), 40, ++seed);
    EXPECT_GE(share.mean, shop.confidence - 3 * share.error)
        << "spread " << shop.spread << ", " << shop.weighings << " weighings, " << shop.bodies
        << " bodies: " << share.mean << " +- " << share.error;
  }
}

// Fills are never quite normal: gamma-distributed ones are skewed to the heavy side.
TEST(BodiesPromised, SkewedFillsCostItLittle) {
  std::uint64_t seed = 200;
  for (const Shop& shop : kShops) {
    const Share share = share_reached(shop, gamma_fills(shop.spread), 40, ++seed);
    EXPECT_GE(share.mean, shop.confidence - 0.01 - 3 * share.error)
        << "spread " << shop.spread << ", " << shop.weighings << " weighings: " << share.mean;
  }
}

// A promise of nothing would be reached always: it must not be far too careful either.
TEST(BodiesPromised, PromisesAsMuchAsItCan) {
  const Shop shop{0.08, 6, 157, 0.95};
  const Share share = share_reached(shop, normal_fills(shop.spread), 40, 300);
  EXPECT_LE(share.mean, 0.975);
}

// Counting only the spread between bodies, or only the mean, would break the promise: the checks
// above can fail.
TEST(BodiesPromised, LeavingOutAnUncertaintyWouldShow) {
  const Shop shop{0.08, 6, 157, 0.95};
  const Draw draw = normal_fills(shop.spread);
  std::mt19937_64 random(400);
  const double z = gsl_cdf_ugaussian_Pinv(shop.confidence);
  int between_only = 0;
  int mean_by_normal = 0;
  for (int i = 0; i < 4000; ++i) {
    const Sample s = sample_of(trial(shop.weighings, draw, random));
    const double naive = shop.bodies / s.mean;
    const double a = std::floor(naive - z * s.deviation / s.mean * std::sqrt(naive));
    const double b =
        std::floor(naive - z * s.deviation / s.mean * naive / std::sqrt(shop.weighings));
    between_only += case_reaches(a, shop.bodies, draw, random) ? 1 : 0;
    mean_by_normal += case_reaches(b, shop.bodies, draw, random) ? 1 : 0;
  }
  EXPECT_LT(between_only / 4000.0, 0.80);
  EXPECT_LT(mean_by_normal / 4000.0, 0.94);
}

TEST(BodiesPromised, MoreWeighingsAndLessConfidencePromiseMore) {
  const std::vector<double> few = {0.9, 1.0, 1.1};
  const std::vector<double> many = {0.9, 1.0, 1.1, 0.9, 1.0, 1.1, 0.9, 1.0, 1.1, 0.9, 1.0, 1.1};
  EXPECT_LT(promised(100, few, 0.95), promised(100, many, 0.95));
  EXPECT_LT(promised(100, few, 0.99), promised(100, few, 0.95));
  EXPECT_LT(promised(100, many, 0.95), 100);
  EXPECT_EQ(promised(9600, {160, 160, 160}, 0.95), 60) << "exact division loses no body";
}

TEST(WholeBodies, AgreesWithSimulatedCases) {
  const std::pair<double, double> kCases[] = {
      {44.4, 0.06}, {12.7, 0.15}, {5.5, 0.4}, {157.3, 0.08}, {100.2, 0.9}};
  std::mt19937_64 random(500);
  for (const auto& [bodies, spread] : kCases) {
    const Draw draw = gamma_fills(spread);
    std::vector<double> counts;
    for (int i = 0; i < 20000; ++i) {
      double n = 0;
      for (double used = draw(random); used <= bodies; used += draw(random)) ++n;
      counts.push_back(n);
    }
    const Sample sample = sample_of(counts);
    EXPECT_NEAR(whole_bodies(bodies, {1, spread}), sample.mean,
                4 * sample.deviation / std::sqrt(sample.count))
        << bodies << " " << spread;
  }
}

// The sum and the closed form that takes over from it meet where they change.
TEST(WholeBodies, TheSumAndTheClosedFormAgree) {
  for (double spread : {0.2, 0.3, 0.35}) {
    const double bodies = std::max(64.0, 8 / (spread * spread)) * (1 - 1e-9);
    EXPECT_NEAR(whole_bodies(bodies, {1, spread}), bodies + (spread * spread - 1) / 2, 1e-9);
  }
}

TEST(WholeBodies, WithoutSpreadItCountsWholeBodies) {
  EXPECT_EQ(whole_bodies(9.6, {0.16, 0}), 60);
  EXPECT_EQ(whole_bodies(9.59, {0.16, 0}), 59);
  EXPECT_EQ(whole_bodies(0.15, {0.16, 0}), 0);
}

TEST(Trials, QuantilesAgreeWithTheGnuScientificLibrary) {
  for (double share : {0.5, 0.75, 0.9, 0.95, 0.975, 0.99865, 0.9999}) {
    for (double freedom : {1.0, 2.0, 3.0, 7.0, 19.0, 100.0, 5000.0}) {
      EXPECT_NEAR(student_quantile(share, freedom), gsl_cdf_tdist_Pinv(share, freedom),
                  1e-7 * (1 + std::abs(gsl_cdf_tdist_Pinv(share, freedom))))
          << share << " " << freedom;
    }
  }
}

TEST(Trials, ChancesAgreeWithTheGnuScientificLibrary) {
  for (double spread : {0.05, 0.1, 0.3, 1.0}) {
    for (double n : {1.0, 5.0, 40.0, 160.0, 1000.0}) {
      for (double mass : {0.5 * n, 0.95 * n, n, 1.05 * n, 2 * n}) {
        const double shape = 1 / (spread * spread);
        EXPECT_NEAR(chance_of_bodies(n, mass, {1, spread}),
                    gsl_cdf_gamma_P(mass, n * shape, 1 / shape), 1e-9)
            << spread << " " << n << " " << mass;
      }
    }
  }
}

// NIST Statistical Reference Datasets, univariate: certified means and standard deviations (the
// data files were opened). NumAcc2 to 4: one value, then two others in turn.
TEST(Trials, SamplesReachTheCertifiedValues) {
  auto alternating = [](double first, double low, double high, int pairs) {
    std::vector<double> out = {first};
    for (int i = 0; i < pairs; ++i) {
      out.push_back(low);
      out.push_back(high);
    }
    return out;
  };
  struct Certified {
    std::vector<double> values;
    double mean;
    double deviation;
    double tolerance;  // of the deviation: the data themselves are rounded to doubles
  };
  const Certified kSets[] = {
      {{10000001, 10000003, 10000002}, 10000002, 1, 0},
      {alternating(1.2, 1.1, 1.3, 500), 1.2, 0.1, 1e-14},
      {alternating(1000000.2, 1000000.1, 1000000.3, 500), 1000000.2, 0.1, 1e-9},
      {alternating(10000000.2, 10000000.1, 10000000.3, 500), 10000000.2, 0.1, 1e-8},
  };
  for (const Certified& each : kSets) {
    const Sample sample = sample_of(each.values);
    EXPECT_NEAR(sample.mean / each.mean, 1, 1e-15);
    EXPECT_NEAR(sample.deviation, each.deviation, each.tolerance);
    EXPECT_NEAR(sample.deviation, gsl_stats_sd(each.values.data(), 1, each.values.size()), 1e-8);
  }
}

}  // namespace
}  // namespace loftledger::planning
