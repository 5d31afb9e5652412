#include "engine/calc/dependencies.hpp"

#include <algorithm>

namespace loftledger::calc {

std::optional<Area> reach(const Node& node, const RelativeArea& reference) {
  const auto first = placed(reference, {node.sheet, node.first_row, node.column});
  const auto last = placed(
      reference, {node.sheet, node.first_row + (node.is_matrix ? 0 : node.rows - 1), node.column});
  if (!first && !last) return std::nullopt;
  if (reference.wraps || !first || !last) {
    // Where it wraps or leaves the sheet between the two ends, the whole height is a safe answer.
    Area area = first ? *first : *last;
    if (!reference.first_row_absolute || !reference.last_row_absolute) {
      area.first_row = 0;
      area.last_row = kMaxRows - 1;
    }
    return area;
  }
  Area area = *first;
  area.first_row = std::min(first->first_row, last->first_row);
  area.last_row = std::max(first->last_row, last->last_row);
  return area;
}

Rows rows_reading(const Node& node, const Area& area) {
  const Rows all{0, node.rows};
  if (node.is_matrix || node.program->dynamic) return all;
  Rows out{node.rows, 0};
  for (const RelativeArea& r : node.program->references) {
    const auto reached = reach(node, r);
    if (!reached || !reached->meets(area)) continue;
    // Row i reads from one corner to the other, each either a place or a distance from row i.
    if (r.wraps || (r.first_row_absolute && r.last_row_absolute)) return all;
    const std::int32_t row = node.first_row;
    Rows rows;
    if (!r.first_row_absolute && !r.last_row_absolute) {
      rows = {area.first_row - std::max(r.first_row, r.last_row) - row,
              area.last_row - std::min(r.first_row, r.last_row) - row + 1};
    } else {
      const std::int32_t place = r.first_row_absolute ? r.first_row : r.last_row;
      const std::int32_t distance = r.first_row_absolute ? r.last_row : r.first_row;
      if (place >= area.first_row && place <= area.last_row) return all;
      rows = place < area.first_row ? Rows{area.first_row - distance - row, node.rows}
                                    : Rows{0, area.last_row - distance - row + 1};
    }
    out.first = std::min(out.first, std::max(rows.first, 0));
    out.end = std::max(out.end, std::min(rows.end, node.rows));
  }
  return out;
}

bool reads_only_done_rows(const Node& node, bool upwards) {
  if (node.is_matrix) return false;
  const Area own = node.area();
  for (const RelativeArea& r : node.program->references) {
    const auto area = reach(node, r);
    if (!area || !area->meets(own)) continue;
    // It reads its own column: only rows that come earlier in the order may be among them.
    if (r.wraps) return false;
    const auto earlier = [&](std::int32_t row, bool absolute) {
      if (absolute) {
        return upwards ? row >= node.first_row + node.rows : row < node.first_row;
      }
      return upwards ? row > 0 : row < 0;
    };
    if (!earlier(r.first_row, r.first_row_absolute) || !earlier(r.last_row, r.last_row_absolute)) {
      return false;
    }
  }
  return true;
}

// --- Finding the nodes

void Dependencies::build() {
  nodes_.clear();
  always_.clear();
  programs_.clear();
  index_.assign(static_cast<std::size_t>(workbook_.sheets()), {});
  for (std::int32_t s = 0; s < workbook_.sheets(); ++s) find_nodes(s);
  index_nodes();
}

void Dependencies::find_nodes(std::int32_t s) {
  const sheet::Sheet& sheet = workbook_.sheet(s);
  for (std::int32_t c = 0; c < sheet.columns(); ++c) {
    const sheet::Column* column = sheet.column(c);
    if (column == nullptr) continue;
    for (const sheet::Run& run : column->runs()) {
      Node node;
      node.sheet = s;
      node.column = c;
      node.first_row = run.first_row;
      node.rows = run.rows;
      node.program = programs_.of(run.shape, s, false);
      nodes_.push_back(std::move(node));
    }
  }
  for (const sheet::MatrixFormula& matrix : sheet.matrices()) {
    Node node;
    node.sheet = s;
    node.column = matrix.span.first_column;
    node.first_row = matrix.span.first_row;
    node.rows = static_cast<std::int32_t>(matrix.span.rows());
    node.columns = static_cast<std::int32_t>(matrix.span.columns());
    node.program = programs_.of(matrix.shape, s, true);
    node.is_matrix = true;
    nodes_.push_back(std::move(node));
  }
}

Dependencies::ColumnIndex& Dependencies::column_index(std::int32_t sheet, std::int32_t column) {
  auto& columns = index_[static_cast<std::size_t>(sheet)];
  if (columns.size() <= static_cast<std::size_t>(column)) {
    columns.resize(static_cast<std::size_t>(column) + 1);
  }
  return columns[static_cast<std::size_t>(column)];
}

void Dependencies::index_nodes() {
  for (NodeId id = 0; id < nodes_.size(); ++id) {
    const Node& node = nodes_[id];
    for (std::int32_t c = 0; c < node.columns; ++c) {
      column_index(node.sheet, node.column + c).nodes.emplace_back(node.first_row, id);
    }
    if (node.program->is_volatile) always_.push_back(id);
    for (const RelativeArea& reference : node.program->references) {
      const auto area = reach(node, reference);
      if (!area) continue;
      for (std::int32_t s = area->first_sheet; s <= area->last_sheet; ++s) {
        // Cells right of all that are used cannot change before they are set, and whoever sets one
        // builds anew.
        const std::int32_t last = std::min(area->last_column, workbook_.sheet(s).columns_end() - 1);
        for (std::int32_t c = area->first_column; c <= last; ++c) {
          column_index(s, c).readers.add(area->first_row, area->last_row, id);
        }
      }
    }
  }
  for (auto& sheet : index_) {
    for (ColumnIndex& column : sheet) {
      std::sort(column.nodes.begin(), column.nodes.end());
      column.readers.build();
    }
  }
}

// --- Asking

template <class Visit>
void Dependencies::each_column(const Area& area, Visit visit) const {
  for (std::int32_t s = area.first_sheet; s <= area.last_sheet; ++s) {
    if (static_cast<std::size_t>(s) >= index_.size()) return;
    const auto& columns = index_[static_cast<std::size_t>(s)];
    for (std::int32_t c = area.first_column;
         c <= area.last_column && static_cast<std::size_t>(c) < columns.size(); ++c) {
      visit(columns[static_cast<std::size_t>(c)], c);
    }
  }
}

void Dependencies::each_node(const Area& area,
                             FunctionRef<void(NodeId, std::int32_t column)> visit) const {
  each_column(area, [&](const ColumnIndex& column, std::int32_t c) {
    const auto& nodes = column.nodes;
    auto at = std::upper_bound(nodes.begin(), nodes.end(), std::pair{area.first_row, ~NodeId{0}});
    if (at != nodes.begin()) {
      const Node& before = nodes_[std::prev(at)->second];
      if (before.first_row + before.rows > area.first_row) --at;
    }
    for (; at != nodes.end() && at->first <= area.last_row; ++at) visit(at->second, c);
  });
}

std::optional<Unit> Dependencies::unit_at(CellAddress a) const {
  if (static_cast<std::size_t>(a.sheet) >= index_.size()) return std::nullopt;
  const auto& columns = index_[static_cast<std::size_t>(a.sheet)];
  if (static_cast<std::size_t>(a.column) >= columns.size()) return std::nullopt;
  const auto& nodes = columns[static_cast<std::size_t>(a.column)].nodes;
  auto after = std::upper_bound(nodes.begin(), nodes.end(), std::pair{a.row, ~NodeId{0}});
  if (after == nodes.begin()) return std::nullopt;
  const NodeId id = std::prev(after)->second;
  const Node& node = nodes_[id];
  if (a.row >= node.first_row + node.rows) return std::nullopt;
  return Unit{id, node.is_matrix ? 0 : a.row - node.first_row};
}

CellAddress Dependencies::address_of(const Unit& unit) const {
  const Node& node = nodes_[unit.node];
  return {node.sheet, node.first_row + unit.unit, node.column};
}

void Dependencies::follow(std::vector<Area> areas,
                          FunctionRef<std::optional<Area>(NodeId, const Area&)> reached) const {
  while (!areas.empty()) {
    const Area area = areas.back();
    areas.pop_back();
    const auto read_by = [&](NodeId id) {
      if (const auto further = reached(id, area)) areas.push_back(*further);
    };
    each_column(area, [&](const ColumnIndex& column, std::int32_t) {
      if (!column.readers.empty()) {
        column.readers.meeting(area.first_row, area.last_row, read_by);
      }
    });
  }
}

std::vector<graph::Component> Dependencies::in_order(const std::vector<NodeId>& nodes) const {
  const auto needs = [&](NodeId id, std::vector<NodeId>& out) {
    const Node& node = nodes_[id];
    for (const RelativeArea& reference : node.program->references) {
      const auto area = reach(node, reference);
      if (!area) continue;
      each_node(*area, [&](NodeId other, std::int32_t) {
        if (nodes_[other].state != State::done) out.push_back(other);
      });
    }
  };
  return graph::in_order(nodes, static_cast<std::uint32_t>(nodes_.size()), needs);
}

}  // namespace loftledger::calc
