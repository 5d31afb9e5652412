#include "tests/support/office/calculated.hpp"

#include "engine/calc/calculator.hpp"
#include "engine/ods/document.hpp"
#include "engine/planning/catalogue.hpp"

namespace loftledger::support {

FlatCells calculated_by_engine(const FlatDocument& document) {
  FlatCells out;
  Result<ods::Document> read = ods::Document::read(document.xml(), "test.fods");
  if (!read) {
    out.problem = read.error().text();
    return out;
  }
  sheet::Workbook& workbook = read->workbook();
  calc::Calculator(workbook, planning::catalogue(), {}).recalculate();
  for (std::int32_t s = 0; s < workbook.sheets(); ++s) {
    const sheet::Sheet& sheet = workbook.sheet(s);
    for (std::int32_t r = 0; r < sheet.rows_end(); ++r) {
      for (std::int32_t c = 0; c < sheet.columns_end(); ++c) {
        out.cells.emplace(sheet.name() + "." + cell_name(r, c), sheet.get(r, c));
      }
    }
  }
  return out;
}

}  // namespace loftledger::support
