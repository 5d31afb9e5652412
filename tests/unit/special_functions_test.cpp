// Special functions against the GNU Scientific Library.
#include <fmt/format.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_sf_bessel.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <string_view>

#include "tests/support/tables/call_reader.hpp"

namespace loftledger {
namespace {

using Reference = double (*)(int order, double x);

struct Case {
  std::string_view name;
  Reference reference;
  double tolerance;  // relative to the value, or to 0.001 where that is more
};

constexpr Case kCases[] = {
    {"BESSELI", gsl_sf_bessel_In, 1e-12},
    {"BESSELJ", gsl_sf_bessel_Jn, 1e-12},
    {"BESSELK", gsl_sf_bessel_Kn, 1e-12},
    {"BESSELY", gsl_sf_bessel_Yn, 1e-12},
};

void expect_close(const Case& each, int order, double x) {
  const auto got = support::evaluate_one(fmt::format("={}({};{})", each.name, x, order));
  ASSERT_TRUE(got && got->is_numeric()) << each.name << " " << x << " " << order;
  const double due = each.reference(order, x);
  EXPECT_NEAR(got->number(), due, each.tolerance * std::max(std::fabs(due), 1e-3))
      << each.name << " " << x << " " << order;
}

TEST(Bessel, AgreesWithTheScientificLibrary) {
  gsl_set_error_handler_off();
  for (const Case& each : kCases) {
    for (const double x : {0.01, 0.5, 1.0, 1.99, 2.0, 2.01, 5.5, 12.0, 24.0, 40.0}) {
      for (const int order : {0, 1, 2, 3, 7, 20}) expect_close(each, order, x);
    }
  }
}

TEST(Bessel, TheFirstKindTakesNegativeNumbers) {
  for (const double x : {-0.5, -3.0, -20.0}) {
    for (const int order : {0, 1, 2, 5}) {
      expect_close(kCases[0], order, x);
      expect_close(kCases[1], order, x);
    }
  }
}

}  // namespace
}  // namespace loftledger
