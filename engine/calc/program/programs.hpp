// The compiled formulas of a workbook: each shape once, its loops when they are first asked for.
#pragma once

#include <cstdint>
#include <memory>
#include <unordered_map>

#include "engine/calc/program/columns.hpp"
#include "engine/calc/program/program.hpp"
#include "engine/catalogue/catalogue.hpp"
#include "engine/sheet/workbook.hpp"

namespace loftledger::calc {

class Programs {
 public:
  Programs(const sheet::Workbook& workbook, const catalogue::Catalogue& planning)
      : workbook_(workbook), planning_(planning) {}

  // The program of a shape for formulas on that sheet; it stays where it is until clear().
  const Program* of(sheet::ShapeId shape, std::int32_t sheet, bool matrix);
  // The same as a loop over rows; nullptr where there is none.
  const ColumnProgram* loop_of(const Program& program);
  void clear();

 private:
  const sheet::Workbook& workbook_;
  const catalogue::Catalogue& planning_;
  std::unordered_map<std::uint64_t, std::unique_ptr<Program>> programs_;
  std::unordered_map<const Program*, std::unique_ptr<ColumnProgram>> loops_;
};

}  // namespace loftledger::calc
