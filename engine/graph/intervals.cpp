#include "engine/graph/intervals.hpp"

#include <array>
#include <cassert>
#include <utility>

namespace loftledger::graph {

// The sorted entries are read as a balanced tree whose root is the middle of each span; reach_
// holds at a root the furthest end of its span, so that spans which end too early are passed over
// whole.

void Intervals::build() {
  std::sort(entries_.begin(), entries_.end(),
            [](const Entry& a, const Entry& b) { return a.first < b.first; });
  reach_.assign(entries_.size(), 0);
  struct Span {
    std::size_t low;
    std::size_t high;
    bool children_done;
  };
  std::vector<Span> stack;
  if (!entries_.empty()) stack.push_back({0, entries_.size(), false});
  while (!stack.empty()) {
    const Span span = stack.back();
    const std::size_t middle = span.low + (span.high - span.low) / 2;
    if (!span.children_done) {
      stack.back().children_done = true;
      if (span.low < middle) stack.push_back({span.low, middle, false});
      if (middle + 1 < span.high) stack.push_back({middle + 1, span.high, false});
      continue;
    }
    stack.pop_back();
    std::int32_t furthest = entries_[middle].last;
    if (span.low < middle) {
      furthest = std::max(furthest, reach_[span.low + (middle - span.low) / 2]);
    }
    if (middle + 1 < span.high) {
      furthest = std::max(furthest, reach_[middle + 1 + (span.high - middle - 1) / 2]);
    }
    reach_[middle] = furthest;
  }
  built_ = true;
}

void Intervals::meeting(std::int32_t first, std::int32_t last,
                        FunctionRef<void(std::uint32_t id)> visit) const {
  assert(built_ || entries_.empty());
  // Halving spans cannot nest deeper than the bits of a size.
  std::array<std::pair<std::size_t, std::size_t>, 130> stack;
  std::size_t depth = 0;
  stack[depth++] = {0, entries_.size()};
  while (depth > 0) {
    const auto [low, high] = stack[--depth];
    if (low >= high) continue;
    const std::size_t middle = low + (high - low) / 2;
    if (reach_[middle] < first) continue;
    const Entry& entry = entries_[middle];
    stack[depth++] = {low, middle};
    if (entry.first > last) continue;
    if (entry.last >= first) visit(entry.id);
    stack[depth++] = {middle + 1, high};
  }
}

}  // namespace loftledger::graph
