// Every example of the catalogue and every call of the tables of checks, calculated by Calc with
// the extension, gives what the engine gives.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <cmath>

#include "engine/planning/catalogue.hpp"
#include "tests/office/visit.hpp"
#include "tests/support/office/stored_formula.hpp"
#include "tests/support/tables/call_reader.hpp"
#include "tests/support/tables/tables.hpp"

namespace loftledger::office {
namespace {

constexpr double kTolerance = 1e-12;
// The office writes no more than 20 decimals.
constexpr double kSmallest = 5e-21;

struct Call {
  std::string formula;
  std::string given;  // what stands in A1
  std::string from;
};

std::vector<Call> collect() {
  std::vector<Call> out;
  for (const catalogue::Function* function : planning::catalogue().functions()) {
    for (const catalogue::Example& example : function->examples) {
      out.push_back({std::string(example.formula), std::string(example.given),
                     fmt::format("example of {}", function->record.name)});
    }
  }
  const std::pair<const char*, std::pair<std::vector<std::string>, std::size_t>> kTables[] = {
      {"published", {support::kPublishedHeader, 1}}, {"refusals", {support::kRefusalHeader, 0}}};
  for (const auto& [folder, shape] : kTables) {
    for (const std::filesystem::path& file : support::table_files(folder)) {
      std::string problem;
      const support::TextTable table = support::read_table(file, shape.first, problem);
      for (const support::Row& row : table.rows) {
        out.push_back({row.fields[shape.second], "",
                       fmt::format("{}/{}.tsv:{}", folder, table.name, row.line)});
      }
    }
  }
  return out;
}

const std::vector<Call>& calls() {
  static const std::vector<Call> all = collect();
  return all;
}

catalogue::Answer engine_answer(const Call& call) {
  support::Cells given;
  if (!call.given.empty()) given["A1"] = *support::evaluate_one(call.given);
  Result<catalogue::Answer> answer = support::evaluate(call.formula, given);
  return answer ? *std::move(answer) : catalogue::Answer(Value("unreadable: " + call.formula));
}

// A single value is an array of one.
Matrix as_matrix(const catalogue::Answer& answer) {
  if (const Matrix* matrix = std::get_if<Matrix>(&answer)) return *matrix;
  return Matrix(1, 1, std::get<Value>(answer));
}

// Where a call stands: as a formula for one cell in column B, and once more from column D on, as an
// array formula over all that the engine gives.
struct Placed {
  std::string sheet;
  std::int32_t row = 0;
  Matrix engine;
};

constexpr std::int32_t kSingleColumn = 1;
constexpr std::int32_t kArrayColumn = 3;

// All calls stand one below the other on a sheet without anything in A1; a call that is given
// something there has a sheet of its own.
std::vector<Placed> place() {
  std::vector<Placed> out;
  std::int32_t next = 0;
  for (const Call& call : calls()) {
    Placed placed{"Calls", next, as_matrix(engine_answer(call))};
    if (call.given.empty()) {
      next += static_cast<std::int32_t>(placed.engine.rows());
    } else {
      placed.sheet = fmt::format("Given{}", out.size());
      placed.row = 0;
    }
    out.push_back(std::move(placed));
  }
  return out;
}

const std::vector<Placed>& places() {
  static const std::vector<Placed> all = place();
  return all;
}

void write(FlatDocument& out, const Call& call, const Placed& placed) {
  out.formula(placed.row, kSingleColumn, support::stored_formula(call.formula));
  out.array(placed.row, kArrayColumn, static_cast<std::int32_t>(placed.engine.rows()),
            static_cast<std::int32_t>(placed.engine.columns()),
            support::stored_formula(call.formula));
}

FlatDocument document() {
  FlatDocument out;
  out.sheet("Calls");
  for (std::size_t i = 0; i < calls().size(); ++i) {
    if (calls()[i].given.empty()) write(out, calls()[i], places()[i]);
  }
  for (std::size_t i = 0; i < calls().size(); ++i) {
    if (calls()[i].given.empty()) continue;
    out.sheet(places()[i].sheet);
    out.formula(0, 0, support::stored_formula(calls()[i].given));
    write(out, calls()[i], places()[i]);
  }
  return out;
}
const Registered kDocument("functions", document);

std::string shown_value(const Value& value) {
  if (value.is_error()) return fmt::format("{} ({})", shown(value.code()), value.error().text());
  if (value.is_text()) return fmt::format("\"{}\"", value.text());
  return value.is_empty() ? "empty" : fmt::format("{:.17g}", value.number());
}

// An add-in's truth shows as 1 or 0, and an empty text leaves a cell with nothing to see.
bool agree(const Value& office, const Value& engine) {
  if (engine.is_error()) return office.code() == engine.code();
  if (engine.is_text()) {
    return engine.text().empty() ? office.text().empty() && !office.is_error()
                                 : office.text() == engine.text();
  }
  if (engine.is_empty()) return office.is_empty() || (office.is_text() && office.text().empty());
  if (!office.is_numeric()) return false;
  return std::abs(office.number() - engine.number()) <=
         std::max(kSmallest, kTolerance * std::abs(engine.number()));
}

void expect_agreement(const Call& call, const Value& office, const Value& engine,
                      const std::string& place) {
  EXPECT_TRUE(agree(office, engine))
      << call.from << "\n  " << call.formula << " in " << place
      << "\n  the office: " << shown_value(office) << "\n  the engine: " << shown_value(engine);
}

TEST(OfficeFunctions, EveryCallGivesWhatTheEngineGives) {
  ASSERT_EQ(Visit::get().problem(), "");
  const FlatCells& cells = Visit::get().cells("functions");
  ASSERT_GT(calls().size(), planning::catalogue().functions().size());
  for (std::size_t i = 0; i < calls().size(); ++i) {
    const Call& call = calls()[i];
    const auto& [sheet, row, engine] = places()[i];
    expect_agreement(call, cells.at(sheet, row, kSingleColumn), engine.at(0, 0), "one cell");
    for (std::size_t r = 0; r < engine.rows(); ++r) {
      for (std::size_t c = 0; c < engine.columns(); ++c) {
        const Value office = cells.at(sheet, row + static_cast<std::int32_t>(r),
                                      kArrayColumn + static_cast<std::int32_t>(c));
        expect_agreement(call, office, engine.at(r, c),
                         fmt::format("row {}, column {} of an array formula", r + 1, c + 1));
      }
    }
  }
}

// The name by which every other installation finds the function again.
TEST(OfficeFunctions, AreSavedUnderTheirStoredNames) {
  const std::string saved = Visit::get().saved("functions");
  for (const catalogue::Function* function : planning::catalogue().functions()) {
    EXPECT_NE(saved.find(catalogue::stored_name(*function) + "("), std::string::npos)
        << function->record.name;
  }
}

TEST(OfficeFunctions, TheComparisonCanFail) {
  EXPECT_TRUE(agree(Value(1.0), Value(1.0 + 1e-13)));
  EXPECT_FALSE(agree(Value(1.0), Value(1.0 + 1e-11)));
  EXPECT_FALSE(agree(Value(), Value(0.0)));
  EXPECT_FALSE(agree(Value(0.0), Value()));
  EXPECT_FALSE(agree(Value(0.0), Value(Code::argument)));
  EXPECT_FALSE(agree(Value(Code::value), Value(Code::argument)));
  EXPECT_FALSE(agree(Value("a"), Value("b")));
  EXPECT_FALSE(agree(Value(Code::name), Value("")));
}

}  // namespace
}  // namespace loftledger::office
