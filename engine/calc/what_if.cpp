#include "engine/calc/what_if.hpp"

#include <algorithm>

namespace loftledger::calc {

using standard::Replacement;

WhatIf::WhatIf(WorkbookCells& cells, const Dependencies& dependencies,
               std::span<const Replacement> replaced)
    : ForwardedCells(cells),
      cells_(cells),
      dependencies_(dependencies),
      replaced_(replaced.begin(), replaced.end()),
      machine_(*this, stop_) {
  std::vector<Area> areas;
  for (const Replacement& each : replaced_) areas.push_back(Area::of(each.cell));
  // What a formula with OFFSET or INDIRECT reads is not known before.
  for (const NodeId id : dependencies_.always()) {
    const Node& node = dependencies_.node(id);
    if (node.program->dynamic && affected_.insert(id).second) areas.push_back(node.area());
  }
  const auto reached = [&](NodeId id, const Area&) -> std::optional<Area> {
    if (!affected_.insert(id).second) return std::nullopt;
    return dependencies_.node(id).area();
  };
  dependencies_.follow(std::move(areas), reached);
}

const Node* WhatIf::affected(CellAddress address) const {
  const auto unit = dependencies_.unit_at(address);
  return unit && affected_.contains(unit->node) ? &dependencies_.node(unit->node) : nullptr;
}

bool WhatIf::meets_affected(const Area& area) const {
  return std::any_of(affected_.begin(), affected_.end(),
                     [&](NodeId id) { return dependencies_.node(id).area().meets(area); });
}

Value WhatIf::known_or_needed(CellAddress address) {
  if (affected(address) == nullptr) {
    Value value = cells_.at(address);
    stop_ = stop_ || cells_.stop();
    return value;
  }
  const auto found = known_.find(address);
  if (found != known_.end()) return found->second;
  needed_.push_back(address);
  stop_ = true;
  return {};
}

Value WhatIf::at(CellAddress address) {
  for (const Replacement& each : replaced_) {
    if (each.cell == address) return known_or_needed(each.by);
  }
  return known_or_needed(address);
}

void WhatIf::each(const Area& area, FunctionRef<bool(CellAddress, std::span<const double>)> numbers,
                  FunctionRef<bool(CellAddress, const Value&)> others) {
  const auto inside = std::find_if(replaced_.begin(), replaced_.end(),
                                   [&](const Replacement& r) { return area.contains(r.cell); });
  if (inside != replaced_.end() && !area.single()) {
    // As in the office only references to the cell itself are replaced.
    others(inside->cell, Error(Code::parameters, "a range holds a cell that is replaced"));
    return;
  }
  if (inside == replaced_.end() && !meets_affected(area)) {
    cells_.each(area, numbers, others);
    stop_ = stop_ || cells_.stop();
    return;
  }
  const auto used = cells_.used(area);
  if (!used) return;
  for (std::int32_t sheet = used->first_sheet; sheet <= used->last_sheet; ++sheet) {
    for (std::int32_t column = used->first_column; column <= used->last_column; ++column) {
      for (std::int32_t row = used->first_row; row <= used->last_row; ++row) {
        const CellAddress cell{sheet, row, column};
        const Value value = at(cell);
        if (stop_ || (value.is_empty() && !is_formula(cell))) continue;
        const double number = value.number();
        const bool go_on =
            value.kind() == Value::Kind::number ? numbers(cell, {&number, 1}) : others(cell, value);
        if (!go_on) return;
      }
    }
  }
}

void WhatIf::compute(const Node& node, CellAddress address) {
  if (!node.is_matrix) {
    Value value = machine_.value(*node.program, address);
    if (!stop_) known_[address] = std::move(value);
    return;
  }
  const CellAddress first{node.sheet, node.first_row, node.column};
  const Matrix matrix = machine_.matrix(*node.program, first, {node.rows, node.columns});
  if (stop_) return;
  for (std::int32_t r = 0; r < node.rows; ++r) {
    for (std::int32_t c = 0; c < node.columns; ++c) {
      known_[{first.sheet, first.row + r, first.column + c}] =
          repeated(matrix, static_cast<std::size_t>(r), static_cast<std::size_t>(c));
    }
  }
}

// Calculates what the formula needs from the bottom up, without a call inside a call.
Value WhatIf::result(CellAddress formula) {
  if (affected(formula) == nullptr) return cells_.at(formula);
  std::vector<CellAddress> stack{formula};
  while (!stack.empty()) {
    const CellAddress top = stack.back();
    if (known_.contains(top)) {
      stack.pop_back();
      continue;
    }
    open_.insert(top);
    stop_ = false;
    needed_.clear();
    compute(*affected(top), top);
    if (cells_.stop()) return {};
    if (!stop_) {
      open_.erase(top);
      continue;
    }
    for (const CellAddress& need : needed_) {
      if (open_.contains(need)) {
        known_[need] = Error(Code::circular, "a replaced cell needs itself");
      } else {
        stack.push_back(need);
      }
    }
  }
  return known_.at(formula);
}

}  // namespace loftledger::calc
