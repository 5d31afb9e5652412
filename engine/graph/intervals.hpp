// A set of row intervals, each with an id, that answers which of them meet a given interval.
#pragma once

#include <algorithm>
#include <cstdint>
#include <vector>

#include "engine/base/function_ref.hpp"

namespace loftledger::graph {

class Intervals {
 public:
  void add(std::int32_t first, std::int32_t last, std::uint32_t id) {
    entries_.push_back({first, last, id});
    built_ = false;
  }
  // Must be called after the last add() and before the first query.
  void build();
  bool empty() const { return entries_.empty(); }
  void meeting(std::int32_t first, std::int32_t last,
               FunctionRef<void(std::uint32_t id)> visit) const;

 private:
  struct Entry {
    std::int32_t first;
    std::int32_t last;
    std::uint32_t id;
  };
  std::vector<Entry> entries_;       // by first
  std::vector<std::int32_t> reach_;  // the furthest last in each subtree of the implicit tree
  bool built_ = false;
};

}  // namespace loftledger::graph
