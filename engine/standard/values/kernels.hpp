// The same arithmetic over many rows at once. A lane without a number - an error, whatever it is -
// holds NaN, and stays NaN through everything but a choice that leaves it out; whoever runs kernels
// works such rows out one by one, so that the error is the right one. No kernel writes over what it
// reads: `out` must not be among the arguments.
#pragma once

#include <cstddef>
#include <span>
#include <string_view>

#include "engine/formula/ast.hpp"

namespace loftledger::standard {

// One argument: a number for every lane. Where all lanes are the same, a loop needs no memory.
struct Lanes {
  const double* numbers = nullptr;
  bool same = false;

  double operator[](std::size_t lane) const { return numbers[lane]; }
};

// Whether the infix operator has a kernel.
bool has_kernel(formula::Operator op);

// out[i] = a[i] op b[i]; comparisons give 1 and 0.
void run_kernel(formula::Operator op, Lanes a, Lanes b, double* out, std::size_t lanes);

// Minus or percent.
void run_kernel(formula::Operator op, Lanes a, double* out, std::size_t lanes);

// out[i] = condition[i] is not 0 ? yes[i] : no[i]
void choose_lanes(Lanes condition, Lanes yes, Lanes no, double* out, std::size_t lanes);

// Whether no lane is NaN.
bool all_numbers(const double* lane, std::size_t lanes);

// A function over many rows: one entry an argument, or a cell of one; the terms of a sum in the
// order in which they are added.
using Kernel = void (*)(std::span<const Lanes> arguments, double* out, std::size_t lanes);

struct FunctionKernel {
  std::string_view name;
  Kernel kernel;
  bool yields_truth;  // 1 and 0 are TRUE and FALSE
};

// The kernel of a function, or nullptr: SUM, MIN, MAX, ROUND, ABS, INT, AND, OR, NOT.
const FunctionKernel* find_kernel(std::string_view name);

}  // namespace loftledger::standard
