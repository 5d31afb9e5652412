// Bracketing, Algorithm 748 of the ACM, and the search for a minimum of R. P. Brent (Algorithms for
// Minimization without Derivatives, 1973), the last two as Boost.Math has them.
#include "engine/standard/money/roots.hpp"

#include <algorithm>
#include <boost/math/tools/minima.hpp>
#include <boost/math/tools/toms748_solve.hpp>
#include <cmath>
#include <cstdint>
#include <limits>

namespace loftledger::standard {

namespace {

// So large that only the sign matters, and small enough that two of them can be subtracted.
constexpr double kVast = 1e300;

double tamed(double value) { return std::clamp(value, -kVast, kVast); }

bool opposite(double a, double b) { return (a < 0 && b > 0) || (a > 0 && b < 0); }

struct Point {
  double at = 0;
  double value = 0;
};

// Sees what neighbouring points enclose, and keeps the root nearest to the guess.
class Search {
 public:
  Search(FunctionRef<double(double)> function, double guess, double noise)
      : function_(function), guess_(guess), noise_(noise) {}

  Point look(double at) const { return {at, function_(at)}; }
  std::optional<double> found() const { return found_; }

  // Between two neighbours: a root where the signs differ.
  void between(const Point& a, const Point& b) {
    if (b.value == 0) note(b.at);
    if (opposite(a.value, b.value)) note(within(a.at, b.at));
  }

  // Among three: where the middle one is nearest to 0 of one sign, the function may touch 0 or pass
  // it twice, which its extremum tells. `a` is the one nearest to the guess.
  void among(const Point& a, const Point& b, const Point& c) {
    const double sign = b.value < 0 ? -1 : 1;
    // Not where it is level, as it is far out.
    const double size_here = b.value * sign;
    const bool dips = 0 < size_here && size_here < a.value * sign && size_here <= c.value * sign;
    if (!dips || !std::isfinite(a.value) || !std::isfinite(c.value)) return;
    constexpr int kBits = std::numeric_limits<double>::digits / 2;
    std::uintmax_t steps = 60;
    const auto [at, size] = boost::math::tools::brent_find_minima(
        [&](double x) { return sign * tamed(function_(x)); }, std::min(a.at, c.at),
        std::max(a.at, c.at), kBits, steps);
    if (size < 0) {
      note(within(a.at, at));
      note(within(at, c.at));
    } else if (size <= noise_) {
      note(at);
    }
  }

 private:
  double within(double a, double b) const {
    return root_within(function_, {std::min(a, b), std::max(a, b)});
  }
  void note(double root) {
    if (!found_ || std::fabs(root - guess_) < std::fabs(*found_ - guess_)) found_ = root;
  }

  FunctionRef<double(double)> function_;
  double guess_;
  double noise_;
  std::optional<double> found_;
};

// The last two points on one side of the guess.
struct Side {
  Point inner;
  Point outer;
  double limit = 0;

  bool done() const { return outer.at == limit; }
  void advance(Search& search, double to) {
    const Point next = search.look(to);
    search.between(outer, next);
    if (inner.at != outer.at) search.among(inner, outer, next);
    inner = outer;
    outer = next;
  }
};

}  // namespace

double root_within(FunctionRef<double(double)> function, Bracket bracket) {
  const auto tame = [&](double x) { return tamed(function(x)); };
  const double at_low = tame(bracket.low);
  const double at_high = tame(bracket.high);
  if (at_low == 0) return bracket.low;
  if (at_high == 0) return bracket.high;
  std::uintmax_t evaluations = 200;
  const auto [low, high] =
      boost::math::tools::toms748_solve(tame, bracket.low, bracket.high, at_low, at_high,
                                        boost::math::tools::eps_tolerance<double>(), evaluations);
  return low + (high - low) / 2;
}

std::optional<double> root_near(FunctionRef<double(double)> function, double guess, Bracket limits,
                                double noise) {
  constexpr double kFirstStep = 0.01;
  constexpr double kWidening = 1.1;
  guess = std::clamp(guess, limits.low, limits.high);
  Search search(function, guess, noise);
  const Point start = search.look(guess);
  if (start.value == 0) return guess;
  Side left{start, start, limits.low};
  Side right{start, start, limits.high};
  double distance = 0;
  while (!search.found() && !(left.done() && right.done())) {
    const bool first = distance == 0;
    distance = distance * kWidening + kFirstStep;
    if (!left.done()) left.advance(search, std::max(guess - distance, limits.low));
    if (!right.done()) right.advance(search, std::min(guess + distance, limits.high));
    if (first && !search.found()) search.among(left.outer, start, right.outer);
  }
  return search.found();
}

}  // namespace loftledger::standard
