#include "engine/calc/calculator.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

#include "engine/format/calendar.hpp"

namespace loftledger::calc {

namespace {
// Below this many rows the setting up of a loop costs more than it saves.
constexpr std::int32_t kFewestRows = 16;

// The error with the cell where it arose, unless it came from another.
Value placed_error(Value value, CellAddress cell) {
  if (!value.is_error() || value.has_origin()) return value;
  Error error = value.error();
  error.origin = cell;
  return error;
}

}  // namespace

Calculator::Calculator(sheet::Workbook& workbook, const catalogue::Catalogue& planning,
                       Surroundings surroundings)
    : workbook_(workbook),
      dependencies_(workbook, planning),
      changes_(dependencies_),
      cells_(workbook, dependencies_, planning, surroundings),
      machine_(cells_, cells_.stop()),
      batch_(workbook, dependencies_) {
  const auto today = static_cast<std::int64_t>(std::floor(surroundings.now / kSecondsPerDay));
  workbook_.settings.this_year = static_cast<std::int32_t>(date_of(today).year);
}

void Calculator::recalculate() {
  dependencies_.build();
  changes_.forget();
  std::vector<NodeId> all(dependencies_.size());
  for (NodeId id = 0; id < all.size(); ++id) {
    all[id] = id;
    dependencies_.node(id).set_all(State::dirty);
  }
  calculate(dependencies_.in_order(all));
}

void Calculator::set(CellAddress address, Value value) {
  if (cells_.is_formula(address) ||
      address.column >= workbook_.sheet(address.sheet).columns_end()) {
    built_ = false;
  }
  workbook_.put(address, std::move(value));
  changes_.add(address);
}

void Calculator::update() {
  if (!built_) {
    recalculate();
  } else {
    calculate(changes_.plan());
  }
}

void Calculator::calculate(const std::vector<graph::Component>& order) {
  calculated_ = 0;
  in_loops_ = 0;
  // Whatever ends a calculation before its time leaves nodes that nobody would look at again.
  built_ = false;
  batch_.drop();
  for (const graph::Component& component : order) {
    if (component.nodes.size() == 1 && !component.knot) {
      const NodeId id = component.nodes[0];
      const Node& node = dependencies_.node(id);
      const bool loops = !node.is_matrix && !node.program->dynamic &&
                         node.dirty_end - node.dirty_first >= kFewestRows;
      const ColumnProgram* program = loops ? dependencies_.loop_of(node) : nullptr;
      if (program != nullptr) {
        if (!batch_.fits(node)) calculate_batch();
        batch_.add(id, *program);
        continue;
      }
    }
    calculate_batch();
    calculate_component(component.nodes, component.knot);
  }
  calculate_batch();
  built_ = true;
}

void Calculator::calculate_batch() {
  cells_.read_freely();
  const Batch::Count count =
      batch_.run([&](Node& node, std::int32_t unit) { compute(node, unit); });
  calculated_ += count.calculated;
  in_loops_ += count.calculated;
}

void Calculator::calculate_component(const std::vector<NodeId>& nodes, bool knot) {
  if (nodes.size() == 1) {
    Node& node = dependencies_.node(nodes[0]);
    if (!node.program->dynamic && node.row_states.empty()) {
      if (!knot || reads_only_done_rows(node, false)) return calculate_rows(node, false);
      if (reads_only_done_rows(node, true)) return calculate_rows(node, true);
    }
  }
  for (NodeId id : nodes) {
    for (std::int32_t unit = 0; unit < dependencies_.node(id).units(); ++unit) {
      if (dependencies_.node(id).state_of(unit) == State::dirty) calculate_on_demand(id, unit);
    }
  }
  for (NodeId id : nodes) dependencies_.node(id).set_all(State::done);
}

void Calculator::calculate_rows(Node& node, bool upwards) {
  cells_.read_freely();
  const std::int32_t first = node.is_matrix ? 0 : node.dirty_first;
  const std::int32_t end = node.is_matrix ? 1 : node.dirty_end;
  for (std::int32_t i = 0; i < end - first; ++i) {
    compute(node, upwards ? end - 1 - i : first + i);
  }
  node.set_all(State::done);
}

void Calculator::compute(Node& node, std::int32_t unit) {
  const CellAddress here{node.sheet, node.first_row + unit, node.column};
  if (node.is_matrix) {
    const Matrix matrix = machine_.matrix(*node.program, here, {node.rows, node.columns});
    if (cells_.stop()) return;
    ++calculated_;
    store_matrix(node, matrix);
    return;
  }
  Value value = machine_.value(*node.program, here);
  if (cells_.stop()) return;
  ++calculated_;
  store(node, here.row, std::move(value));
}

void Calculator::store(const Node& node, std::int32_t row, Value value) {
  sheet::Column& column = workbook_.sheet(node.sheet).column_to_write(node.column);
  if (value.kind() == Value::Kind::number) {
    column.page_to_write(row / sheet::kPageRows).set_number(row % sheet::kPageRows, value.number());
    return;
  }
  column.set(row, placed_error(std::move(value), {node.sheet, row, node.column}));
}

void Calculator::store_matrix(const Node& node, const Matrix& matrix) {
  sheet::Sheet& sheet = workbook_.sheet(node.sheet);
  for (std::int32_t r = 0; r < node.rows; ++r) {
    for (std::int32_t c = 0; c < node.columns; ++c) {
      Value value = repeated(matrix, static_cast<std::size_t>(r), static_cast<std::size_t>(c));
      const CellAddress cell{node.sheet, node.first_row + r, node.column + c};
      sheet.column_to_write(cell.column).set(cell.row, placed_error(std::move(value), cell));
    }
  }
}

void Calculator::calculate_on_demand(NodeId id, std::int32_t unit) {
  // A unit on the stack is either open (its formula ran into something uncalculated, which stands
  // above it) or waiting for its turn. The open ones, from the bottom up, are a path of needs.
  const auto computing = [&](const Unit& each) {
    return dependencies_.node(each.node).state_of(each.unit) == State::computing;
  };
  std::vector<Unit> stack{{id, unit}};
  while (!stack.empty()) {
    const Unit top = stack.back();
    Node& node = dependencies_.node(top.node);
    if (node.state_of(top.unit) == State::done) {
      stack.pop_back();
      continue;
    }
    node.set_state(top.unit, State::computing);
    cells_.read_with_care();
    compute(node, top.unit);
    const bool stopped = cells_.stop();
    cells_.read_freely();
    if (!stopped) {
      node.set_state(top.unit, State::done);
      stack.pop_back();
      continue;
    }
    const std::vector<Unit>& needed = cells_.needed();
    const auto open = std::find_if(needed.begin(), needed.end(), computing);
    if (open == needed.end()) {
      stack.insert(stack.end(), needed.begin(), needed.end());
      continue;
    }
    const auto place = std::find_if(stack.begin(), stack.end(), [&](const Unit& u) {
      return u.node == open->node && u.unit == open->unit && computing(u);
    });
    std::vector<Unit> circle;
    for (auto at = place; at != stack.end(); ++at) {
      if (computing(*at)) circle.push_back(*at);
    }
    mark_circle(std::move(circle));
    stack.erase(place, stack.end());
  }
}

void Calculator::mark_circle(std::vector<Unit> circle) {
  // The same words wherever the circle was entered.
  std::rotate(circle.begin(),
              std::min_element(circle.begin(), circle.end(),
                               [&](const Unit& a, const Unit& b) {
                                 return dependencies_.address_of(a) < dependencies_.address_of(b);
                               }),
              circle.end());
  const auto name = [&](const Unit& unit) {
    const CellAddress a = dependencies_.address_of(unit);
    return fmt::format("{}.{}", quoted_sheet(workbook_.sheet(a.sheet).name()),
                       cell_name(a.row, a.column));
  };
  constexpr std::size_t kShown = 6;
  std::string path;
  for (std::size_t i = 0; i < circle.size() && i < kShown; ++i) {
    path += name(circle[i]) + " needs ";
  }
  if (circle.size() > kShown) path += "… needs ";
  path += name(circle[0]);
  for (const Unit& unit : circle) {
    Node& node = dependencies_.node(unit.node);
    Error error(Code::circular, fmt::format("a circular reference: {}", path));
    if (node.is_matrix) {
      store_matrix(node, Matrix(1, 1, Value(std::move(error))));
    } else {
      store(node, node.first_row + unit.unit, std::move(error));
    }
    node.set_state(unit.unit, State::done);
  }
}

std::vector<CellError> Calculator::errors() const {
  std::vector<CellError> out;
  for (const Node& node : dependencies_.nodes()) {
    const sheet::Sheet& sheet = workbook_.sheet(node.sheet);
    for (std::int32_t r = 0; r < node.rows; ++r) {
      for (std::int32_t c = 0; c < node.columns; ++c) {
        const CellAddress cell{node.sheet, node.first_row + r, node.column + c};
        const sheet::Column* column = sheet.column(cell.column);
        if (column == nullptr || column->kind(cell.row) != Value::Kind::error) continue;
        out.push_back({cell, sheet.get(cell.row, cell.column).error()});
      }
    }
  }
  std::sort(out.begin(), out.end(),
            [](const CellError& a, const CellError& b) { return a.cell < b.cell; });
  return out;
}

}  // namespace loftledger::calc
