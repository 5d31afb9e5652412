#include "engine/standard/statistics/least_squares.hpp"

#include <Eigen/Dense>
#include <cmath>
#include <cstddef>
#include <limits>

#include "engine/standard/statistics/sample.hpp"
#include "engine/standard/values/arithmetic.hpp"

namespace loftledger::standard {

namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

std::span<const double> numbers(const VectorXd& v) {
  return {v.data(), static_cast<std::size_t>(v.size())};
}

// Takes the mean away, which is returned; equal numbers become 0 exactly.
template <class Column>
double centre(Column&& column) {
  const VectorXd given = column;
  const double mean = mean_of(numbers(given));
  for (Index i = 0; i < given.size(); ++i) column[i] = forgiving_difference(given[i], mean);
  return mean;
}

// The power of 2 that brings the greatest size in the column between 1 and 2; 0 for a column of 0.
template <class Column>
int magnitude(const Column& column) {
  const double greatest = column.cwiseAbs().maxCoeff();
  return greatest > 0 && std::isfinite(greatest) ? std::ilogb(greatest) : 0;
}

double squared_length(const VectorXd& v) {
  ExactSum total;
  for (const double each : v) total.add(each * each);
  return total.value();
}

// The variables in units of their own, with their means taken away where there is an intercept.
struct Design {
  MatrixXd x;
  VectorXd means;
  std::vector<int> powers;

  Design(const NumberMatrix& given, bool centred)
      : x(static_cast<Index>(given.rows()), static_cast<Index>(given.columns())),
        means(VectorXd::Zero(x.cols())) {
    for (Index c = 0; c < x.cols(); ++c) {
      for (Index r = 0; r < x.rows(); ++r) {
        x(r, c) = given.at(static_cast<std::size_t>(r), static_cast<std::size_t>(c));
      }
      if (centred) means[c] = centre(x.col(c));
      powers.push_back(magnitude(x.col(c)));
      for (double& each : x.col(c)) each = std::ldexp(each, -powers.back());
      means[c] = std::ldexp(means[c], -powers.back());
    }
  }
  // From the units of the columns to those of the variables.
  double rescaled(double estimate, Index column) const {
    return std::ldexp(estimate, -powers[static_cast<std::size_t>(column)]);
  }
};

// The inverse of XᵀX is P R⁻¹R⁻ᵀPᵀ: what its rows are made of, so that the variance of any
// combination of the slopes is the squared length of that combination of rows.
MatrixXd covariance_root(const Eigen::ColPivHouseholderQR<MatrixXd>& factors) {
  const Index k = factors.cols();
  const MatrixXd inverse =
      factors.matrixR().topLeftCorner(k, k).triangularView<Eigen::Upper>().solve(
          MatrixXd::Identity(k, k));
  return factors.colsPermutation() * inverse;
}

// What comes out where the sums are too large for numbers.
LeastSquares beyond_numbers(std::size_t variables) {
  constexpr double kNone = std::numeric_limits<double>::quiet_NaN();
  const std::vector<double> none(variables, kNone);
  return {none, kNone, none, kNone, kNone, kNone, kNone};
}

}  // namespace

std::optional<LeastSquares> least_squares(const NumberMatrix& x, std::span<const double> y,
                                          bool has_intercept) {
  const Design design(x, has_intercept);
  const Index n = design.x.rows();
  const Index k = design.x.cols();
  VectorXd known = Eigen::Map<const VectorXd>(y.data(), n);
  const double mean = has_intercept ? centre(known) : 0;
  if (!design.x.allFinite() || !known.allFinite()) return beyond_numbers(x.columns());
  // Below this share of the longest column, what is left of one is rounding: each of its numbers
  // was rounded once when it was centred and once by every reflection.
  Eigen::ColPivHouseholderQR<MatrixXd> factors;
  factors.setThreshold(0x1p-52 * 4 * static_cast<double>(k + 1) *
                       std::sqrt(static_cast<double>(n)));
  factors.compute(design.x);
  if (factors.rank() < k) return std::nullopt;

  VectorXd slopes = factors.solve(known);
  // What rounding left out of the slopes shows in the residuals; one step brings it back (Golub and
  // Van Loan, 5.3.8).
  slopes += factors.solve(known - design.x * slopes);
  // What moves the fitted values by less than y is rounded by is no slope.
  const double rounding = 0x1p-51 * known.stableNorm();
  for (Index c = 0; c < k; ++c) {
    if (std::fabs(slopes[c]) * design.x.col(c).norm() <= rounding) slopes[c] = 0;
  }

  LeastSquares out;
  out.degrees = static_cast<double>(n - k - (has_intercept ? 1 : 0));
  const VectorXd fitted = design.x * slopes;
  VectorXd residuals(n);
  for (Index i = 0; i < n; ++i) residuals[i] = forgiving_difference(known[i], fitted[i]);
  out.explained = squared_length(fitted);
  out.unexplained = squared_length(residuals);

  const double deviation = out.exact() ? 0 : std::sqrt(out.unexplained / out.degrees);
  const MatrixXd root = covariance_root(factors);
  for (Index c = 0; c < k; ++c) {
    out.slopes.push_back(design.rescaled(slopes[c], c));
    out.slope_errors.push_back(design.rescaled(deviation * root.row(c).norm(), c));
  }
  if (has_intercept) {
    ExactSum intercept;
    intercept.add(mean);
    for (Index c = 0; c < k; ++c) intercept.add(-design.means[c] * slopes[c]);
    out.intercept = intercept.value();
    const double spread = (design.means.transpose() * root).norm();
    out.intercept_error = deviation * std::hypot(spread, 1 / std::sqrt(static_cast<double>(n)));
  }
  return out;
}

}  // namespace loftledger::standard
