// Linear least squares with any number of variables: N. R. Draper and H. Smith, Applied Regression
// Analysis, for the statistics; G. H. Golub and C. F. Van Loan, Matrix Computations, section 5.3,
// for the orthogonal factors, which are Eigen's.
#pragma once

#include <optional>
#include <span>
#include <vector>

#include "engine/standard/call/numbers.hpp"

namespace loftledger::standard {

struct LeastSquares {
  std::vector<double> slopes;  // by variable
  double intercept = 0;
  // Standard errors of the estimates.
  std::vector<double> slope_errors;
  double intercept_error = 0;
  // Observations less estimates.
  double degrees = 0;
  // Sums of squares of the fitted values, with an intercept around the mean, and of the residuals.
  double explained = 0;
  double unexplained = 0;

  // Whether there is a residual to measure anything by.
  bool exact() const { return degrees == 0 || unexplained == 0; }
};

// Fits y to the columns of x, a row an observation, with or without an intercept. There must be at
// least as many observations as estimates.
//
// Nothing where the variables depend on each other (with an intercept, a constant one does): where
// so little of one is left beside the others that it is rounding only. Every column is scaled to a
// size between 1 and 2 before that is judged, so that units do not matter.
std::optional<LeastSquares> least_squares(const NumberMatrix& x, std::span<const double> y,
                                          bool has_intercept);

}  // namespace loftledger::standard
