// The workbook that is calculated, as functions may ask about it.
#pragma once

#include <cstdint>
#include <optional>
#include <random>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "engine/calc/dependencies.hpp"
#include "engine/standard/call/cells.hpp"

namespace loftledger::calc {

// What a calculation takes from the world outside; the engine itself looks at no clock.
struct Surroundings {
  double now = 0;          // seconds since 1970-01-01, local time
  std::uint64_t seed = 1;  // of RAND and its like
};

class WorkbookCells final : public standard::Cells {
 public:
  WorkbookCells(const sheet::Workbook& workbook, const Dependencies& dependencies,
                const catalogue::Catalogue& planning, Surroundings surroundings)
      : workbook_(workbook),
        dependencies_(dependencies),
        planning_(planning),
        surroundings_(surroundings),
        generator_(surroundings.seed) {}

  // From now on every cell that is read is taken as it stands.
  void read_freely() { checking_ = stop_ = false; }
  // From now on reads look for cells that are still to be calculated: stop() is true once one was
  // met, and needed() tells all of them.
  void read_with_care();
  const bool& stop() const { return stop_; }
  const std::vector<Unit>& needed() const { return needed_; }

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
  bool is_formula(CellAddress address) const override { return shape_at(address) != nullptr; }
  bool is_total(CellAddress address) const override;
  std::string formula_text(CellAddress address) const override;
  standard::Operand resolve(std::string_view text, CellAddress from) override;
  Value with_replaced(CellAddress formula,
                      std::span<const standard::Replacement> replaced) override;
  bool hidden(std::int32_t sheet, std::int32_t row, bool by_filter) const override {
    return workbook_.sheet(sheet).hidden(row, by_filter);
  }
  const standard::StandardFunction* function(std::string_view name) const override;
  const sheet::Settings& settings() const override { return workbook_.settings; }
  double now() const override { return surroundings_.now; }
  double random() override;

 private:
  // The formula of the cell, as all cells of its shape have it; nullptr where there is none.
  const sheet::Shape* shape_at(CellAddress address) const;
  void require(CellAddress address);
  void require(const Area& area);

  const sheet::Workbook& workbook_;
  const Dependencies& dependencies_;
  const catalogue::Catalogue& planning_;
  Surroundings surroundings_;
  std::mt19937_64 generator_;
  bool checking_ = false;  // whether reads look for cells that are still to be calculated
  bool stop_ = false;
  std::vector<Unit> needed_;
};

}  // namespace loftledger::calc
