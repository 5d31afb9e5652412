// Bessel functions of whole order (OpenFormula 6.16.11 to 6.16.14), all of them Boost.Math's.
#include <boost/math/special_functions/bessel.hpp>
#include <cmath>
#include <exception>

#include "engine/standard/call/numbers.hpp"
#include "engine/standard/maths/functions.hpp"

namespace loftledger::standard {

namespace {

namespace policies = boost::math::policies;
using Quiet = policies::policy<policies::domain_error<policies::ignore_error>,
                               policies::pole_error<policies::ignore_error>,
                               policies::overflow_error<policies::ignore_error>>;

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
  constexpr double kHighest = 1e4;  // more would take long
  // The first kind is 0 where the order is far beyond x.
  constexpr double kBeyond = 10;
  if (!positive && order > kHighest && std::fabs(x) * kBeyond < order) return 0.0;
  if (order < 0 || order > kHighest || (positive && x <= 0)) return Code::argument;
  try {
    return call.finish(function(static_cast<int>(order), x));
  } catch (const std::exception&) {
    // The library found no end, or an argument beyond what it can reduce.
    return call.not_finite();
  }
}

constexpr StandardFunction kFunctions[] = {
    {"BESSELI", bessel<kModifiedFirst, false>, 2, 2, "ni", Group::medium, false, 1,
     Counting::addin},
    {"BESSELJ", bessel<kFirst, false>, 2, 2, "ni", Group::medium, false, 1, Counting::addin},
    {"BESSELK", bessel<kModifiedSecond, true>, 2, 2, "ni", Group::medium, false, 1,
     Counting::addin},
    {"BESSELY", bessel<kSecond, true>, 2, 2, "ni", Group::medium, false, 1, Counting::addin},
};

}  // namespace

StandardFunctions bessel_functions() { return kFunctions; }

}  // namespace loftledger::standard
