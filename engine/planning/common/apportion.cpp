#include "engine/planning/common/apportion.hpp"

#include <algorithm>
#include <numeric>

#include "engine/base/decimal.hpp"

namespace loftledger::planning {

namespace {

__extension__ using Wide = __int128;

// The weights as whole numbers in one power of ten, so that shares and remainders are exact and
// equal weights tie. 18 digits below the largest weight are kept.
std::vector<Wide> whole_weights(std::span<const double> weights) {
  std::vector<Decimal> seen;
  seen.reserve(weights.size());
  int top = 0;
  bool any = false;
  for (double weight : weights) {
    const Decimal& d = seen.emplace_back(Decimal::seen(weight));
    if (d.sign() == 0) continue;
    top = any ? std::max(top, d.magnitude()) : d.magnitude();
    any = true;
  }
  std::vector<Wide> out;
  out.reserve(seen.size());
  for (const Decimal& d : seen) out.push_back(d.in_powers_of_ten(top - 17));
  return out;
}

}  // namespace

std::vector<std::int64_t> apportion(std::int64_t coins, std::span<const double> weights) {
  std::vector<std::int64_t> parts(weights.size(), 0);
  const std::vector<Wide> whole = whole_weights(weights);
  const Wide sum = std::accumulate(whole.begin(), whole.end(), Wide{0});
  if (coins == 0 || sum == 0) return parts;
  const std::int64_t sign = coins < 0 ? -1 : 1;
  std::int64_t left = coins * sign;
  std::vector<Wide> remainders(weights.size());
  for (std::size_t i = 0; i < parts.size(); ++i) {
    const Wide share = Wide{coins * sign} * whole[i];
    parts[i] = static_cast<std::int64_t>(share / sum);
    remainders[i] = share % sum;
    left -= parts[i];
  }
  std::vector<std::size_t> order(parts.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(),
                   [&](std::size_t a, std::size_t b) { return remainders[a] > remainders[b]; });
  // Fewer coins are left than there are remainders above 0.
  for (std::size_t i = 0; left > 0; ++i, --left) ++parts[order[i]];
  for (std::int64_t& part : parts) part *= sign;
  return parts;
}

}  // namespace loftledger::planning
