// Calculates a workbook: everything, or what depends on a change.
#pragma once

#include <cstdint>
#include <map>
#include <memory>
#include <optional>
#include <random>
#include <span>
#include <string>
#include <unordered_map>
#include <vector>

#include "engine/calc/machine/machine.hpp"
#include "engine/calc/program/columns.hpp"
#include "engine/calc/program/program.hpp"
#include "engine/graph/intervals.hpp"
#include "engine/graph/order.hpp"
#include "engine/sheet/workbook.hpp"
#include "engine/standard/call/cells.hpp"

namespace loftledger::calc {

// What a calculation takes from the world outside; the engine itself looks at no clock.
struct Surroundings {
  double now = 0;          // seconds since 1970-01-01, local time
  std::uint64_t seed = 1;  // of RAND and its like
};

struct CellError {
  CellAddress cell;
  Error error;
};

class Calculator final : public standard::Cells {
 public:
  // `planning`: the functions that formulas may call beside those of the standard; it must outlive
  // the calculator, as the workbook must.
  Calculator(sheet::Workbook& workbook, const catalogue::Catalogue& planning,
             Surroundings surroundings);

  // Every formula anew.
  void recalculate();

  // Sets a cell to a plain value; update() then calculates what depends on it.
  void set(CellAddress address, Value value);
  void update();

  // Every formula cell whose result is an error, sheet by sheet and row by row.
  std::vector<CellError> errors() const;
  // How many cells the last calculation worked out.
  std::int64_t calculated() const { return calculated_; }
  // How many of them in loops over columns.
  std::int64_t calculated_in_loops() const { return in_loops_; }

  // A formula as typed in the cell `from`, with the workbook's cells and names at hand.
  standard::Operand evaluate(const formula::Tree& tree, CellAddress from);
  Matrix evaluate_matrix(const formula::Tree& tree, CellAddress from);

  // standard::Cells
  Value at(CellAddress address) override;
  void each(const Area& area, FunctionRef<bool(CellAddress, std::span<const double>)> numbers,
            FunctionRef<bool(CellAddress, const Value&)> others) override;
  std::optional<Area> used(const Area& area) const override;
  std::int32_t sheets() const override { return workbook_.sheets(); }
  std::optional<std::int32_t> find_sheet(std::string_view name) const override {
    return workbook_.find_sheet(name);
  }
  std::string_view sheet_name(std::int32_t sheet) const override {
    return workbook_.sheet(sheet).name();
  }
  bool is_formula(CellAddress address) const override;
  bool is_total(CellAddress address) const override;
  std::string formula_text(CellAddress address) const override;
  standard::Operand resolve(std::string_view text, CellAddress from) override;
  Value with_replaced(CellAddress formula,
                      std::span<const standard::Replacement> replaced) override;
  bool hidden(std::int32_t sheet, std::int32_t row, bool by_filter) const override;
  const standard::StandardFunction* function(std::string_view name) const override;
  const sheet::Settings& settings() const override { return workbook_.settings; }
  double now() const override { return surroundings_.now; }
  double random() override;

 private:
  friend class WhatIf;
  using NodeId = std::uint32_t;

  enum class State : std::uint8_t { done, dirty, computing };

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
  };
  struct Unit {
    NodeId node;
    std::int32_t unit;
  };
  // Some rows, counted from a node's first.
  struct Rows {
    std::int32_t first = 0;
    std::int32_t end = 0;
  };
  // What a change makes necessary. Who tries many values in the same cells needs it many times.
  struct Plan {
    std::vector<Area> changed;
    std::vector<std::pair<NodeId, Rows>> dirty;
    std::vector<graph::Component> order;
  };
  // Runs of formulas that are worked out together, a block of rows at a time, so that what one
  // writes is still close to the processor when the next one reads it. Each of them reads of the
  // others only cells of its own row.
  struct Member {
    NodeId id;
    const ColumnProgram* program;
    std::int32_t first_row;
    std::int32_t end_row;
    sheet::Column* column;
  };
  // What one thread holds.
  struct Worker {
    ColumnProgram::Scratch scratch;
    std::vector<ColumnProgram::Room> rooms;  // by member
    std::int64_t calculated = 0;
    // Of the member at which a block stopped: its results, NaN where they are still to be found.
    std::span<const double> unfinished;
    // Blocks, and the members from which on they are still to be worked out.
    std::vector<std::pair<std::int32_t, std::size_t>> left;
  };
  // Which nodes stand in a column, and which read from it.
  struct ColumnIndex {
    std::vector<std::pair<std::int32_t, NodeId>> nodes;  // by first row
    graph::Intervals readers;
  };

  void build();
  const Program* program_for(sheet::ShapeId shape, std::int32_t sheet, bool matrix);
  std::optional<Unit> unit_at(CellAddress address) const;
  // The rows and columns that all cells of the node together read through one reference.
  std::optional<Area> reach(const Node& node, const RelativeArea& reference) const;
  // Hands over every node that reads one of the areas, with that area; what `reached` gives back
  // is followed as well.
  void follow(std::vector<Area> areas,
              FunctionRef<std::optional<Area>(NodeId, const Area&)> reached) const;
  void make_plan(std::vector<Area> changed);
  std::vector<graph::Component> in_order(const std::vector<NodeId>& dirty) const;
  void calculate(const std::vector<graph::Component>& order);
  void calculate_component(const std::vector<NodeId>& nodes, bool knot);
  void calculate_rows(Node& node, bool upwards);
  const ColumnProgram* column_program_for(const Program& program);
  // The rows of the node that read some cell of the area.
  Rows rows_reading(const Node& node, const Area& area) const;
  bool fits_batch(const Node& node) const;
  void calculate_batch();
  void prepare(Worker& worker) const;
  // Works out a block of rows from that member on; where some of a member's rows must be worked out
  // by themselves it stops and says which one.
  std::size_t calculate_block(std::int32_t block, std::size_t member, Worker& worker) const;
  // A block whole: what calculate_block() leaves is worked out cell by cell.
  void finish_block(std::int32_t block, std::size_t member, Worker& worker);
  void calculate_blocks_together(std::int32_t first, std::int32_t end, std::size_t threads);
  void calculate_on_demand(NodeId node, std::int32_t unit);
  bool reads_only_done_rows(const Node& node, bool upwards) const;
  void compute(Node& node, std::int32_t unit);
  void store(const Node& node, std::int32_t row, Value value);
  void store_matrix(const Node& node, const Matrix& matrix);
  void mark_circle(std::vector<Unit> circle);
  // The formula of the cell, as all cells of its shape have it; nullptr where there is none.
  const sheet::Shape* shape_at(CellAddress address) const;
  CellAddress address_of(const Unit& unit) const;
  void require(CellAddress address);
  void require(const Area& area);

  sheet::Workbook& workbook_;
  const catalogue::Catalogue& planning_;
  Surroundings surroundings_;
  std::mt19937_64 generator_;
  bool built_ = false;
  bool stop_ = false;      // a cell was read that is still to be calculated
  bool checking_ = false;  // whether reads look for such cells
  std::vector<Unit> needed_;
  Machine machine_;
  std::vector<Node> nodes_;
  // By sheet, then column.
  std::vector<std::vector<ColumnIndex>> index_;
  std::vector<NodeId> always_;  // volatile
  std::unordered_map<std::uint64_t, std::unique_ptr<Program>> programs_;
  std::unordered_map<const Program*, std::unique_ptr<ColumnProgram>> column_programs_;
  std::vector<Member> batch_;
  std::vector<Worker> workers_;
  std::vector<Area> changed_;
  Plan plan_;
  std::int64_t calculated_ = 0;
  std::int64_t in_loops_ = 0;
};

}  // namespace loftledger::calc
