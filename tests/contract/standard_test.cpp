// The spreadsheet functions: their groups are those of the standard, and every function of the
// Small Group is checked by rows of tests/data/standard.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>
#include <map>
#include <regex>
#include <set>
#include <sstream>

#include "addin/render/standard_groups.hpp"
#include "engine/standard/registry.hpp"
#include "tests/contract/interface_reader.hpp"

namespace loftledger::contract {
namespace {

using standard::Group;
using standard::StandardFunction;

// Without the functions that the engine lacks, if any.
std::set<std::string_view> in_standard(Group group) {
  std::set<std::string_view> out;
  for (std::string_view name : render::names_in(group)) {
    if (standard::find_function(name) != nullptr) out.insert(name);
  }
  return out;
}

std::set<std::string_view> in_records(Group group) {
  std::set<std::string_view> out;
  for (const StandardFunction* f : standard::all_functions()) {
    if (f->group == group) out.insert(f->name);
  }
  return out;
}

// What the rows of tests/data/standard hold about one function, as the outermost call.
struct Rows {
  int values = 0;
  int errors = 0;
};

std::map<std::string, Rows, std::less<>> rows_by_function() {
  static const std::regex kCall("\\{?([A-Z][A-Z0-9._]*)\\(.*");
  std::map<std::string, Rows, std::less<>> out;
  const auto folder = std::filesystem::path(LOFTLEDGER_SOURCE) / "tests/data/standard";
  for (const auto& entry : std::filesystem::directory_iterator(folder)) {
    std::istringstream lines(read_file("tests/data/standard/" + entry.path().filename().string()));
    for (std::string line; std::getline(lines, line);) {
      const std::size_t formula_end = line.find('\t');
      std::smatch call;
      const std::string formula = line.substr(0, formula_end);
      if (formula_end == std::string::npos || !std::regex_match(formula, call, kCall)) continue;
      const std::string expected =
          line.substr(formula_end + 1, line.find('\t', formula_end + 1) - formula_end - 1);
      const bool error = expected.starts_with('#') || expected.starts_with("Err:");
      Rows& rows = out[call[1].str()];
      ++(error ? rows.errors : rows.values);
    }
  }
  return out;
}

// For these nothing is an error by the standard, whatever they are given, or they take nothing.
const std::set<std::string_view>& never_errors() {
  static const std::set<std::string_view> names = {
      "COUNT", "COUNTA",    "COUNTBLANK", "FALSE",  "ISBLANK", "ISERR", "ISERROR", "ISLOGICAL",
      "ISNA",  "ISNONTEXT", "ISNUMBER",   "ISTEXT", "NOW",     "PI",    "TODAY",   "TRUE"};
  return names;
}

// For these the result is an error, whatever they are given.
const std::set<std::string_view>& always_errors() {
  static const std::set<std::string_view> names = {"NA"};
  return names;
}

TEST(StandardGroups, AreThoseOfTheStandard) {
  EXPECT_EQ(render::names_in(Group::small).size(), 110U);
  EXPECT_EQ(render::names_in(Group::medium).size(), 162U);
  EXPECT_EQ(render::names_in(Group::large).size(), 116U);
  for (const Group group : {Group::small, Group::medium, Group::large}) {
    EXPECT_EQ(in_records(group), in_standard(group));
  }
}

TEST(StandardGroups, NoFunctionStandsInTwo) {
  std::set<std::string_view> seen;
  for (const Group group : {Group::small, Group::medium, Group::large}) {
    for (std::string_view name : render::names_in(group)) {
      EXPECT_TRUE(seen.insert(name).second) << name;
    }
  }
}

TEST(SmallGroup, IsComplete) {
  for (std::string_view name : render::names_in(Group::small)) {
    const StandardFunction* function = standard::find_function(name);
    ASSERT_NE(function, nullptr) << name;
    EXPECT_EQ(function->name, name);
  }
}

TEST(SmallGroup, EveryFunctionHasRowsForValuesAndForErrors) {
  const auto rows = rows_by_function();
  for (std::string_view name : render::names_in(Group::small)) {
    const auto found = rows.find(name);
    ASSERT_NE(found, rows.end()) << name << " has no row in tests/data/standard";
    if (!always_errors().contains(name)) {
      EXPECT_GT(found->second.values, 0) << name << " has no row with a value";
    }
    if (!never_errors().contains(name)) {
      EXPECT_GT(found->second.errors, 0) << name << " has no row with an error";
    }
  }
}

TEST(Groups, EveryFunctionHasARow) {
  const auto rows = rows_by_function();
  std::string without;
  for (const StandardFunction* f : standard::all_functions()) {
    const bool found =
        rows.contains(f->name) || rows.contains(std::string(standard::typed_name(*f)));
    if (!found) without += fmt::format(" {}", f->name);
  }
  EXPECT_EQ(without, "") << "these have no row in tests/data/standard";
}

}  // namespace
}  // namespace loftledger::contract
