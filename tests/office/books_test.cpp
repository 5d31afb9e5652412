// Every template and every example book: Calc with the extension and the engine agree on each cell.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <cmath>
#include <filesystem>

#include "engine/base/number_text.hpp"
#include "engine/calc/calculator.hpp"
#include "engine/ods/document.hpp"
#include "tests/office/visit.hpp"

namespace loftledger::office {
namespace {

constexpr double kTolerance = 1e-12;

std::vector<std::filesystem::path> books() {
  std::vector<std::filesystem::path> out;
  for (const char* folder : {"templates", "examples"}) {
    for (const auto& entry :
         std::filesystem::directory_iterator(std::filesystem::path(LOFTLEDGER_SOURCE) / folder)) {
      if (entry.path().extension() == ".fods") out.push_back(entry.path());
    }
  }
  return out;
}

std::string words(const Value& value) {
  if (value.is_error()) return shown(value.code());
  if (value.is_text()) return fmt::format("\"{}\"", value.text());
  return value.is_empty() ? "empty" : number_text(value.number());
}

bool agree(const Value& ours, const Value& theirs) {
  if (ours.is_error() || theirs.is_error()) return ours.code() == theirs.code();
  if (ours.is_text() || theirs.is_text()) return ours.text() == theirs.text();
  const double size = std::max(std::fabs(ours.number()), std::fabs(theirs.number()));
  return std::fabs(ours.number() - theirs.number()) <= kTolerance * size;
}

TEST(Books, AgreeWithCalcOnEveryCell) {
  support::Office& office = Visit::get().office();
  ASSERT_EQ(Visit::get().problem(), "");
  const std::vector<std::filesystem::path> files = books();
  ASSERT_GE(files.size(), 2U);
  // A template and an example may have the same name; the office gets each on its own.
  std::vector<std::filesystem::path> copies;
  const support::TemporaryFolder folder;
  for (std::size_t i = 0; i < files.size(); ++i) {
    copies.push_back(folder.path() / fmt::format("{}-{}", i, files[i].filename().string()));
    std::filesystem::copy_file(files[i], copies.back());
  }
  const support::Office::Converted converted = office.convert(copies, "fods");
  ASSERT_EQ(converted.problem, "");
  for (std::size_t i = 0; i < files.size(); ++i) {
    SCOPED_TRACE(files[i].filename().string());
    const support::FlatCells theirs = support::read_flat(converted.files[i].string());
    ASSERT_EQ(theirs.problem, "");
    Result<ods::Document> document = ods::Document::open(files[i].string());
    ASSERT_TRUE(document.ok()) << document.error().text();
    sheet::Workbook& workbook = document->workbook();
    calc::Calculator calculator(workbook, {});
    calculator.recalculate();
    int formulas = 0;
    for (std::int32_t s = 0; s < workbook.sheets(); ++s) {
      const sheet::Sheet& sheet = workbook.sheet(s);
      for (std::int32_t r = 0; r < sheet.rows_end(); ++r) {
        for (std::int32_t c = 0; c < sheet.columns_end(); ++c) {
          const Value ours = sheet.get(r, c);
          const Value calc = theirs.at(sheet.name(), r, c);
          if (calculator.is_formula({s, r, c})) ++formulas;
          EXPECT_TRUE(agree(ours, calc))
              << sheet.name() << "." << cell_name(r, c) << ": " << words(ours) << " in the engine, "
              << words(calc) << " in Calc";
        }
      }
    }
    EXPECT_GT(formulas, 0);
    // A book that is handed out shows no error.
    for (const calc::CellError& error : calculator.errors()) {
      ADD_FAILURE() << workbook.sheet(error.cell.sheet).name() << "."
                    << cell_name(error.cell.row, error.cell.column) << " shows "
                    << shown(error.error.code) << ": " << error.error.text();
    }
  }
}

}  // namespace
}  // namespace loftledger::office
