// Determinants and inverses by triangular factors: G. H. Golub and C. F. Van Loan, Matrix
// Computations, sections 3.4 and 3.5; the factors are Eigen's.
#pragma once

#include <optional>

#include "engine/standard/call/numbers.hpp"

namespace loftledger::standard {

// Of a square matrix. Of whole numbers it is exact as far as a number holds it, unless it might be
// beyond 2^62 or has more than 128 rows: E. H. Bareiss, Mathematics of Computation 22 (1968).
double determinant_of(const NumberMatrix& m);

// Of a square matrix; nothing where it is singular. Of whole numbers whose determinant is known
// exactly that is where it is 0; of all, where an exact 0 stands among the pivots, or where so much
// is lost to rounding that no digit of an inverse would be sure: where the reciprocal condition
// number, after rows and columns have been scaled to one size, is below 2^-53.
std::optional<NumberMatrix> inverse_of(const NumberMatrix& m);

}  // namespace loftledger::standard
