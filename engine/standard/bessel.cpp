// Bessel functions of whole order (OpenFormula 6.16.11 to 6.16.14).
#include <boost/math/special_functions/bessel.hpp>
#include <cmath>

#include "engine/standard/numbers.hpp"
#include "engine/standard/registry.hpp"

namespace loftledger::standard {

namespace {

namespace policies = boost::math::policies;
using Quiet = policies::policy<policies::domain_error<policies::ignore_error>,
                               policies::pole_error<policies::ignore_error>,
                               policies::overflow_error<policies::ignore_error>,
                               policies::evaluation_error<policies::ignore_error>>;

constexpr auto kFirst = [](int order, double x) {
  return boost::math::cyl_bessel_j(order, x, Quiet());
};
constexpr auto kSecond = [](int order, double x) {
  return boost::math::cyl_neumann(order, x, Quiet());
};
constexpr auto kModifiedFirst = [](int order, double x) {
  return boost::math::cyl_bessel_i(order, x, Quiet());
};
constexpr auto kModifiedSecond = [](int order, double x) {
  return boost::math::cyl_bessel_k(order, x, Quiet());
};

// The functions of the second kind are for x above 0.
template <auto function, bool positive>
Operand bessel(Call& call) {
  const double x = call.number(0);
  const double order = std::trunc(call.number(1));
  if (call.failed()) return call.failure();
  constexpr double kHighest = 1e6;
  if (order < 0 || order > kHighest || (positive && x <= 0)) return Code::argument;
  return call.finish(function(static_cast<int>(order), x));
}

constexpr StandardFunction kFunctions[] = {
    {"BESSELI", bessel<kModifiedFirst, false>, 2, 2, "v", Group::medium, false, 1, Counting::addin},
    {"BESSELJ", bessel<kFirst, false>, 2, 2, "v", Group::medium, false, 1, Counting::addin},
    {"BESSELK", bessel<kModifiedSecond, true>, 2, 2, "v", Group::medium, false, 1, Counting::addin},
    {"BESSELY", bessel<kSecond, true>, 2, 2, "v", Group::medium, false, 1, Counting::addin},
};

}  // namespace

StandardFunctions bessel_functions() { return kFunctions; }

}  // namespace loftledger::standard
