#include "engine/graph/order.hpp"

#include <algorithm>

namespace loftledger::graph {

// R. Tarjan, "Depth-first search and linear graph algorithms", SIAM J. Comput. 1(2), 1972, with the
// recursion kept on a vector.
std::vector<Component> in_order(
    const std::vector<std::uint32_t>& nodes, std::uint32_t node_count,
    FunctionRef<void(std::uint32_t, std::vector<std::uint32_t>&)> needs) {
  constexpr std::uint32_t kUnseen = 0;
  std::vector<std::uint32_t> number(node_count, kUnseen);
  std::vector<std::uint32_t> lowest(node_count, 0);
  std::vector<std::uint8_t> open(node_count, 0);
  std::vector<std::uint8_t> wanted(node_count, 0);
  for (std::uint32_t node : nodes) wanted[node] = 1;

  struct Frame {
    std::uint32_t node;
    std::size_t begin;  // of its needs in `pool`
    std::size_t next;
    bool needs_itself;
  };
  std::vector<Frame> frames;
  std::vector<std::uint32_t> pool;  // the needs of all open frames, one behind the other
  std::vector<std::uint32_t> path;
  std::vector<Component> out;
  std::uint32_t counter = 0;
  std::vector<std::uint32_t> scratch;

  const auto enter = [&](std::uint32_t node) {
    number[node] = lowest[node] = ++counter;
    open[node] = 1;
    path.push_back(node);
    scratch.clear();
    needs(node, scratch);
    frames.push_back({node, pool.size(), pool.size(), false});
    pool.insert(pool.end(), scratch.begin(), scratch.end());
  };

  for (std::uint32_t root : nodes) {
    if (number[root] != kUnseen) continue;
    enter(root);
    while (!frames.empty()) {
      Frame& frame = frames.back();
      if (frame.next < pool.size()) {
        const std::uint32_t need = pool[frame.next++];
        if (wanted[need] == 0) continue;
        if (need == frame.node) frame.needs_itself = true;
        if (number[need] == kUnseen) {
          enter(need);
        } else if (open[need] != 0) {
          lowest[frame.node] = std::min(lowest[frame.node], number[need]);
        }
        continue;
      }
      const Frame done = frame;
      pool.resize(done.begin);
      frames.pop_back();
      if (!frames.empty()) {
        std::uint32_t& above = lowest[frames.back().node];
        above = std::min(above, lowest[done.node]);
      }
      if (lowest[done.node] == number[done.node]) {
        Component component;
        std::uint32_t member = 0;
        do {
          member = path.back();
          path.pop_back();
          open[member] = 0;
          component.nodes.push_back(member);
        } while (member != done.node);
        component.knot = component.nodes.size() > 1 || done.needs_itself;
        out.push_back(std::move(component));
      }
    }
  }
  return out;
}

}  // namespace loftledger::graph
