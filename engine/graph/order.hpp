// The order in which nodes must be worked off, and the knots that have none.
#pragma once

#include <cstdint>
#include <vector>

#include "engine/base/function_ref.hpp"

namespace loftledger::graph {

struct Component {
  std::vector<std::uint32_t> nodes;
  bool knot = false;  // more than one node, or a node that needs itself
};

// Groups the nodes into strongly connected components, those that are needed first. `needs` gives
// the nodes that a node needs. Works without recursion: a chain of any length is fine.
std::vector<Component> in_order(
    const std::vector<std::uint32_t>& nodes, std::uint32_t node_count,
    FunctionRef<void(std::uint32_t node, std::vector<std::uint32_t>& out)> needs);

}  // namespace loftledger::graph
