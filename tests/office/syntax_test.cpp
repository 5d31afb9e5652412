// What is no formula shows the same error in Calc as in the engine.
#include <gtest/gtest.h>

#include "engine/base/number_text.hpp"
#include "tests/office/visit.hpp"
#include "tests/support/tables/tables.hpp"

namespace loftledger::office {
namespace {

using support::Row;

const std::vector<Row>& rows() {
  static const std::vector<Row> all = [] {
    std::vector<Row> out;
    for (const std::filesystem::path& file : support::table_files("formula_errors")) {
      std::string problem;
      for (Row& row :
           support::read_table(file, {"formula", "error", "fragment", "office"}, problem).rows) {
        out.push_back(std::move(row));
      }
    }
    return out;
  }();
  return all;
}

// Well below the cells that the formulas name.
constexpr std::int32_t kFirstRow = 10;

FlatDocument document() {
  FlatDocument out;
  out.sheet("Syntax");
  for (std::size_t i = 0; i < rows().size(); ++i) {
    out.formula(kFirstRow + static_cast<std::int32_t>(i), 0, "of:" + rows()[i].fields[0]);
  }
  return out;
}
const Registered kDocument("syntax", document);

TEST(OfficeSyntax, ShowsTheSameErrors) {
  ASSERT_EQ(Visit::get().problem(), "");
  const FlatCells& cells = Visit::get().cells("syntax");
  ASSERT_GT(rows().size(), 50U);
  for (std::size_t i = 0; i < rows().size(); ++i) {
    const Row& row = rows()[i];
    const Value value = cells.at("Syntax", kFirstRow + static_cast<std::int32_t>(i), 0);
    const std::string seen = value.is_error() ? shown(value.code()) : number_text(value.number());
    // The last field says where the office differs, and how.
    EXPECT_EQ(seen, row.fields[3].empty() ? row.fields[1] : row.fields[3]) << row.fields[0];
  }
}

}  // namespace
}  // namespace loftledger::office
