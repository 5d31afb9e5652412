// What depends on what: the formulas of a workbook as nodes, which of them read which rows, in
// which order they are worked out, and what a change reaches.
#pragma once

#include <cstdint>
#include <optional>
#include <utility>
#include <vector>

#include "engine/base/address.hpp"
#include "engine/base/function_ref.hpp"
#include "engine/calc/program/programs.hpp"
#include "engine/graph/intervals.hpp"
#include "engine/graph/order.hpp"
#include "engine/sheet/workbook.hpp"

namespace loftledger::calc {

using NodeId = std::uint32_t;

enum class State : std::uint8_t { done, dirty, computing };

// Some rows, counted from a node's first.
struct Rows {
  std::int32_t first = 0;
  std::int32_t end = 0;
};

// Formulas that are calculated together: a run down a column, or one matrix formula.
struct Node {
  std::int32_t sheet = 0;
  std::int32_t column = 0;
  std::int32_t first_row = 0;
  std::int32_t rows = 1;
  std::int32_t columns = 1;  // of a matrix formula
  const Program* program = nullptr;
  bool is_matrix = false;
  State state = State::done;      // of all rows where `row_states` is empty
  std::vector<State> row_states;  // one a row (a matrix formula has one in all)
  // Of a dirty node, the rows that are to be calculated, counted from its first.
  std::int32_t dirty_first = 0;
  std::int32_t dirty_end = 0;
  std::int32_t growths = 0;  // how often these rows became more

  std::int32_t units() const { return is_matrix ? 1 : rows; }
  Area area() const {
    return {sheet, sheet, first_row, first_row + rows - 1, column, column + columns - 1};
  }
  // The rows that are to be calculated.
  Area dirty_area() const {
    Area out = area();
    out.last_row = first_row + dirty_end - 1;
    out.first_row = first_row + dirty_first;
    return out;
  }
  bool all_done() const { return row_states.empty() && state == State::done; }
  State state_of(std::int32_t unit) const {
    return row_states.empty() ? state : row_states[static_cast<std::size_t>(unit)];
  }
  void set_state(std::int32_t unit, State value) {
    if (row_states.empty()) row_states.assign(static_cast<std::size_t>(units()), state);
    row_states[static_cast<std::size_t>(unit)] = value;
  }
  void set_all(State value) {
    state = value;
    row_states.clear();
    dirty_first = 0;
    dirty_end = rows;
    growths = 0;
  }
  void set_dirty(Rows which) {
    set_all(State::dirty);
    dirty_first = which.first;
    dirty_end = which.end;
  }
};

// What is calculated in one go: a row of a run, or a matrix formula as a whole.
struct Unit {
  NodeId node;
  std::int32_t unit;
};

// The rows and columns that all cells of the node together read through one reference.
std::optional<Area> reach(const Node& node, const RelativeArea& reference);

// The rows of the node that read some cell of the area.
Rows rows_reading(const Node& node, const Area& area);

// Whether a node that reads its own column reads there only rows that come before in the order.
bool reads_only_done_rows(const Node& node, bool upwards);

class Dependencies {
 public:
  Dependencies(const sheet::Workbook& workbook, const catalogue::Catalogue& planning)
      : workbook_(workbook), programs_(workbook, planning) {}

  // Finds the nodes of the workbook anew; nothing of them is calculated yet.
  void build();

  std::size_t size() const { return nodes_.size(); }
  Node& node(NodeId id) { return nodes_[id]; }
  const Node& node(NodeId id) const { return nodes_[id]; }
  const std::vector<Node>& nodes() const { return nodes_; }
  // Those that are calculated every time.
  const std::vector<NodeId>& always() const { return always_; }
  // The node's program as a loop over rows; nullptr where there is none.
  const ColumnProgram* loop_of(const Node& node) { return programs_.loop_of(*node.program); }

  // The unit that makes the cell.
  std::optional<Unit> unit_at(CellAddress address) const;
  // The first cell that the unit makes.
  CellAddress address_of(const Unit& unit) const;

  // Hands over every node with cells in the area, with the column in which it meets the area.
  void each_node(const Area& area, FunctionRef<void(NodeId, std::int32_t column)> visit) const;
  // Hands over every node that reads one of the areas, with that area; what `reached` gives back
  // is followed as well.
  void follow(std::vector<Area> areas,
              FunctionRef<std::optional<Area>(NodeId, const Area&)> reached) const;
  // These nodes, those that others need before them; of needs only what is not done counts.
  std::vector<graph::Component> in_order(const std::vector<NodeId>& nodes) const;

 private:
  // Which nodes stand in a column, and which read from it.
  struct ColumnIndex {
    std::vector<std::pair<std::int32_t, NodeId>> nodes;  // by first row
    graph::Intervals readers;
  };

  void find_nodes(std::int32_t sheet);
  void index_nodes();
  ColumnIndex& column_index(std::int32_t sheet, std::int32_t column);
  // Visits the columns of the area that anything stands in or is read from.
  template <class Visit>
  void each_column(const Area& area, Visit visit) const;

  const sheet::Workbook& workbook_;
  Programs programs_;
  std::vector<Node> nodes_;
  // By sheet, then column.
  std::vector<std::vector<ColumnIndex>> index_;
  std::vector<NodeId> always_;
};

}  // namespace loftledger::calc
