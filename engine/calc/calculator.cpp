#include "engine/calc/calculator.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

#include "engine/format/calendar.hpp"
#include "engine/formula/parse.hpp"
#include "engine/standard/registry.hpp"

namespace loftledger::calc {

using standard::Operand;

namespace {
// Below this many rows the setting up of a loop costs more than it saves.
constexpr std::int32_t kFewestRows = 16;
// How often the rows of a run that are to be calculated may become more before all of them are.
constexpr std::int32_t kMostGrowths = 3;
}  // namespace

Calculator::Calculator(sheet::Workbook& workbook, Surroundings surroundings)
    : workbook_(workbook),
      surroundings_(surroundings),
      generator_(surroundings.seed),
      machine_(*this, stop_) {
  const auto today = static_cast<std::int64_t>(std::floor(surroundings.now / kSecondsPerDay));
  workbook_.settings.this_year = static_cast<std::int32_t>(date_of(today).year);
}

double Calculator::random() { return std::uniform_real_distribution<double>(0.0, 1.0)(generator_); }

// --- What depends on what

const Program* Calculator::program_for(sheet::ShapeId shape, std::int32_t sheet, bool matrix) {
  const auto key = [&](std::int32_t on_sheet) {
    return (std::uint64_t{shape} << 20) | (static_cast<std::uint64_t>(on_sheet + 1) << 1) |
           (matrix ? 1U : 0U);
  };
  // Only names can make one formula read differently on different sheets.
  for (const std::int32_t on_sheet : {-1, sheet}) {
    const auto found = programs_.find(key(on_sheet));
    if (found != programs_.end()) return found->second.get();
  }
  auto program =
      std::make_unique<Program>(compile(workbook_, workbook_.shape(shape), sheet, matrix));
  const std::int32_t on_sheet = program->uses_names ? sheet : -1;
  return programs_.emplace(key(on_sheet), std::move(program)).first->second.get();
}

std::optional<Area> Calculator::reach(const Node& node, const RelativeArea& reference) const {
  const auto first = placed(reference, {node.sheet, node.first_row, node.column});
  const auto last = placed(
      reference, {node.sheet, node.first_row + (node.is_matrix ? 0 : node.rows - 1), node.column});
  if (!first && !last) return std::nullopt;
  if (reference.wraps) {
    // Where it wraps between the two ends, the whole height is a safe answer.
    Area area = first ? *first : *last;
    if (!reference.first_row_absolute || !reference.last_row_absolute) {
      area.first_row = 0;
      area.last_row = kMaxRows - 1;
    }
    return area;
  }
  Area area = first ? *first : *last;
  if (first && last) {
    area.first_row = std::min(first->first_row, last->first_row);
    area.last_row = std::max(first->last_row, last->last_row);
  }
  return area;
}

void Calculator::build() {
  nodes_.clear();
  always_.clear();
  programs_.clear();
  column_programs_.clear();
  plan_ = {};
  index_.assign(static_cast<std::size_t>(workbook_.sheets()), {});
  for (std::int32_t s = 0; s < workbook_.sheets(); ++s) {
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
        node.program = program_for(run.shape, s, false);
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
      node.program = program_for(matrix.shape, s, true);
      node.is_matrix = true;
      nodes_.push_back(std::move(node));
    }
  }
  const auto column_index = [&](std::int32_t s, std::int32_t c) -> ColumnIndex& {
    auto& columns = index_[static_cast<std::size_t>(s)];
    if (columns.size() <= static_cast<std::size_t>(c)) {
      columns.resize(static_cast<std::size_t>(c) + 1);
    }
    return columns[static_cast<std::size_t>(c)];
  };
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
        // Cells right of all that are used cannot change before they are set, and set() then
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
  built_ = true;
}

Calculator::Rows Calculator::rows_reading(const Node& node, const Area& area) const {
  const Rows all{0, node.rows};
  if (node.is_matrix || node.program->dynamic) return all;
  Rows out{node.rows, 0};
  for (const RelativeArea& r : node.program->references) {
    const auto reached = reach(node, r);
    if (!reached || reached->first_sheet > area.last_sheet ||
        reached->last_sheet < area.first_sheet || reached->first_column > area.last_column ||
        reached->last_column < area.first_column || reached->first_row > area.last_row ||
        reached->last_row < area.first_row) {
      continue;
    }
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

std::optional<Calculator::Unit> Calculator::unit_at(CellAddress a) const {
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

CellAddress Calculator::address_of(const Unit& unit) const {
  const Node& node = nodes_[unit.node];
  return {node.sheet, node.first_row + unit.unit, node.column};
}

// --- Calculating

void Calculator::recalculate() {
  build();
  changed_.clear();
  std::vector<NodeId> all(nodes_.size());
  for (NodeId id = 0; id < nodes_.size(); ++id) {
    all[id] = id;
    nodes_[id].set_all(State::dirty);
  }
  calculated_ = 0;
  in_loops_ = 0;
  calculate(in_order(all));
}

void Calculator::set(CellAddress address, Value value) {
  if (is_formula(address) || address.column >= workbook_.sheet(address.sheet).columns_end()) {
    built_ = false;
  }
  workbook_.put(address, std::move(value));
  changed_.push_back(Area::of(address));
}

void Calculator::update() {
  if (!built_) {
    recalculate();
    return;
  }
  if (plan_.order.empty() || plan_.changed != changed_) {
    make_plan(std::exchange(changed_, {}));
  } else {
    changed_.clear();
    for (const auto& [id, rows] : plan_.dirty) {
      Node& node = nodes_[id];
      node.set_all(State::dirty);
      node.dirty_first = rows.first;
      node.dirty_end = rows.end;
    }
  }
  calculated_ = 0;
  in_loops_ = 0;
  calculate(plan_.order);
}

void Calculator::make_plan(std::vector<Area> changed) {
  std::vector<NodeId> dirty;
  // The rows of the node as an area where they became more than they were.
  const auto mark = [&](NodeId id, Rows rows) -> std::optional<Area> {
    Node& node = nodes_[id];
    if (rows.first >= rows.end) return std::nullopt;
    if (node.state == State::done) {
      node.set_all(State::dirty);
      node.dirty_first = rows.first;
      node.dirty_end = rows.end;
      dirty.push_back(id);
    } else {
      if (rows.first >= node.dirty_first && rows.end <= node.dirty_end) return std::nullopt;
      // What reads its own rows, or changes in many places, is not followed step by step: in the
      // direction in which the rows become more, all of them do.
      const bool all = ++node.growths > kMostGrowths;
      if (rows.first < node.dirty_first) node.dirty_first = all ? 0 : rows.first;
      if (rows.end > node.dirty_end) node.dirty_end = all ? node.rows : rows.end;
    }
    Area area = node.area();
    area.last_row = area.first_row + node.dirty_end - 1;
    area.first_row += node.dirty_first;
    return area;
  };
  std::vector<Area> spreading = changed;
  for (NodeId id : always_) {
    if (const auto area = mark(id, {0, nodes_[id].rows})) spreading.push_back(*area);
  }
  follow(std::move(spreading), [&](NodeId id, const Area& read) -> std::optional<Area> {
    const Node& node = nodes_[id];
    const bool all = node.dirty_first == 0 && node.dirty_end == node.rows;
    if (node.state != State::done && all) return std::nullopt;
    return mark(id, rows_reading(node, read));
  });
  plan_ = {std::move(changed), {}, in_order(dirty)};
  for (NodeId id : dirty) {
    plan_.dirty.emplace_back(id, Rows{nodes_[id].dirty_first, nodes_[id].dirty_end});
  }
}

void Calculator::follow(std::vector<Area> areas,
                        FunctionRef<std::optional<Area>(NodeId, const Area&)> reached) const {
  while (!areas.empty()) {
    const Area area = areas.back();
    areas.pop_back();
    const auto read_by = [&](NodeId id) {
      if (const auto further = reached(id, area)) areas.push_back(*further);
    };
    for (std::int32_t s = area.first_sheet; s <= area.last_sheet; ++s) {
      const auto& columns = index_[static_cast<std::size_t>(s)];
      for (std::int32_t c = area.first_column;
           c <= area.last_column && static_cast<std::size_t>(c) < columns.size(); ++c) {
        const graph::Intervals& readers = columns[static_cast<std::size_t>(c)].readers;
        if (!readers.empty()) readers.meeting(area.first_row, area.last_row, read_by);
      }
    }
  }
}

std::vector<graph::Component> Calculator::in_order(const std::vector<NodeId>& dirty) const {
  const auto needs = [&](NodeId id, std::vector<NodeId>& out) {
    const Node& node = nodes_[id];
    for (const RelativeArea& reference : node.program->references) {
      const auto area = reach(node, reference);
      if (!area) continue;
      for (std::int32_t s = area->first_sheet; s <= area->last_sheet; ++s) {
        const auto& columns = index_[static_cast<std::size_t>(s)];
        for (std::int32_t c = area->first_column;
             c <= area->last_column && static_cast<std::size_t>(c) < columns.size(); ++c) {
          const auto& nodes = columns[static_cast<std::size_t>(c)].nodes;
          auto at =
              std::upper_bound(nodes.begin(), nodes.end(), std::pair{area->first_row, ~NodeId{0}});
          if (at != nodes.begin()) --at;
          for (; at != nodes.end() && at->first <= area->last_row; ++at) {
            const Node& other = nodes_[at->second];
            if (other.first_row + other.rows > area->first_row && other.state != State::done) {
              out.push_back(at->second);
            }
          }
        }
      }
    }
  };
  return graph::in_order(dirty, static_cast<std::uint32_t>(nodes_.size()), needs);
}

void Calculator::calculate(const std::vector<graph::Component>& order) {
  for (const graph::Component& component : order) {
    if (component.nodes.size() == 1 && !component.knot) {
      const NodeId id = component.nodes[0];
      Node& node = nodes_[id];
      const std::int32_t rows = node.dirty_end - node.dirty_first;
      const ColumnProgram* program = node.is_matrix || node.program->dynamic || rows < kFewestRows
                                         ? nullptr
                                         : column_program_for(*node.program);
      if (program != nullptr) {
        if (!fits_batch(node)) calculate_batch();
        const std::int32_t first = node.first_row + node.dirty_first;
        batch_.push_back({id, program, first, first + rows,
                          &workbook_.sheet(node.sheet).column_to_write(node.column)});
        continue;
      }
    }
    calculate_batch();
    calculate_component(component.nodes, component.knot);
  }
  calculate_batch();
}

void Calculator::calculate_component(const std::vector<NodeId>& nodes, bool knot) {
  if (nodes.size() == 1) {
    Node& node = nodes_[nodes[0]];
    if (!node.program->dynamic && node.row_states.empty()) {
      if (!knot || reads_only_done_rows(node, false)) return calculate_rows(node, false);
      if (reads_only_done_rows(node, true)) return calculate_rows(node, true);
    }
  }
  for (NodeId id : nodes) {
    for (std::int32_t unit = 0; unit < nodes_[id].units(); ++unit) {
      if (nodes_[id].state_of(unit) == State::dirty) calculate_on_demand(id, unit);
    }
  }
  for (NodeId id : nodes) nodes_[id].set_all(State::done);
}

bool Calculator::reads_only_done_rows(const Node& node, bool upwards) const {
  if (node.is_matrix) return false;
  for (const RelativeArea& r : node.program->references) {
    const auto area = reach(node, r);
    if (!area || area->first_sheet > node.sheet || area->last_sheet < node.sheet ||
        area->first_column > node.column || area->last_column < node.column ||
        area->last_row < node.first_row || area->first_row >= node.first_row + node.rows) {
      continue;
    }
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

void Calculator::calculate_rows(Node& node, bool upwards) {
  checking_ = false;
  stop_ = false;
  const std::int32_t first = node.is_matrix ? 0 : node.dirty_first;
  const std::int32_t end = node.is_matrix ? 1 : node.dirty_end;
  for (std::int32_t i = 0; i < end - first; ++i) {
    compute(node, upwards ? end - 1 - i : first + i);
  }
  node.set_all(State::done);
}

const ColumnProgram* Calculator::column_program_for(const Program& program) {
  const auto [entry, fresh] = column_programs_.try_emplace(&program, nullptr);
  if (fresh) entry->second = ColumnProgram::make(program);
  return entry->second.get();
}

void Calculator::compute(Node& node, std::int32_t unit) {
  const CellAddress here{node.sheet, node.first_row + unit, node.column};
  ++calculated_;
  if (node.is_matrix) {
    const Matrix matrix = machine_.matrix(*node.program, here, {node.rows, node.columns});
    if (!stop_) store_matrix(node, matrix);
    return;
  }
  Value value = machine_.value(*node.program, here);
  if (!stop_) store(node, here.row, std::move(value));
}

namespace {

// The error with the cell where it arose, unless it came from another.
Value placed_error(Value value, CellAddress cell) {
  if (!value.is_error() || value.has_origin()) return value;
  Error error = value.error();
  error.origin = cell;
  return error;
}

}  // namespace

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
  std::vector<Unit> stack{{id, unit}};
  while (!stack.empty()) {
    const Unit top = stack.back();
    Node& node = nodes_[top.node];
    if (node.state_of(top.unit) == State::done) {
      stack.pop_back();
      continue;
    }
    node.set_state(top.unit, State::computing);
    checking_ = true;
    stop_ = false;
    needed_.clear();
    compute(node, top.unit);
    checking_ = false;
    if (!std::exchange(stop_, false)) {
      node.set_state(top.unit, State::done);
      stack.pop_back();
      continue;
    }
    const auto open = std::find_if(needed_.begin(), needed_.end(), [&](const Unit& need) {
      return nodes_[need.node].state_of(need.unit) == State::computing;
    });
    if (open == needed_.end()) {
      stack.insert(stack.end(), needed_.begin(), needed_.end());
      continue;
    }
    const auto place = std::find_if(stack.begin(), stack.end(), [&](const Unit& u) {
      return u.node == open->node && u.unit == open->unit &&
             nodes_[u.node].state_of(u.unit) == State::computing;
    });
    std::vector<Unit> circle;
    for (auto at = place; at != stack.end(); ++at) {
      if (nodes_[at->node].state_of(at->unit) == State::computing) circle.push_back(*at);
    }
    mark_circle(std::move(circle));
    stack.erase(place, stack.end());
  }
}

void Calculator::mark_circle(std::vector<Unit> circle) {
  // The same words wherever the circle was entered.
  std::rotate(
      circle.begin(),
      std::min_element(circle.begin(), circle.end(),
                       [&](const Unit& a, const Unit& b) { return address_of(a) < address_of(b); }),
      circle.end());
  const auto name = [&](const Unit& unit) {
    const CellAddress a = address_of(unit);
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
    Node& node = nodes_[unit.node];
    Error error(Code::circular, fmt::format("a circular reference: {}", path));
    if (node.is_matrix) {
      store_matrix(node, Matrix(1, 1, Value(std::move(error))));
    } else {
      store(node, node.first_row + unit.unit, std::move(error));
    }
    node.set_state(unit.unit, State::done);
  }
}

Operand Calculator::evaluate(const formula::Tree& tree, CellAddress from) {
  const Program program = compile(workbook_, tree, from, from.sheet, false);
  Machine machine(*this, stop_);
  return machine.run(program, from);
}

Matrix Calculator::evaluate_matrix(const formula::Tree& tree, CellAddress from) {
  const Program program = compile(workbook_, tree, from, from.sheet, false);
  Machine machine(*this, stop_);
  return machine.matrix(program, from, {});
}

std::vector<CellError> Calculator::errors() const {
  std::vector<CellError> out;
  for (const Node& node : nodes_) {
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

// --- What functions may ask

void Calculator::require(CellAddress address) {
  const auto unit = unit_at(address);
  if (!unit || nodes_[unit->node].state_of(unit->unit) == State::done) return;
  needed_.push_back(*unit);
  stop_ = true;
}

void Calculator::require(const Area& area) {
  for (std::int32_t s = area.first_sheet; s <= area.last_sheet; ++s) {
    if (static_cast<std::size_t>(s) >= index_.size()) return;
    const auto& columns = index_[static_cast<std::size_t>(s)];
    for (std::int32_t c = area.first_column;
         c <= area.last_column && static_cast<std::size_t>(c) < columns.size(); ++c) {
      const auto& nodes = columns[static_cast<std::size_t>(c)].nodes;
      auto at = std::upper_bound(nodes.begin(), nodes.end(), std::pair{area.first_row, ~NodeId{0}});
      if (at != nodes.begin()) --at;
      for (; at != nodes.end() && at->first <= area.last_row; ++at) {
        const Node& node = nodes_[at->second];
        if (node.row_states.empty() && node.state == State::done) continue;
        const std::int32_t first = std::max(area.first_row, node.first_row);
        const std::int32_t last = std::min(area.last_row, node.first_row + node.rows - 1);
        if (node.is_matrix && first <= last) require(CellAddress{s, first, c});
        for (std::int32_t row = first; row <= last && !node.is_matrix; ++row) {
          if (node.state_of(row - node.first_row) != State::done) {
            needed_.push_back({at->second, row - node.first_row});
            stop_ = true;
          }
        }
      }
    }
  }
}

Value Calculator::at(CellAddress a) {
  if (a.sheet < 0 || a.sheet >= workbook_.sheets() || a.row < 0 || a.row >= kMaxRows ||
      a.column < 0 || a.column >= kMaxColumns) {
    return Code::reference;
  }
  if (checking_) require(a);
  return workbook_.get(a);
}

std::optional<Area> Calculator::used(const Area& area) const {
  Area out = area;
  std::int32_t rows = 0;
  std::int32_t columns = 0;
  for (std::int32_t s = area.first_sheet; s <= area.last_sheet && s < workbook_.sheets(); ++s) {
    rows = std::max(rows, workbook_.sheet(s).rows_end());
    columns = std::max(columns, workbook_.sheet(s).columns_end());
  }
  out.last_row = std::min(area.last_row, rows - 1);
  out.last_column = std::min(area.last_column, columns - 1);
  if (out.rows() < 1 || out.columns() < 1) return std::nullopt;
  return out;
}

void Calculator::each(const Area& area,
                      FunctionRef<bool(CellAddress, std::span<const double>)> numbers,
                      FunctionRef<bool(CellAddress, const Value&)> others) {
  if (checking_) {
    require(area);
    if (stop_) return;
  }
  for (std::int32_t s = std::max(0, area.first_sheet);
       s <= area.last_sheet && s < workbook_.sheets(); ++s) {
    const sheet::Sheet& sheet = workbook_.sheet(s);
    const std::int32_t last_column = std::min(area.last_column, sheet.columns() - 1);
    for (std::int32_t c = area.first_column; c <= last_column; ++c) {
      const sheet::Column* column = sheet.column(c);
      if (column == nullptr) continue;
      const bool formulas = !column->runs().empty() || !sheet.matrices().empty();
      const std::int32_t end = std::min(area.last_row + 1, column->end());
      for (std::int32_t row = area.first_row; row < end;) {
        const std::int32_t page_index = row / sheet::kPageRows;
        const std::int32_t page_end = std::min(end, (page_index + 1) * sheet::kPageRows);
        const sheet::Page* page = column->page(page_index);
        const std::int32_t base = page_index * sheet::kPageRows;
        while (row < page_end) {
          const Value::Kind kind = page == nullptr ? Value::Kind::empty : page->kind(row - base);
          if (kind == Value::Kind::number) {
            std::int32_t stop = row + 1;
            if (page->all_numbers()) {
              stop = page_end;
            } else {
              while (stop < page_end && page->kind(stop - base) == Value::Kind::number) ++stop;
            }
            const auto block = page->numbers().subspan(static_cast<std::size_t>(row - base),
                                                       static_cast<std::size_t>(stop - row));
            if (!numbers({s, row, c}, block)) return;
            row = stop;
            continue;
          }
          if (kind == Value::Kind::empty) {
            // A formula that hands on an empty cell counts as 0 where cells are counted.
            if (formulas && is_formula({s, row, c}) && !others({s, row, c}, Value(0.0))) return;
            if (!formulas && page == nullptr) {
              row = page_end;
              continue;
            }
          } else if (!others({s, row, c}, page->get(row - base))) {
            return;
          }
          ++row;
        }
      }
    }
  }
}

const standard::StandardFunction* Calculator::function(std::string_view name) const {
  return standard::find_function(name);
}

bool Calculator::is_formula(CellAddress a) const { return shape_at(a) != nullptr; }

const sheet::Shape* Calculator::shape_at(CellAddress a) const {
  if (a.sheet < 0 || a.sheet >= workbook_.sheets()) return nullptr;
  const sheet::Sheet& sheet = workbook_.sheet(a.sheet);
  const sheet::Column* column = sheet.column(a.column);
  const sheet::Run* run = column == nullptr ? nullptr : column->run_at(a.row);
  if (run != nullptr) return &workbook_.shape(run->shape);
  const sheet::MatrixFormula* matrix = sheet.matrix_at(a.row, a.column);
  return matrix == nullptr ? nullptr : &workbook_.shape(matrix->shape);
}

bool Calculator::is_total(CellAddress a) const {
  const sheet::Shape* shape = shape_at(a);
  if (shape == nullptr) return false;
  const auto& nodes = shape->tree.nodes;
  return std::any_of(nodes.begin(), nodes.end(), [](const formula::Node& node) {
    if (node.kind != formula::Kind::call) return false;
    const std::string name = sheet::folded(node.text);
    return name == "subtotal" || name == "aggregate" || name == "com.microsoft.aggregate";
  });
}

std::string Calculator::formula_text(CellAddress a) const {
  const sheet::Shape* found = shape_at(a);
  if (found == nullptr) return {};
  const sheet::Shape& shape = *found;
  if (shape.syntax) return "=" + shape.text;
  const sheet::Column* column = workbook_.sheet(a.sheet).column(a.column);
  const bool alone = column != nullptr && column->run_at(a.row) != nullptr;
  const sheet::MatrixFormula* matrix =
      alone ? nullptr : workbook_.sheet(a.sheet).matrix_at(a.row, a.column);
  const CellAddress at = matrix != nullptr ? matrix->span.first() : a;
  formula::Tree tree = shape.tree;
  for (formula::Reference& reference : tree.references) {
    for (formula::Corner* corner : {&reference.first, &reference.last}) {
      if (!corner->row_absolute && !reference.whole_columns) corner->row += at.row - shape.base.row;
      if (!corner->column_absolute && !reference.whole_rows) {
        corner->column += at.column - shape.base.column;
      }
    }
  }
  const std::string text = "=" + formula::print(tree, formula::Syntax::plain);
  return matrix != nullptr ? "{" + text + "}" : text;
}

Operand Calculator::resolve(std::string_view text, CellAddress from) {
  const Result<formula::Tree> tree = formula::parse(text, formula::Syntax::plain);
  if (!tree || tree->root == formula::kNoNode) return Code::reference;
  const formula::Kind kind = tree->nodes[tree->root].kind;
  if (kind != formula::Kind::reference && kind != formula::Kind::name) return Code::reference;
  Operand operand = evaluate(*tree, from);
  if (!operand.is_reference()) return Code::reference;
  return operand;
}

bool Calculator::hidden(std::int32_t sheet, std::int32_t row, bool by_filter) const {
  return workbook_.sheet(sheet).hidden(row, by_filter);
}

}  // namespace loftledger::calc
