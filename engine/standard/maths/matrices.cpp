// Products, inverses and determinants of matrices (OpenFormula 6.5); the numbers of the latter two
// are found in factors.cpp.
#include <algorithm>
#include <cmath>
#include <cstddef>

#include "engine/standard/call/last_first.hpp"
#include "engine/standard/call/numbers.hpp"
#include "engine/standard/maths/factors.hpp"
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

Operand determinant(Call& call) {
  const NumberMatrix m = square(call);
  return call.failed() ? call.failure() : call.finish(determinant_of(m));
}

Operand inverse(Call& call) {
  const NumberMatrix m = square(call);
  if (call.failed()) return call.failure();
  const auto found = inverse_of(m);
  if (!found) return Error(Code::argument, "MINVERSE: the matrix has no inverse", 0);
  Matrix out(m.rows(), m.columns());
  for (std::size_t r = 0; r < m.rows(); ++r) {
    for (std::size_t c = 0; c < m.columns(); ++c) out.at(r, c) = finite_value(found->at(r, c));
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
