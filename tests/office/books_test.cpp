// Every template and every example book: Calc with the extension and the engine agree on each cell.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <cmath>
#include <filesystem>
#include <fstream>
#include <random>
#include <sstream>

#include "engine/base/number_text.hpp"
#include "engine/calc/calculator.hpp"
#include "engine/ods/document.hpp"
#include "engine/planning/catalogue.hpp"
#include "tests/office/visit.hpp"
#include "tests/support/books/filled.hpp"
#include "tests/support/system/process.hpp"

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

std::string contents(const std::filesystem::path& path) {
  std::ifstream in(path, std::ios::binary);
  std::ostringstream out;
  out << in.rdbuf();
  return out.str();
}

// Of a number's cell without what it shows: the last bit of a number decides how it is rounded.
std::vector<std::string> lines(const std::string& text) {
  std::vector<std::string> out;
  std::istringstream in(text);
  for (std::string line; std::getline(in, line);) {
    if (line.find(" office:value=") != std::string::npos)
      line.erase(std::min(line.size(), line.rfind("<text:p>")));
    out.push_back(line);
  }
  return out;
}

bool agree(const Value& ours, const Value& theirs) {
  if (ours.is_error() || theirs.is_error()) return ours.code() == theirs.code();
  if (ours.is_text() || theirs.is_text()) return ours.text() == theirs.text();
  const double size = std::max(std::fabs(ours.number()), std::fabs(theirs.number()));
  // The office writes twenty decimals.
  return std::fabs(ours.number() - theirs.number()) <= std::max(kTolerance * size, 1e-20);
}

// A book as it is calculated in Calc and in the engine: what differs, and what shows an error.
void compare(const std::string& path, const support::FlatCells& theirs) {
  Result<ods::Document> document = ods::Document::open(path);
  ASSERT_TRUE(document.ok()) << document.error().text();
  sheet::Workbook& workbook = document->workbook();
  calc::Calculator calculator(workbook, planning::catalogue(), {});
  calculator.recalculate();
  int formulas = 0;
  for (std::int32_t s = 0; s < workbook.sheets(); ++s) {
    const sheet::Sheet& sheet = workbook.sheet(s);
    for (std::int32_t r = 0; r < sheet.rows_end(); ++r) {
      for (std::int32_t c = 0; c < sheet.columns_end(); ++c) {
        const Value ours = sheet.get(r, c);
        const Value calc = theirs.at(sheet.name(), r, c);
        if (calculator.cells().is_formula({s, r, c})) ++formulas;
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

void compare_all(const std::vector<std::filesystem::path>& files) {
  support::Office& office = Visit::get().office();
  ASSERT_EQ(Visit::get().problem(), "");
  const support::Office::Converted converted =
      office.convert(files, "fods", std::chrono::minutes(20));
  ASSERT_EQ(converted.problem, "");
  for (std::size_t i = 0; i < files.size(); ++i) {
    SCOPED_TRACE(files[i].filename().string());
    const support::FlatCells theirs = support::read_flat(converted.files[i].string());
    ASSERT_EQ(theirs.problem, "");
    compare(files[i].string(), theirs);
  }
}

TEST(Books, AgreeWithCalcOnEveryCell) {
  // A template and an example may have the same name; the office gets each on its own.
  std::vector<std::filesystem::path> copies;
  const support::TemporaryFolder folder;
  for (const std::filesystem::path& book : books()) {
    copies.push_back(folder.path() / fmt::format("{}-{}", copies.size(), book.filename().string()));
    std::filesystem::copy_file(book, copies.back());
  }
  ASSERT_GE(copies.size(), 2U);
  compare_all(copies);
}

// The same with inputs drawn from their validations, some far from what a book came with.
TEST(Books, AgreeWithCalcWhateverTheInputs) {
  constexpr int kVariants = 4;
  std::vector<std::filesystem::path> variants;
  const support::TemporaryFolder folder;
  for (const std::filesystem::path& path : books()) {
    if (path.parent_path().filename() != "templates") continue;
    const support::Markup markup = support::read_markup(path.string());
    ASSERT_EQ(markup.problem, "") << path;
    support::Filled filled(path.string(), markup);
    ASSERT_EQ(filled.problem(), "") << path;
    for (int i = 0; i < kVariants; ++i) {
      std::mt19937_64 random(static_cast<std::uint64_t>(7000 + i));
      filled.shake(random, i % 2 == 1);
      variants.push_back(folder.path() / fmt::format("{}-{}.fods", path.stem().string(), i));
      ASSERT_TRUE(filled.document().save(variants.back().string()).ok());
    }
  }
  ASSERT_GE(variants.size(), 6U * kVariants);
  compare_all(variants);
}

// The book without how it is viewed, and with results in as many digits as both programs share.
std::string comparable(std::string text) {
  const std::size_t begin = text.find("<office:settings>");
  const std::size_t end = text.find("</office:settings>");
  if (begin != std::string::npos) text.erase(begin, end - begin);
  constexpr std::string_view kValue = "office:value=\"";
  std::string out;
  std::size_t copied = 0;
  for (std::size_t at = text.find(kValue); at != std::string::npos; at = text.find(kValue, at)) {
    at += kValue.size();
    const std::size_t stop = text.find('"', at);
    out += text.substr(copied, at - copied);
    const auto number = read_number(std::string_view(text).substr(at, stop - at));
    const double value = number.value_or(NAN);
    out += fmt::format("{:.{}g}", value, std::fabs(value) < 1e-8 ? 5 : 11);
    copied = at = stop;
  }
  return out + text.substr(copied);
}

// Opened in the office, saved and settled, a starter is what it was, so that a difference in it
// shows what a person changed. Without a window the office saves nothing of the view.
TEST(Books, StayAsTheyAreWhenTheOfficeSavesThem) {
  const support::TemporaryFolder folder;
  std::vector<std::filesystem::path> files;
  for (const std::filesystem::path& path : books()) {
    if (path.parent_path().filename() == "templates") files.push_back(path);
  }
  ASSERT_FALSE(files.empty());
  support::Office& office = Visit::get().office();
  ASSERT_EQ(Visit::get().problem(), "");
  const support::Office::Converted saved = office.convert(files, "ods", std::chrono::minutes(20));
  ASSERT_EQ(saved.problem, "");
  for (std::size_t i = 0; i < files.size(); ++i) {
    SCOPED_TRACE(files[i].filename().string());
    const std::filesystem::path settled = folder.path() / files[i].filename();
    const support::Finished done =
        support::run({LOFTLEDGER_SETTLE, "--from", saved.files[i].string(), settled.string()},
                     std::chrono::minutes(10));
    ASSERT_EQ(done.exit_code, 0) << done.output;
    const std::vector<std::string> before = lines(comparable(contents(files[i])));
    const std::vector<std::string> after = lines(comparable(contents(settled)));
    EXPECT_EQ(before.size(), after.size());
    for (std::size_t n = 0; n < std::min(before.size(), after.size()); ++n) {
      ASSERT_EQ(before[n], after[n]) << "line " << n + 1;
    }
  }
}

}  // namespace
}  // namespace loftledger::office
