// The same arithmetic over many rows at once. A lane without a number - an error, whatever it is -
// holds NaN, and stays NaN through everything but a choice that leaves it out; whoever runs kernels
// works such rows out one by one, so that the error is the right one.
#pragma once

#include <cstddef>
#include <span>

#include "engine/formula/ast.hpp"

namespace loftledger::standard {

// Whether the operator has a kernel.
bool has_kernel(formula::Operator op);

// out[i] = a[i] op b[i]; comparisons give 1 and 0.
void run_kernel(formula::Operator op, const double* a, const double* b, double* out,
                std::size_t lanes);

// out[i] = condition[i] is not 0 ? yes[i] : no[i]
void choose_lanes(const double* condition, const double* yes, const double* no, double* out,
                  std::size_t lanes);

// A function over many rows: one pointer an argument.
using Kernel = void (*)(std::span<const double* const> arguments, double* out, std::size_t lanes);

struct FunctionKernel {
  std::string_view name;
  Kernel kernel;
  bool yields_truth;  // 1 and 0 are TRUE and FALSE
};

// The kernel of a function, or nullptr: SUM, MIN, MAX, ROUND, ABS, INT, AND, OR, NOT.
const FunctionKernel* find_kernel(std::string_view name);

}  // namespace loftledger::standard
