// Least squares with any number of variables: LINEST, LOGEST, TREND, GROWTH (OpenFormula 6.18).
#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <utility>
#include <vector>

#include "engine/standard/call/last_first.hpp"
#include "engine/standard/call/numbers.hpp"
#include "engine/standard/statistics/functions.hpp"
#include "engine/standard/statistics/sample.hpp"
#include "engine/standard/values/arithmetic.hpp"

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

const Value* first_error(const Matrix& values) {
  const auto found = std::ranges::find_if(values.cells(), &Value::is_error);
  return found == values.cells().end() ? nullptr : &*found;
}

// The arguments, read from the last to the first.
struct Given {
  explicit Given(Call& of) : call(of), reader(of) {}

  Call& call;
  LastFirst reader;
  std::optional<Matrix> further;  // x
  std::optional<Matrix> x;        // none: 1, 2, 3 …
  std::optional<Matrix> y;

  // Reads known y (argument 0) and known x (argument 1).
  bool read_known() {
    // Several areas are no array: the office goes on as if they had been left out.
    if (call.given(1) && call[1].kind != Operand::Kind::areas) {
      x = reader.array(1);
      if (!x) {
        reader.refuse(reader.no_array(1));
        return false;
      }
    }
    y = reader.array(0);
    if (!y) reader.refuse(reader.no_array(0));
    return !call.failed();
  }
  // The error that the fit comes to first: with a constant it takes the mean of the y before
  // anything else, without one it goes from observation to observation.
  const Value* error(bool constant) const {
    const Value* of_y = first_error(*y);
    const Value* of_x = x ? first_error(*x) : nullptr;
    if (of_y == nullptr || of_x == nullptr) return of_y != nullptr ? of_y : of_x;
    if (call[0].is_cell() && !call[1].is_cell()) return of_x;
    const auto place = [](const Value* error, const Matrix& in) {
      return error - in.cells().data();
    };
    return constant || place(of_y, *y) <= place(of_x, *x) ? of_y : of_x;
  }
};

// Errors are 0 in it, and looked for elsewhere.
NumberMatrix numbers_in(const Matrix& values) {
  NumberMatrix out(values.rows(), values.columns());
  for (std::size_t r = 0; r < values.rows(); ++r) {
    for (std::size_t c = 0; c < values.columns(); ++c) out.at(r, c) = values.at(r, c).number();
  }
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

// How known x lie beside known y; none where they do not fit together.
std::optional<Layout> layout_of(const Matrix& x, const Matrix& y) {
  if (x.rows() == y.rows() && x.columns() == y.columns()) return Layout::one_variable;
  if (y.columns() == 1 && x.rows() == y.rows()) return Layout::columns;
  if (y.columns() != 1 && y.rows() == 1 && x.columns() == y.columns()) return Layout::rows;
  return std::nullopt;
}

std::optional<Problem> problem_of(Given& given, bool has_constant, bool logarithmic) {
  if (!given.read_known()) return std::nullopt;
  const Matrix& y = *given.y;
  const auto refused = [&](Error error) {
    given.reader.refuse(std::move(error));
    return std::nullopt;
  };
  if (!std::ranges::all_of(y.cells(), counts))
    return refused(Error(Code::argument, "a known y is no number", 0));
  for (const Value& value : y.cells()) {
    if (!logarithmic) break;
    if (value.is_error()) given.reader.wait(value);
    if ((!value.is_error() || given.call[0].is_cell()) && value.number() <= 0) {
      return refused(Error(Code::argument, "a known y is not more than 0", 0));
    }
  }
  if (given.x && !std::ranges::all_of(given.x->cells(), counts)) {
    return refused(Error(Code::argument, "a known x is no number", 1));
  }
  const auto layout = given.x ? layout_of(*given.x, y) : Layout::one_variable;
  if (!layout) return refused(Error(Code::argument, "the known x and y do not fit together", 1));
  Problem out;
  out.constant = has_constant;
  out.layout = *layout;
  const NumberMatrix known = numbers_in(y);
  out.x = observations(given.x ? numbers_in(*given.x) : counted(known), out.layout);
  if (out.x.rows() < out.x.columns() + (has_constant ? 1 : 0)) {
    return refused(Error(Code::parameters, "there are fewer observations than unknowns", 0));
  }
  for (std::size_t r = 0; r < known.rows(); ++r) {
    for (std::size_t c = 0; c < known.columns(); ++c) {
      out.y.push_back(logarithmic ? std::log(known.at(r, c)) : known.at(r, c));
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
    if (!std::isfinite(squares)) {
      call.fail(call.not_finite());
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
  Given given(call);
  const bool full = given.reader.option(3, 0) != 0;
  const bool has_constant = given.reader.option(2, 1) != 0;
  const auto problem = problem_of(given, has_constant, logarithmic);
  if (!problem) return call.failure();
  if (const Value* error = given.error(has_constant)) return *error;
  const auto fit = fit_line(call, *problem);
  if (!fit) return given.reader.refused(call.failure().value.error());
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

// The first error of one observation.
const Value* error_at(const Matrix& x, Layout layout, std::size_t index) {
  const std::size_t columns = x.columns();
  const std::size_t first = layout == Layout::columns ? index * columns : index;
  const std::size_t step = layout == Layout::rows ? columns : 1;
  const std::size_t count = layout == Layout::columns ? columns
                            : layout == Layout::rows  ? x.rows()
                                                      : 1;
  for (std::size_t i = 0; i < count; ++i) {
    const Value& each = x.cells()[first + i * step];
    if (each.is_error()) return &each;
  }
  return nullptr;
}

// The fitted y at new x (argument 2), or at the known ones.
Operand fitted(Call& call, bool logarithmic) {
  Given given(call);
  const bool has_constant = given.reader.option(3, 1) != 0;
  if (call.given(2)) given.further = given.reader.array(2);
  const auto problem = problem_of(given, has_constant, logarithmic);
  if (!problem) return call.failure();
  const Matrix* const wanted = given.further ? &*given.further : given.x ? &*given.x : nullptr;
  const NumberMatrix x = wanted != nullptr ? numbers_in(*wanted) : counted(numbers_in(*given.y));
  const std::size_t variables = problem->layout == Layout::columns ? x.columns()
                                : problem->layout == Layout::rows  ? x.rows()
                                                                   : 1;
  if (variables != problem->x.columns()) {
    given.reader.refuse(Error(Code::argument, "the new x have another count of variables", 2));
  } else if (wanted != nullptr && !std::ranges::all_of(wanted->cells(), counts)) {
    given.reader.refuse(Error(Code::argument, "a new x is no number", 2));
  }
  if (call.failed()) return call.failure();
  const Value* const known_error = given.error(has_constant);
  const bool any_error = known_error != nullptr || (wanted != nullptr && first_error(*wanted));
  // A single x in error is refused as all the same, and an error that waits shows before others.
  const bool of_range = !call[call.given(2) ? 2 : call.given(1) ? 1 : 0].is_cell();
  const bool waits = given.reader.waiting().is_error() && (any_error || of_range);
  const bool single_x = call.count() > 1 && call[1].is_cell();
  if (waits || (single_x && known_error != nullptr)) {
    return given.reader.refused(known_error != nullptr ? known_error->error() : Error());
  }
  const auto fit = known_error == nullptr ? fit_line(call, *problem) : Fit();
  if (!fit) return call.failure();
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
    for (std::size_t c = 0; c < fit->slopes.size(); ++c) value += points.at(r, c) * fit->slopes[c];
    const Value* error = wanted != nullptr ? error_at(*wanted, problem->layout, r) : nullptr;
    if (error == nullptr) error = known_error;
    if (logarithmic) value = std::exp(value);
    out.cells()[r] = error != nullptr ? *error : finite_value(value);
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
