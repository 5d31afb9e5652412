#include "engine/calc/program/programs.hpp"

#include <utility>

namespace loftledger::calc {

const Program* Programs::of(sheet::ShapeId shape, std::int32_t sheet, bool matrix) {
  const auto key = [&](std::int32_t on_sheet) {
    return (std::uint64_t{shape} << 20) | (static_cast<std::uint64_t>(on_sheet + 1) << 1) |
           (matrix ? 1U : 0U);
  };
  // Only names can make one formula read differently on different sheets.
  for (const std::int32_t on_sheet : {-1, sheet}) {
    const auto found = programs_.find(key(on_sheet));
    if (found != programs_.end()) return found->second.get();
  }
  auto program = std::make_unique<Program>(
      compile(workbook_, planning_, workbook_.shape(shape), sheet, matrix));
  const std::int32_t on_sheet = program->uses_names ? sheet : -1;
  return programs_.emplace(key(on_sheet), std::move(program)).first->second.get();
}

const ColumnProgram* Programs::loop_of(const Program& program) {
  const auto [entry, fresh] = loops_.try_emplace(&program, nullptr);
  if (fresh) entry->second = ColumnProgram::make(program);
  return entry->second.get();
}

void Programs::clear() {
  loops_.clear();
  programs_.clear();
}

}  // namespace loftledger::calc
