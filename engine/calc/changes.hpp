// What was set since the last calculation, and what that makes necessary.
#pragma once

#include <utility>
#include <vector>

#include "engine/calc/dependencies.hpp"

namespace loftledger::calc {

class Changes {
 public:
  explicit Changes(Dependencies& dependencies) : dependencies_(dependencies) {}

  void add(CellAddress cell) { noted_.push_back(Area::of(cell)); }
  // Everything is calculated anew, whatever was noted; the nodes may be others from now on.
  void forget();

  // Marks the rows of all nodes that what was noted reaches, and those that are calculated every
  // time, and gives the order in which they are worked out. Nothing is noted from then on.
  const std::vector<graph::Component>& plan();

 private:
  // Who tries many values in the same cells needs the same plan many times.
  struct Plan {
    std::vector<Area> changed;
    std::vector<std::pair<NodeId, Rows>> dirty;
    std::vector<graph::Component> order;
  };

  void make_plan(std::vector<Area> changed);
  // The dirty rows of the node as an area where they became more than they were.
  std::optional<Area> mark(NodeId id, Rows rows, std::vector<NodeId>& dirty);

  Dependencies& dependencies_;
  std::vector<Area> noted_;
  Plan plan_;
};

}  // namespace loftledger::calc
