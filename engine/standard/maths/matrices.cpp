// Products, inverses and determinants of matrices (OpenFormula 6.5).
#include <cmath>
#include <cstddef>
#include <optional>
#include <utility>
#include <vector>

#include "engine/standard/call/last_first.hpp"
#include "engine/standard/call/numbers.hpp"
#include "engine/standard/maths/functions.hpp"
#include "engine/standard/values/arithmetic.hpp"

namespace loftledger::standard {

namespace {

// The values as numbers; anything else among them fails the call.
NumberMatrix numeric(Call& call, const Matrix& values) {
  NumberMatrix out(values.rows(), values.columns());
  for (std::size_t r = 0; r < values.rows(); ++r) {
    for (std::size_t c = 0; c < values.columns(); ++c) {
      const Value& value = values.at(r, c);
      if (value.is_error()) call.fail(value);
      if (!value.is_numeric()) call.fail(Code::value);
      out.at(r, c) = value.number();
    }
  }
  return out;
}

// What is no number shows before the shape, and that before errors.
void refuse_others(Call& call, const Matrix& values) {
  if (!std::ranges::all_of(values.cells(), counts)) call.fail(Code::value);
}

NumberMatrix square(Call& call) {
  const Matrix values = matrix_or_zero(call, 0);
  refuse_others(call, values);
  if (values.rows() != values.columns()) {
    call.fail(Error(Code::argument, "the matrix must have as many rows as columns", 0));
  }
  return numeric(call, values);
}

// The matrix in two triangles: the lower one with a diagonal of ones, and the upper one; rows
// exchanged so that each pivot is the largest of its column.
struct Triangles {
  NumberMatrix both;
  std::vector<std::size_t> order;  // which row of the matrix each row is
  double sign = 1;                 // -1 where the rows were exchanged an odd number of times
};

// Nothing where the matrix is singular.
std::optional<Triangles> triangles(NumberMatrix m) {
  const std::size_t n = m.rows();
  Triangles out{std::move(m), std::vector<std::size_t>(n), 1};
  NumberMatrix& a = out.both;
  for (std::size_t i = 0; i < n; ++i) out.order[i] = i;
  for (std::size_t k = 0; k < n; ++k) {
    std::size_t best = k;
    for (std::size_t i = k + 1; i < n; ++i) {
      if (std::fabs(a.at(i, k)) > std::fabs(a.at(best, k))) best = i;
    }
    const double pivot = a.at(best, k);
    if (pivot == 0) return std::nullopt;
    if (best != k) {
      for (std::size_t j = 0; j < n; ++j) std::swap(a.at(k, j), a.at(best, j));
      std::swap(out.order[k], out.order[best]);
      out.sign = -out.sign;
    }
    for (std::size_t i = k + 1; i < n; ++i) {
      const double lead = a.at(i, k);
      a.at(i, k) = lead / pivot;
      for (std::size_t j = k + 1; j < n; ++j) {
        a.at(i, j) = (a.at(i, j) * pivot - lead * a.at(k, j)) / pivot;
      }
    }
  }
  return out;
}

Operand determinant(Call& call) {
  NumberMatrix m = square(call);
  if (call.failed()) return call.failure();
  const auto parts = triangles(std::move(m));
  if (!parts) return 0.0;
  double out = parts->sign;
  for (std::size_t i = 0; i < parts->both.rows(); ++i) out *= parts->both.at(i, i);
  return call.finish(out);
}

// The column x with A x = e, e being 1 in one row and 0 elsewhere.
std::vector<double> solve_unit(const Triangles& parts, std::size_t unit) {
  const std::size_t n = parts.order.size();
  std::vector<double> x(n);
  for (std::size_t i = 0; i < n; ++i) {
    ExactSum rest;
    rest.add(parts.order[i] == unit ? 1.0 : 0.0);
    for (std::size_t j = 0; j < i; ++j) rest.add(-parts.both.at(i, j) * x[j]);
    x[i] = rest.value();
  }
  for (std::size_t i = n; i-- > 0;) {
    ExactSum rest;
    rest.add(x[i]);
    for (std::size_t j = i + 1; j < n; ++j) rest.add(-parts.both.at(i, j) * x[j]);
    x[i] = rest.value() / parts.both.at(i, i);
  }
  return x;
}

Operand inverse(Call& call) {
  NumberMatrix m = square(call);
  if (call.failed()) return call.failure();
  const auto parts = triangles(std::move(m));
  if (!parts) return Error(Code::argument, "MINVERSE: the matrix has no inverse", 0);
  const std::size_t n = parts->order.size();
  Matrix out(n, n);
  for (std::size_t c = 0; c < n; ++c) {
    const std::vector<double> column = solve_unit(*parts, c);
    for (std::size_t r = 0; r < n; ++r) out.at(r, c) = finite_value(column[r]);
  }
  return out;
}

Operand product(Call& call) {
  LastFirst reader(call);
  const auto read = reader.arrays(0);
  if (!read) return call.failure();
  const auto& [first, second] = *read;
  refuse_others(call, first);
  refuse_others(call, second);
  if (first.columns() != second.rows()) {
    call.fail(Error(Code::argument,
                    "MMULT: the second matrix must have as many rows as the first has columns", 1));
  }
  if (call.failed()) return call.failure();
  Matrix out(first.rows(), second.columns());
  for (std::size_t r = 0; r < out.rows(); ++r) {
    for (std::size_t c = 0; c < out.columns(); ++c) {
      ExactSum total;
      Value error;
      for (std::size_t k = 0; k < first.columns(); ++k) {
        const Value& a = first.at(r, k);
        const Value& b = second.at(k, c);
        if (!error.is_error() && a.is_error()) error = a;
        if (!error.is_error() && b.is_error()) error = b;
        total.add(a.number() * b.number());
      }
      out.at(r, c) = error.is_error() ? error : finite_value(total.value());
    }
  }
  return out;
}

Operand unit(Call& call) {
  const double size = std::floor(call.number(0));
  if (call.failed()) return call.failure();
  constexpr double kLargest = 4096;
  if (size < 1) return Code::argument;
  if (size > kLargest) return Code::array_size;
  const auto n = static_cast<std::size_t>(size);
  Matrix out(n, n, 0.0);
  for (std::size_t i = 0; i < n; ++i) out.at(i, i) = 1.0;
  return out;
}

constexpr StandardFunction kFunctions[] = {
    {"MDETERM", determinant, 1, 1, "a", Group::large, false, 1, Counting::at_call},
    {"MINVERSE", inverse, 1, 1, "a", Group::medium, false, 1, Counting::at_call},
    {"MMULT", product, 2, 2, "a", Group::medium},
    {"MUNIT", unit, 1, 1, "v", Group::large, false, 1, Counting::at_call},
};

}  // namespace

StandardFunctions matrix_functions() { return kFunctions; }

}  // namespace loftledger::standard
