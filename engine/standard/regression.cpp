// Least squares with any number of variables: LINEST, LOGEST, TREND, GROWTH (OpenFormula 6.18).
#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <vector>

#include "engine/standard/arithmetic.hpp"
#include "engine/standard/numbers.hpp"
#include "engine/standard/registry.hpp"
#include "engine/standard/sample.hpp"

namespace loftledger::standard {

namespace {

// How the known x lie beside the known y.
enum class Layout { one_variable, columns, rows };

struct Problem {
  Layout layout = Layout::one_variable;
  NumberMatrix x;  // a row an observation, a column a variable
  std::vector<double> y;
  bool constant = true;
};

struct Fit {
  std::vector<double> slopes;  // by variable
  double intercept = 0;
  std::vector<double> slope_errors;
  double intercept_error = 0;
  double degrees = 0;
  double explained = 0;  // sums of squares
  double unexplained = 0;
  bool exact = false;
};

// An argument of numbers only, or Err:502; among numbers an error goes on.
std::optional<NumberMatrix> only_numbers(Call& call, std::size_t index) {
  const Operand& given = call[index];
  if (given.kind == Operand::Kind::areas) call.fail(Code::argument);
  if (given.kind == Operand::Kind::area && given.area.sheets() > 1) call.fail(Code::parameters);
  if (call.failed()) return std::nullopt;
  const Matrix values = matrix_or_zero(call, index);
  for (const Value& value : values.cells()) {
    if (!value.is_numeric() && !value.is_error()) call.fail(Code::argument);
  }
  NumberMatrix out(values.rows(), values.columns());
  for (std::size_t r = 0; r < values.rows(); ++r) {
    for (std::size_t c = 0; c < values.columns(); ++c) {
      const Value& value = values.at(r, c);
      if (value.is_error()) call.fail(value);
      out.at(r, c) = value.number();
    }
  }
  if (call.failed()) return std::nullopt;
  return out;
}

// 1, 2, 3 … down the columns, in the shape of the known y.
NumberMatrix counted(const NumberMatrix& like) {
  NumberMatrix out(like.rows(), like.columns());
  double next = 1;
  for (std::size_t c = 0; c < like.columns(); ++c) {
    for (std::size_t r = 0; r < like.rows(); ++r) out.at(r, c) = next++;
  }
  return out;
}

// Variables side by side in columns, whatever the layout.
NumberMatrix observations(const NumberMatrix& x, Layout layout) {
  if (layout == Layout::columns) return x;
  if (layout == Layout::rows) {
    NumberMatrix out(x.columns(), x.rows());
    for (std::size_t r = 0; r < x.rows(); ++r) {
      for (std::size_t c = 0; c < x.columns(); ++c) out.at(c, r) = x.at(r, c);
    }
    return out;
  }
  NumberMatrix out(x.rows() * x.columns(), 1);
  for (std::size_t r = 0; r < x.rows(); ++r) {
    for (std::size_t c = 0; c < x.columns(); ++c) out.at(r * x.columns() + c, 0) = x.at(r, c);
  }
  return out;
}

// Whether an argument is a number other than 0. What cannot be one says no, and is no error: the
// office forgets it once there is a table to show.
bool says_yes(Call& call, std::size_t index) {
  const Value number = to_number(call[index].value, call.settings());
  return number.number() != 0;
}

// Reads known y (argument 0) and known x (argument 1).
std::optional<Problem> read_problem(Call& call, bool has_constant, bool logarithmic) {
  const auto y = only_numbers(call, 0);
  if (!y) return std::nullopt;
  // Several areas are no array: the office goes on as if they had been left out.
  const bool known = call.given(1) && call[1].kind != Operand::Kind::areas;
  std::optional<NumberMatrix> x = known ? only_numbers(call, 1) : counted(*y);
  if (!x) return std::nullopt;
  Problem out;
  out.constant = has_constant;
  if (x->rows() == y->rows() && x->columns() == y->columns()) {
    out.layout = Layout::one_variable;
  } else if (y->columns() == 1 && x->rows() == y->rows()) {
    out.layout = Layout::columns;
  } else if (y->columns() != 1 && y->rows() == 1 && x->columns() == y->columns()) {
    out.layout = Layout::rows;
  } else {
    call.fail(Error(Code::argument, "the known x and y do not fit together", 1));
    return std::nullopt;
  }
  out.x = observations(*x, out.layout);
  for (std::size_t r = 0; r < y->rows(); ++r) {
    for (std::size_t c = 0; c < y->columns(); ++c) {
      const double value = y->at(r, c);
      if (logarithmic && value <= 0) {
        call.fail(Error(Code::argument, "a known y is not more than 0", 0));
        return std::nullopt;
      }
      out.y.push_back(logarithmic ? std::log(value) : value);
    }
  }
  return out;
}

std::vector<double> column_of(const NumberMatrix& m, std::size_t c) {
  std::vector<double> out(m.rows());
  for (std::size_t r = 0; r < m.rows(); ++r) out[r] = m.at(r, c);
  return out;
}

double dot(const std::vector<double>& a, const std::vector<double>& b) {
  ExactSum total;
  for (std::size_t i = 0; i < a.size(); ++i) total.add(a[i] * b[i]);
  return total.value();
}

// Householder's reduction of x to an upper triangle, done to y as well. Below the diagonal x keeps
// nothing of use. False where the variables depend on each other. Scaling each column first, as the
// office does, decides what counts as dependent.
bool reduce(NumberMatrix& x, std::vector<double>& y) {
  const std::size_t n = x.rows();
  for (std::size_t k = 0; k < x.columns(); ++k) {
    double scale = 0;
    for (std::size_t i = k; i < n; ++i) scale = std::max(scale, std::fabs(x.at(i, k)));
    if (scale == 0) return false;
    std::vector<double> mirror(n);
    for (std::size_t i = k; i < n; ++i) mirror[i] = x.at(i, k) / scale;
    const double norm = std::sqrt(dot(mirror, mirror));
    const double sign = mirror[k] < 0 ? -1 : 1;
    const double factor = 1 / norm / (norm + std::fabs(mirror[k]));
    mirror[k] += sign * norm;
    for (std::size_t j = k + 1; j < x.columns(); ++j) {
      ExactSum along;
      for (std::size_t i = k; i < n; ++i) along.add(mirror[i] * x.at(i, j));
      const double length = along.value();
      for (std::size_t i = k; i < n; ++i) x.at(i, j) -= length * factor * mirror[i];
    }
    const double turn = 2 * (dot(mirror, y) / dot(mirror, mirror));
    for (std::size_t i = k; i < n; ++i) y[i] -= turn * mirror[i];
    x.at(k, k) = -sign * scale * norm;
  }
  return true;
}

// R s = y from the last row up, and Rᵀ s = y from the first row down.
std::vector<double> solve_upper(const NumberMatrix& r, const std::vector<double>& y) {
  std::vector<double> out(r.columns());
  for (std::size_t i = r.columns(); i-- > 0;) {
    double rest = y[i];
    for (std::size_t j = i + 1; j < r.columns(); ++j) rest -= r.at(i, j) * out[j];
    out[i] = rest / r.at(i, i);
  }
  return out;
}
std::vector<double> solve_lower(const NumberMatrix& r, const std::vector<double>& y) {
  std::vector<double> out(r.columns());
  for (std::size_t i = 0; i < r.columns(); ++i) {
    double rest = y[i];
    for (std::size_t j = 0; j < i; ++j) rest -= r.at(j, i) * out[j];
    out[i] = rest / r.at(i, i);
  }
  return out;
}

// The variances of the slopes in units of the residual's: the diagonal of (XᵀX)⁻¹, and what the
// intercept takes of them.
void spread_errors(const NumberMatrix& r, const std::vector<double>& means, Fit& fit,
                   double deviation, double observations_count) {
  for (std::size_t k = 0; k < r.columns(); ++k) {
    std::vector<double> unit(r.columns());
    unit[k] = 1;
    const std::vector<double> part = solve_lower(r, unit);
    fit.slope_errors.push_back(deviation * std::sqrt(dot(part, part)));
  }
  const std::vector<double> part = solve_lower(r, means);
  fit.intercept_error = deviation * std::sqrt(dot(part, part) + 1 / observations_count);
}

std::optional<Fit> fit_line(Call& call, const Problem& problem) {
  const std::size_t n = problem.x.rows();
  const std::size_t k = problem.x.columns();
  if (n < k + (problem.constant ? 1 : 0)) {
    call.fail(Error(Code::parameters, "there are fewer observations than unknowns", 0));
    return std::nullopt;
  }
  NumberMatrix x = problem.x;
  std::vector<double> y = problem.y;
  std::vector<double> means(k);
  double mean_y = 0;
  if (problem.constant) {
    mean_y = mean_of(y);
    for (double& value : y) value = forgiving_difference(value, mean_y);
    for (std::size_t c = 0; c < k; ++c) {
      means[c] = mean_of(column_of(x, c));
      for (std::size_t r = 0; r < n; ++r) x.at(r, c) = forgiving_difference(x.at(r, c), means[c]);
    }
  }
  Fit fit;
  NumberMatrix triangle = x;
  if (k == 1) {
    const std::vector<double> only = column_of(x, 0);
    const double squares = dot(only, only);
    if (squares == 0) {
      call.fail(Error(Code::value, "the known x are all the same", 1));
      return std::nullopt;
    }
    fit.slopes = {dot(only, y) / squares};
    triangle = NumberMatrix(1, 1);
    triangle.at(0, 0) = std::sqrt(squares);
  } else {
    std::vector<double> turned = y;
    if (!reduce(triangle, turned)) {
      call.fail(Error(Code::value, "the known x depend on each other", 1));
      return std::nullopt;
    }
    fit.slopes = solve_upper(triangle, turned);
  }
  ExactSum explained;
  ExactSum unexplained;
  for (std::size_t r = 0; r < n; ++r) {
    double fitted = 0;
    for (std::size_t c = 0; c < k; ++c) fitted += x.at(r, c) * fit.slopes[c];
    const double rest = forgiving_difference(y[r], fitted);
    explained.add(fitted * fitted);
    unexplained.add(rest * rest);
  }
  fit.explained = explained.value();
  fit.unexplained = unexplained.value();
  if (problem.constant) fit.intercept = mean_y - dot(means, fit.slopes);
  fit.degrees = static_cast<double>(n - k) - (problem.constant ? 1 : 0);
  fit.exact = fit.degrees == 0 || fit.unexplained == 0 || fit.explained == 0;
  const double deviation = fit.exact ? 0 : std::sqrt(fit.unexplained / fit.degrees);
  spread_errors(triangle, means, fit, deviation, static_cast<double>(n));
  return fit;
}

// The table of LINEST: the slopes from the last variable to the first, then the constant; their
// errors; and the quality of the fit.
Operand coefficients(Call& call, bool logarithmic) {
  const bool full = call.count() > 3 && says_yes(call, 3);
  const auto problem = read_problem(call, !call.given(2) || says_yes(call, 2), logarithmic);
  if (!problem || call.failed()) return call.failure();
  const auto fit = fit_line(call, *problem);
  if (!fit) return call.failure();
  const std::size_t k = fit->slopes.size();
  const auto shown = [&](double value) {
    return finite_value(logarithmic ? std::exp(value) : value);
  };
  Matrix out(full ? 5 : 1, k + 1, Value(Code::not_available));
  for (std::size_t c = 0; c < k; ++c) out.at(0, k - 1 - c) = shown(fit->slopes[c]);
  out.at(0, k) = shown(fit->intercept);
  if (!full) return out;
  for (std::size_t c = 0; c < k; ++c) out.at(1, k - 1 - c) = finite_value(fit->slope_errors[c]);
  if (problem->constant) out.at(1, k) = finite_value(fit->intercept_error);
  const double unexplained = fit->exact ? 0 : fit->unexplained;
  out.at(2, 0) = fit->exact ? 1 : fit->explained / (fit->explained + unexplained);
  out.at(2, 1) = fit->exact ? 0 : std::sqrt(unexplained / fit->degrees);
  if (!fit->exact) {
    out.at(3, 0) =
        finite_value(fit->explained / static_cast<double>(k) / (unexplained / fit->degrees));
  }
  out.at(3, 1) = fit->degrees;
  out.at(4, 0) = finite_value(fit->explained);
  out.at(4, 1) = unexplained;
  return out;
}
Operand linear_estimate(Call& call) { return coefficients(call, false); }
Operand exponential_estimate(Call& call) { return coefficients(call, true); }

// The fitted y at new x (argument 2), or at the known ones.
Operand fitted(Call& call, bool logarithmic) {
  const bool has_constant = !call.given(3) || call.truth(3);
  const auto problem = read_problem(call, has_constant, logarithmic);
  if (!problem || call.failed()) return call.failure();
  const auto fit = fit_line(call, *problem);
  if (!fit) return call.failure();
  const std::size_t source = call.given(2) ? 2 : 1;
  const std::size_t shape = call.given(source) ? source : 0;
  const auto given = only_numbers(call, shape);
  if (!given) return call.failure();
  const NumberMatrix x = shape == 0 ? counted(*given) : *given;
  const std::size_t variables = problem->layout == Layout::columns ? x.columns()
                                : problem->layout == Layout::rows  ? x.rows()
                                                                   : 1;
  if (variables != fit->slopes.size()) {
    return Error(Code::argument, "the new x have another count of variables", 2);
  }
  const NumberMatrix points = observations(x, problem->layout);
  const bool one = problem->layout == Layout::one_variable;
  const bool down = problem->layout == Layout::columns;
  Matrix out(one    ? x.rows()
             : down ? points.rows()
                    : 1,
             one    ? x.columns()
             : down ? 1
                    : points.rows());
  for (std::size_t r = 0; r < points.rows(); ++r) {
    double value = fit->intercept;
    for (std::size_t c = 0; c < points.columns(); ++c) value += points.at(r, c) * fit->slopes[c];
    out.cells()[r] = finite_value(logarithmic ? std::exp(value) : value);
  }
  return out;
}
Operand trend(Call& call) { return fitted(call, false); }
Operand growth(Call& call) { return fitted(call, true); }

constexpr StandardFunction kFunctions[] = {
    {"LINEST", linear_estimate, 1, 4, "aavv", Group::medium},
    {"LOGEST", exponential_estimate, 1, 4, "aavv", Group::medium},
    {"TREND", trend, 1, 4, "aaav", Group::medium},
    {"GROWTH", growth, 1, 4, "aaav", Group::large},
};

}  // namespace

StandardFunctions regression_functions() { return kFunctions; }

}  // namespace loftledger::standard
