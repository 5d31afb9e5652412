#include "engine/planning/freight/pallet_layer.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <vector>

namespace loftledger::planning {

namespace {

constexpr double kSlack = 1e-9;
constexpr double kMostTimes = 1e9;

// Sizes beyond which the two-block pattern stands in: distinct sums of edges, and looks at
// pinwheels.
constexpr std::size_t kMostSizes = 400;
constexpr std::int64_t kMostLooks = 10'000'000;

// Cases in the pattern with whole columns of one orientation beside a block of the other.
int beside(double length, double width, double l, double w) {
  const int most = whole_times(length, l);
  const int rows = whole_times(width, w);
  const int turned_rows = whole_times(width, l);
  int best = 0;
  for (int columns = 0; columns <= most; ++columns) {
    const int turned = whole_times(length - columns * l, w) * turned_rows;
    best = std::max(best, columns * rows + turned);
  }
  return best;
}

// Every size that matters is a sum of case edges; a rectangle is a pair of places in that list.
class Layer {
 public:
  Layer(double length, double width, double l, double w) : l_(l), w_(w) {
    gather(std::max(length, width));
    if (sizes_.size() > kMostSizes) return;
    rests();
    columns_ = place(std::min(length, width)) + 1;
    rows_ = place(std::max(length, width)) + 1;
    cut();
    solved_.assign(best_.size(), false);
  }

  bool too_fine() const { return sizes_.size() > kMostSizes; }

  int most() { return solve(rows_ - 1, columns_ - 1); }

 private:
  using Place = std::size_t;

  void gather(double limit) {
    const double slack = limit * kSlack;
    for (int i = 0; i <= whole_times(limit, l_); ++i) {
      for (int j = 0; j <= whole_times(limit - i * l_, w_); ++j) {
        sizes_.push_back(i * l_ + j * w_);
        if (sizes_.size() > 100 * kMostSizes) return;
      }
    }
    std::sort(sizes_.begin(), sizes_.end());
    sizes_.erase(std::unique(sizes_.begin(), sizes_.end(),
                             [&](double a, double b) { return b - a <= slack; }),
                 sizes_.end());
  }

  // The place of the largest size that fits into the length.
  Place place(double length) const {
    const double slack = sizes_.back() * kSlack;
    const auto after = std::upper_bound(sizes_.begin(), sizes_.end(), length + slack);
    return static_cast<Place>(after - sizes_.begin()) - 1;
  }

  void rests() {
    const Place n = sizes_.size();
    rest_.resize(n * n);
    for (Place a = 0; a < n; ++a) {
      for (Place b = 0; b <= a; ++b) rest_[a * n + b] = place(sizes_[a] - sizes_[b]);
    }
  }
  Place rest(Place a, Place b) const { return rest_[a * sizes_.size() + b]; }

  // Rectangles stand with their long side first: either way round they hold the same.
  int& best(Place a, Place b) { return best_[std::max(a, b) * columns_ + std::min(a, b)]; }

  int room(Place a, Place b) const {
    return static_cast<int>(sizes_[a] * sizes_[b] / (l_ * w_) * (1 + kSlack));
  }

  // By straight cuts alone, from small rectangles to large ones.
  void cut() {
    best_.assign(rows_ * columns_, 0);
    for (Place a = 1; a < rows_; ++a) {
      for (Place b = 1; b < std::min(columns_, a + 1); ++b) {
        int most = fits_one(sizes_[a], sizes_[b]) ? 1 : 0;
        for (Place c = 1; c < a && 2 * sizes_[c] <= sizes_[a] * (1 + kSlack); ++c) {
          most = std::max(most, best(c, b) + best(rest(a, c), b));
        }
        for (Place c = 1; c < b && 2 * sizes_[c] <= sizes_[b] * (1 + kSlack); ++c) {
          most = std::max(most, best(a, c) + best(a, rest(b, c)));
        }
        best(a, b) = most;
      }
    }
  }

  bool fits_one(double a, double b) const {
    return whole_times(a, std::max(l_, w_)) > 0 && whole_times(b, std::min(l_, w_)) > 0;
  }

  // Adds the pinwheels: four blocks round a fifth, each a rectangle of the same problem.
  int solve(Place a, Place b) {
    const std::size_t key = std::max(a, b) * columns_ + std::min(a, b);
    if (solved_[key]) return best_[key];
    solved_[key] = true;
    const int limit = room(a, b);
    improve_by_cuts(a, b, limit);
    for (Place x1 = 1; x1 < a && best_[key] < limit; ++x1) {
      for (Place x2 = x1 + 1; x2 < a; ++x2) {
        // Turned by half a circle, the pinwheel is another one of the same count.
        if (sizes_[x1] + sizes_[x2] > sizes_[a] * (1 + kSlack)) break;
        for (Place y1 = 1; y1 < b; ++y1) {
          for (Place y2 = y1 + 1; y2 < b; ++y2) {
            if (++looks_ > kMostLooks || best_[key] >= limit) return best_[key];
            pinwheel(key, a, b, x1, x2, y1, y2);
          }
        }
      }
    }
    return best_[key];
  }

  // A straight cut may do better once its two sides have pinwheels in them.
  void improve_by_cuts(Place a, Place b, int limit) {
    int& most = best(a, b);
    for (Place c = 1; c < a && most < limit && 2 * sizes_[c] <= sizes_[a] * (1 + kSlack); ++c) {
      if (room(c, b) + room(rest(a, c), b) <= most) continue;
      most = std::max(most, solve(c, b) + solve(rest(a, c), b));
    }
    for (Place c = 1; c < b && most < limit && 2 * sizes_[c] <= sizes_[b] * (1 + kSlack); ++c) {
      if (room(a, c) + room(a, rest(b, c)) <= most) continue;
      most = std::max(most, solve(a, c) + solve(a, rest(b, c)));
    }
  }

  void pinwheel(std::size_t key, Place a, Place b, Place x1, Place x2, Place y1, Place y2) {
    const Place blocks[5][2] = {{x2, y1},
                                {rest(a, x2), y2},
                                {rest(a, x1), rest(b, y2)},
                                {x1, rest(b, y1)},
                                {rest(x2, x1), rest(y2, y1)}};
    int limit = 0;
    for (const auto& block : blocks) limit += room(block[0], block[1]);
    int found = 0;
    for (const auto& block : blocks) {
      if (limit <= best_[key]) return;
      const int held = solve(block[0], block[1]);
      limit += held - room(block[0], block[1]);
      found += held;
    }
    best_[key] = std::max(best_[key], found);
  }

  double l_;
  double w_;
  std::vector<double> sizes_;
  std::vector<Place> rest_;
  Place rows_ = 0;
  Place columns_ = 0;
  std::vector<int> best_;
  std::vector<bool> solved_;
  std::int64_t looks_ = 0;
};

}  // namespace

int whole_times(double whole, double part) {
  return static_cast<int>(std::clamp(std::floor(whole / part * (1 + kSlack)), 0.0, kMostTimes));
}

int cases_in_two_blocks(double length, double width, double l, double w) {
  return std::max({beside(length, width, l, w), beside(length, width, w, l),
                   beside(width, length, l, w), beside(width, length, w, l)});
}

int cases_in_layer(double length, double width, double l, double w) {
  Layer layer(length, width, l, w);
  return layer.too_fine() ? cases_in_two_blocks(length, width, l, w) : layer.most();
}

}  // namespace loftledger::planning
