// Regressions: LINEST, LOGEST, TREND, GROWTH (OpenFormula 6.18); the fit is in least_squares.cpp.
#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <utility>
#include <vector>

#include "engine/standard/call/last_first.hpp"
#include "engine/standard/call/numbers.hpp"
#include "engine/standard/statistics/functions.hpp"
#include "engine/standard/statistics/least_squares.hpp"

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

// What is wrong with a problem that has no single solution.
Error undetermined(const Problem& problem) {
  return Error(Code::value,
               problem.x.columns() == 1 ? "the known x are all the same"
                                        : "the known x depend on each other",
               1);
}

// The table of LINEST, a row after the other: the slopes from the last variable to the first and
// the intercept; their standard errors; R² and the standard deviation of the residuals; F and the
// degrees of freedom; the sums of squares. Of a fit without residuals there is no F.
Matrix estimates_table(const LeastSquares& fit, const Problem& problem, bool logarithmic) {
  const std::size_t k = fit.slopes.size();
  Matrix out(5, k + 1, Value(Code::not_available));
  const auto estimate = [&](double value) {
    return finite_value(logarithmic ? std::exp(value) : value);
  };
  for (std::size_t c = 0; c < k; ++c) {
    out.at(0, k - 1 - c) = estimate(fit.slopes[c]);
    out.at(1, k - 1 - c) = finite_value(fit.slope_errors[c]);
  }
  out.at(0, k) = estimate(fit.intercept);
  if (problem.constant) out.at(1, k) = finite_value(fit.intercept_error);

  const double residual = fit.exact() ? 0 : fit.unexplained;
  const double mean_square = fit.exact() ? 0 : residual / fit.degrees;
  out.at(2, 0) =
      fit.exact() ? Value(1.0) : finite_value(fit.explained / (fit.explained + residual));
  out.at(2, 1) = finite_value(std::sqrt(mean_square));
  if (!fit.exact()) {
    out.at(3, 0) = finite_value(fit.explained / static_cast<double>(k) / mean_square);
  }
  out.at(3, 1) = fit.degrees;
  out.at(4, 0) = finite_value(fit.explained);
  out.at(4, 1) = finite_value(residual);
  return out;
}

Matrix first_row(const Matrix& table) {
  Matrix out(1, table.columns());
  for (std::size_t c = 0; c < table.columns(); ++c) out.at(0, c) = table.at(0, c);
  return out;
}

Operand coefficients(Call& call, bool logarithmic) {
  Given given(call);
  const bool full = given.reader.option(3, 0) != 0;
  const bool has_constant = given.reader.option(2, 1) != 0;
  const auto problem = problem_of(given, has_constant, logarithmic);
  if (!problem) return call.failure();
  if (const Value* error = given.error(has_constant)) return *error;
  const auto fit = least_squares(problem->x, problem->y, problem->constant);
  if (!fit) return given.reader.refused(undetermined(*problem));
  Matrix table = estimates_table(*fit, *problem, logarithmic);
  if (full) return table;
  return first_row(table);
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
  const auto fit = known_error == nullptr ? least_squares(problem->x, problem->y, problem->constant)
                                          : LeastSquares();
  if (!fit) return undetermined(*problem);
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
