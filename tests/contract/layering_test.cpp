// Who may include whom. Linking finds most breaches; a header that is used without its library is
// found only here.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <filesystem>
#include <map>
#include <optional>
#include <regex>
#include <set>

#include "tests/contract/interface_reader.hpp"

namespace loftledger::contract {
namespace {

namespace fs = std::filesystem;

// What stands directly in engine/ is the face that programs see.
constexpr const char* kFace = "engine.hpp";

const std::map<std::string, std::set<std::string>>& allowed() {
  static const std::map<std::string, std::set<std::string>> table = {
      {"base", {}},
      {"format", {"base"}},
      {"catalogue", {"base"}},
      {"planning", {"base", "catalogue"}},
      {"formula", {"base"}},
      {"graph", {"base"}},
      {"sheet", {"base", "formula"}},
      {"standard", {"base", "format", "formula", "sheet"}},
      {"calc", {"base", "catalogue", "format", "formula", "graph", "sheet", "standard"}},
      {"ods", {"base", "format", "formula", "sheet"}},
      {kFace, {"base", "calc", "catalogue", "formula", "graph", "ods", "sheet", "standard"}},
      {"cli", {"base", "catalogue", "formula", "sheet", "calc", "ods", kFace}},
  };
  return table;
}

struct Rule {
  std::regex include;
  std::regex place;  // of the files that may have it
  const char* what;
};

const std::vector<Rule>& rules() {
  static const std::vector<Rule> all = {
      {std::regex("boost/spirit.*|boost/fusion.*"),
       std::regex("engine/formula/.*|engine/base/quantity\\.cpp"),
       "the grammar library stays where texts are parsed"},
      {std::regex("com/sun/star/.*|cppuhelper/.*|rtl/.*|sal/.*|osl/.*|loftledger/.*"),
       std::regex("addin/uno/.*|tests/(office|bench)/.*"),
       "the office's interfaces stay in addin/uno"},
      {std::regex("zip\\.h|zlib\\.h|libxml/.*|expat\\.h"), std::regex("engine/ods/.*|tests/.*"),
       "packages and their XML are read in engine/ods"},
      {std::regex("iostream|cstdio|stdio\\.h"),
       std::regex("engine/cli/.*|engine/ods/.*|addin/render/main\\.cpp|tests/.*"),
       "a library prints nothing"},
      {std::regex("engine/standard/(call|text|dates|money|statistics|maths|lookup|logic)/.*"),
       std::regex("(?!engine/standard/values/).*"),
       "what the office does with single values knows no call"},
      {std::regex("gtest/.*"), std::regex("tests/.*"), "tests stay in tests"},
      {std::regex("tests/.*"), std::regex("tests/.*"), "nothing but a test needs a test's files"},
      {std::regex("addin/.*"), std::regex("addin/.*|tests/.*"), "the engine knows no add-in"},
  };
  return all;
}

// "engine/base/value.hpp" to "base", "engine/engine.hpp" to the face; nothing elsewhere.
std::optional<std::string> layer(const std::string& path) {
  if (!path.starts_with("engine/")) return std::nullopt;
  const std::string rest = path.substr(7);
  const std::size_t slash = rest.find('/');
  return slash == std::string::npos ? kFace : rest.substr(0, slash);
}

// What is wrong with the file's include lines, one line a breach.
std::string breaches(const std::string& path, const std::string& content) {
  static const std::regex kInclude("(?:^|\n)#include [<\"]([^>\"]+)[>\"]");
  std::string out;
  const std::optional<std::string> from = layer(path);
  for (std::sregex_iterator each(content.begin(), content.end(), kInclude), end; each != end;
       ++each) {
    const std::string included = (*each)[1];
    const std::optional<std::string> to = layer(included);
    if (from && to && *from != *to) {
      const auto row = allowed().find(*from);
      if (row == allowed().end() || !row->second.contains(*to)) {
        out += fmt::format("{} includes {}: {} may not use {}\n", path, included, *from, *to);
      }
    }
    for (const Rule& rule : rules()) {
      if (std::regex_match(included, rule.include) && !std::regex_match(path, rule.place)) {
        out += fmt::format("{} includes {}: {}\n", path, included, rule.what);
      }
    }
  }
  return out;
}

std::vector<std::string> source_files() {
  std::vector<std::string> out;
  const fs::path root(LOFTLEDGER_SOURCE);
  for (const char* top : {"engine", "addin", "tests"}) {
    for (const fs::directory_entry& entry : fs::recursive_directory_iterator(root / top)) {
      const std::string ending = entry.path().extension().string();
      if (ending == ".cpp" || ending == ".hpp") {
        out.push_back(fs::relative(entry.path(), root).generic_string());
      }
    }
  }
  return out;
}

TEST(Layering, EveryFileKeepsToItsPlace) {
  const std::vector<std::string> files = source_files();
  ASSERT_GT(files.size(), 40U);
  for (const std::string& path : files) EXPECT_EQ(breaches(path, read_file(path)), "");
}

TEST(Layering, EveryFolderOfTheEngineHasARow) {
  for (const std::string& path : source_files()) {
    const std::optional<std::string> folder = layer(path);
    if (folder) {
      EXPECT_TRUE(allowed().contains(*folder)) << path;
    }
  }
}

TEST(Layering, ABreachIsFound) {
  EXPECT_NE(breaches("engine/planning/x.cpp", "#include \"engine/sheet/workbook.hpp\"\n"), "");
  EXPECT_NE(breaches("engine/base/x.hpp", "#include \"engine/catalogue/function.hpp\"\n"), "");
  EXPECT_NE(breaches("engine/sheet/x.cpp", "#include <boost/spirit/home/x3.hpp>\n"), "");
  EXPECT_NE(breaches("engine/calc/x.cpp", "#include <com/sun/star/uno/Any.hxx>\n"), "");
  EXPECT_NE(breaches("engine/calc/x.cpp", "#include \"engine/engine.hpp\"\n"), "");
  EXPECT_NE(breaches("engine/calc/x.cpp", "#include <iostream>\n"), "");
  EXPECT_NE(
      breaches("engine/standard/values/x.cpp", "#include \"engine/standard/call/call.hpp\"\n"), "");
  EXPECT_NE(breaches("addin/uno/x.cpp", "#include \"tests/support/office.hpp\"\n"), "");
  EXPECT_EQ(breaches("engine/cli/main.cpp", "#include \"engine/engine.hpp\"\n"), "");
  EXPECT_EQ(breaches("engine/calc/x.cpp", "#include \"engine/sheet/workbook.hpp\"\n"), "");
}

}  // namespace
}  // namespace loftledger::contract
