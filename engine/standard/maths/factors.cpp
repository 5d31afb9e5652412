#include "engine/standard/maths/factors.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <utility>
#include <vector>

namespace loftledger::standard {

namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Factors = Eigen::PartialPivLU<MatrixXd>;
__extension__ using WideInteger = __int128;

MatrixXd dense(const NumberMatrix& m) {
  MatrixXd out(static_cast<Index>(m.rows()), static_cast<Index>(m.columns()));
  for (std::size_t r = 0; r < m.rows(); ++r) {
    for (std::size_t c = 0; c < m.columns(); ++c) {
      out(static_cast<Index>(r), static_cast<Index>(c)) = m.at(r, c);
    }
  }
  return out;
}

// The determinant of whole numbers, or nothing where it might be too large. Hadamard's bound, the
// product of the lengths of the rows, holds for all minors as well where no length is below 1, and
// minors are all that Bareiss's elimination meets.
std::optional<std::int64_t> whole_determinant(const MatrixXd& m) {
  constexpr double kLargest = 0x1p62;
  // Larger ones that keep below the bound are all but empty, and would take minutes.
  constexpr Index kMostRows = 128;
  if (m.rows() > kMostRows) return std::nullopt;
  double bound = 1;
  for (Index r = 0; r < m.rows(); ++r) {
    for (const double each : m.row(r)) {
      if (each != std::floor(each)) return std::nullopt;
    }
    bound *= std::max(1.0, m.row(r).stableNorm());
    if (!(bound < kLargest)) return std::nullopt;
  }
  Eigen::Matrix<std::int64_t, Eigen::Dynamic, Eigen::Dynamic> a = m.cast<std::int64_t>();
  const Index n = a.rows();
  std::int64_t before = 1;
  bool turned = false;
  for (Index k = 0; k + 1 < n; ++k) {
    Index pivot = k;
    while (pivot < n && a(pivot, k) == 0) ++pivot;
    if (pivot == n) return 0;
    if (pivot != k) {
      a.row(pivot).swap(a.row(k));
      turned = !turned;
    }
    const WideInteger corner = a(k, k);
    for (Index r = k + 1; r < n; ++r) {
      for (Index c = k + 1; c < n; ++c) {
        const WideInteger minor = corner * a(r, c) - WideInteger(a(r, k)) * a(k, c);
        a(r, c) = static_cast<std::int64_t>(minor / before);
      }
    }
    before = a(k, k);
  }
  return turned ? -a(n - 1, n - 1) : a(n - 1, n - 1);
}

// The power of 2 that brings the greatest size between 1 and 2.
template <class Part>
int magnitude(const Part& part) {
  const double greatest = part.cwiseAbs().maxCoeff();
  return greatest > 0 && std::isfinite(greatest) ? std::ilogb(greatest) : 0;
}

template <class Part>
void scale(Part&& part, int power) {
  for (double& each : part) each = std::ldexp(each, power);
}

// Factors of the matrix with its rows and then its columns in units of their own, which are powers
// of 2 and so cost nothing.
struct Scaled {
  MatrixXd matrix;
  std::vector<int> rows;
  std::vector<int> columns;

  explicit Scaled(MatrixXd m) : matrix(std::move(m)) {
    for (Index r = 0; r < matrix.rows(); ++r) {
      rows.push_back(magnitude(matrix.row(r)));
      scale(matrix.row(r), -rows.back());
    }
    for (Index c = 0; c < matrix.cols(); ++c) {
      columns.push_back(magnitude(matrix.col(c)));
      scale(matrix.col(c), -columns.back());
    }
  }
};

// What an approximate inverse still leaves of the unit matrix, in wider numbers.
MatrixXd left_over(const MatrixXd& m, const MatrixXd& inverse) {
  const Index n = m.rows();
  const MatrixXd rows = m.transpose();  // side by side in memory
  MatrixXd out(n, n);
  for (Index c = 0; c < n; ++c) {
    for (Index r = 0; r < n; ++r) {
      long double rest = r == c ? 1 : 0;
      for (Index i = 0; i < n; ++i) {
        rest -= static_cast<long double>(rows(i, r)) * static_cast<long double>(inverse(i, c));
      }
      out(r, c) = static_cast<double>(rest);
    }
  }
  return out;
}

}  // namespace

double determinant_of(const NumberMatrix& m) {
  const MatrixXd matrix = dense(m);
  if (const auto exact = whole_determinant(matrix)) return static_cast<double>(*exact);
  return Factors(matrix).determinant();
}

std::optional<NumberMatrix> inverse_of(const NumberMatrix& m) {
  const MatrixXd given = dense(m);
  const auto exact = whole_determinant(given);
  if (exact && *exact == 0) return std::nullopt;
  const Scaled scaled(given);
  const Factors factors(scaled.matrix);
  const bool no_pivot = (factors.matrixLU().diagonal().array() == 0).any();
  // Written so that what is no number is refused too.
  if (no_pivot || !(factors.rcond() >= 0x1p-53)) return std::nullopt;
  MatrixXd inverse = factors.inverse();
  // One step with residuals in wider numbers brings back what the factors lost (Golub and Van Loan,
  // 3.5.3).
  inverse += factors.solve(left_over(scaled.matrix, inverse));
  NumberMatrix out(m.rows(), m.columns());
  for (std::size_t r = 0; r < m.rows(); ++r) {
    for (std::size_t c = 0; c < m.columns(); ++c) {
      out.at(r, c) = std::ldexp(inverse(static_cast<Index>(r), static_cast<Index>(c)),
                                -scaled.columns[r] - scaled.rows[c]);
    }
  }
  return out;
}

}  // namespace loftledger::standard
