#include "engine/calc/changes.hpp"

namespace loftledger::calc {

namespace {
// How often the rows of a run that are to be calculated may become more before all of them are.
constexpr std::int32_t kMostGrowths = 3;
}  // namespace

void Changes::forget() {
  noted_.clear();
  plan_ = {};
}

const std::vector<graph::Component>& Changes::plan() {
  if (plan_.order.empty() || plan_.changed != noted_) {
    make_plan(std::exchange(noted_, {}));
  } else {
    noted_.clear();
    for (const auto& [id, rows] : plan_.dirty) dependencies_.node(id).set_dirty(rows);
  }
  return plan_.order;
}

std::optional<Area> Changes::mark(NodeId id, Rows rows, std::vector<NodeId>& dirty) {
  Node& node = dependencies_.node(id);
  if (rows.first >= rows.end) return std::nullopt;
  if (node.state == State::done) {
    node.set_dirty(rows);
    dirty.push_back(id);
    return node.dirty_area();
  }
  if (rows.first >= node.dirty_first && rows.end <= node.dirty_end) return std::nullopt;
  // What reads its own rows, or changes in many places, is not followed step by step: in the
  // direction in which the rows become more, all of them do.
  const bool all = ++node.growths > kMostGrowths;
  if (rows.first < node.dirty_first) node.dirty_first = all ? 0 : rows.first;
  if (rows.end > node.dirty_end) node.dirty_end = all ? node.rows : rows.end;
  return node.dirty_area();
}

void Changes::make_plan(std::vector<Area> changed) {
  std::vector<NodeId> dirty;
  std::vector<Area> spreading = changed;
  for (const NodeId id : dependencies_.always()) {
    const Rows all{0, dependencies_.node(id).rows};
    if (const auto area = mark(id, all, dirty)) spreading.push_back(*area);
  }
  const auto reached = [&](NodeId id, const Area& read) -> std::optional<Area> {
    const Node& node = dependencies_.node(id);
    const bool all = node.dirty_first == 0 && node.dirty_end == node.rows;
    if (node.state != State::done && all) return std::nullopt;
    return mark(id, rows_reading(node, read), dirty);
  };
  dependencies_.follow(std::move(spreading), reached);
  plan_ = {std::move(changed), {}, dependencies_.in_order(dirty)};
  for (const NodeId id : dirty) {
    const Node& node = dependencies_.node(id);
    plan_.dirty.emplace_back(id, Rows{node.dirty_first, node.dirty_end});
  }
}

}  // namespace loftledger::calc
