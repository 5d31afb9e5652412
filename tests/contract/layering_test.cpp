// Who may include whom. Linking finds most breaches; a header that is used without its library is
// found only here.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <map>
#include <regex>

#include "tests/contract/interface_reader.hpp"
#include "tests/contract/source_files.hpp"

namespace loftledger::contract {
namespace {

// What the files of a folder may include beside each other: "engine/base" is that folder,
// "tests/support/" is every folder below, and a file is that file.
using Names = std::vector<std::string>;

Names operator+(Names a, const Names& b) {
  a.insert(a.end(), b.begin(), b.end());
  return a;
}

// Every folder with sources has a row here; one may have its row before it has files.
const std::map<std::string, Names>& rows() {
  static const Names kShelf = {"engine/base",  "engine/format",          "engine/formula",
                               "engine/sheet", "engine/standard/values", "engine/standard/call"};
  static const Names kGroup = {"engine/base", "engine/catalogue", "engine/planning/areas.hpp",
                               "engine/planning/common"};
  static const Names kCalc = {"engine/base",     "engine/catalogue",     "engine/format",
                              "engine/formula",  "engine/graph",         "engine/sheet",
                              "engine/standard", "engine/standard/call", "engine/standard/values"};
  static const Names kOds = {"engine/base",  "engine/format",      "engine/formula",
                             "engine/sheet", "engine/ods/package", "engine/ods/markup"};
  static const Names kFace = {"engine/base",    "engine/calc", "engine/catalogue",
                              "engine/formula", "engine/ods",  "engine/planning",
                              "engine/study"};
  static const std::map<std::string, Names> all = {
      {"engine/base", {}},
      {"engine/format", {"engine/base"}},
      {"engine/catalogue", {"engine/base"}},
      {"engine/planning", {"engine/base", "engine/catalogue"}},
      {"engine/planning/common", {"engine/base", "engine/catalogue"}},
      {"engine/planning/fibre", kGroup},
      {"engine/planning/freight", kGroup},
      {"engine/planning/money", kGroup},
      {"engine/planning/orders", kGroup},
      {"engine/planning/day", kGroup},
      {"engine/formula", {"engine/base"}},
      {"engine/graph", {"engine/base"}},
      {"engine/sheet", {"engine/base", "engine/formula"}},
      {"engine/standard/values",
       {"engine/base", "engine/format", "engine/formula", "engine/sheet"}},
      {"engine/standard/call",
       {"engine/base", "engine/format", "engine/formula", "engine/sheet",
        "engine/standard/values"}},
      {"engine/standard/text", kShelf},
      {"engine/standard/dates", kShelf},
      {"engine/standard/money", kShelf + Names{"engine/standard/dates"}},
      {"engine/standard/statistics", kShelf},
      {"engine/standard/maths", kShelf},
      {"engine/standard/lookup", kShelf},
      {"engine/standard/logic", kShelf},
      {"engine/standard", kShelf + Names{"engine/standard/"}},
      {"engine/calc/program", kCalc},
      {"engine/calc/machine", kCalc + Names{"engine/calc/program"}},
      {"engine/calc", kCalc + Names{"engine/calc/program", "engine/calc/machine"}},
      {"engine/study",
       {"engine/base", "engine/calc", "engine/calc/program", "engine/catalogue", "engine/formula",
        "engine/sheet", "engine/standard/call"}},
      {"engine/ods/package", {"engine/base", "engine/ods/markup"}},
      {"engine/ods/forms", {"engine/base", "engine/ods/markup", "engine/ods/package"}},
      {"engine/ods/markup", {"engine/base"}},
      {"engine/ods/reading", kOds},
      {"engine/ods/writing", kOds + Names{"engine/ods/reading"}},
      {"engine/ods", kOds + Names{"engine/ods/"}},
      {"engine", kFace},
      {"engine/cli", {"engine", "engine/base"}},
      {"addin/render",
       {"engine/base", "engine/catalogue", "engine/planning", "engine/standard",
        "engine/standard/call"}},
      {"addin/render/cli", {"addin/render", "engine/base", "engine/catalogue", "engine/planning"}},
      {"addin/uno", {"engine/base", "engine/calc", "engine/catalogue", "engine/planning"}},
      {"templates/settle", {"engine/base", "engine/ods"}},
      {"tests/support/system", {}},
      {"tests/support/xml", {"engine/base", "engine/ods/markup"}},
      {"tests/support/tables",
       {"engine/base", "engine/calc", "engine/catalogue", "engine/formula", "engine/planning"}},
      {"tests/support/formulas", {"engine/base", "engine/formula"}},
      {"tests/support/documents", {"engine/base", "engine/ods"}},
      {"tests/support/books", {"engine/base", "engine/calc", "engine/ods", "engine/planning"}},
      {"tests/support/office",
       {"engine", "engine/base", "engine/calc", "engine/catalogue", "engine/ods",
        "engine/ods/reading", "engine/planning", "tests/support/system"}},
      {"tests/support/remote", {"addin/uno", "tests/support/office", "tests/support/system"}},
      {"tests/unit", {"engine/", "tests/support/"}},
      {"tests/contract", {"engine/", "addin/render"}},
      {"tests/addin", {"engine/", "addin/", "tests/support/"}},
      {"tests/office", {"engine/", "addin/", "tests/support/"}},
      {"tests/differential", {"engine/", "tests/support/"}},
      {"tests/fuzz", {"engine/", "tests/support/"}},
      {"tests/fuzz/replay", {}},
      {"tests/bench/sides", {"engine/"}},
      {"tests/bench/calc", {"addin/uno", "tests/support/"}},
      {"tests/bench", {"engine/", "tests/bench/", "tests/support/"}},
  };
  return all;
}

// Libraries that only some may use, wherever their folder stands.
struct Rule {
  std::regex include;
  std::regex place;  // of the files that may have it
  const char* what;
};

const std::vector<Rule>& rules() {
  static const std::vector<Rule> all = {
      {std::regex("boost/spirit.*|boost/fusion.*"),
       std::regex("engine/formula/.*|engine/base/quantity_grammar\\.cpp"),
       "the grammar library stays where texts are parsed"},
      {std::regex("com/sun/star/.*|cppuhelper/.*|rtl/.*|sal/.*|osl/.*|loftledger/.*"),
       std::regex("addin/uno/.*|tests/(addin|bench|office|support/remote)/.*"),
       "the office's interfaces stay in the add-in"},
      {std::regex("zip\\.h|zlib\\.h|libxml/.*|expat\\.h"), std::regex("engine/ods/.*|tests/.*"),
       "packages and their XML are read in engine/ods"},
      {std::regex("Eigen/.*"),
       std::regex("engine/standard/(statistics/least_squares|maths/factors)\\.cpp"),
       "matrices of the library stay where they are factored"},
      {std::regex("pugixml\\.hpp"), std::regex("addin/render/.*|templates/settle/.*|tests/.*"),
       "the program and the component read XML by themselves"},
      {std::regex("gtest/.*|gsl/.*|benchmark/.*"), std::regex("tests/.*"), "tests stay in tests"},
  };
  return all;
}

bool names(const std::string& name, const std::string& included) {
  if (name.ends_with('/')) return included.starts_with(name);
  return name == included || name == folder_of(included);
}

// What is wrong with the file's include lines, one line a breach.
std::string breaches(const std::string& path, const std::string& content) {
  static const std::regex kInclude(R"((?:^|\n)[ \t]*#[ \t]*include[ \t]*[<"]([^>"]+)[>"])");
  static const std::regex kOurs("(engine|addin|templates|tests)/.*");
  std::string out;
  const std::string folder = folder_of(path);
  const auto row = rows().find(folder);
  if (row == rows().end()) {
    return fmt::format("{}: the folder {} has no row in layering_test.cpp\n", path, folder);
  }
  const std::string code = stripped(content, Keep::code_and_texts);
  for (std::sregex_iterator each(code.begin(), code.end(), kInclude), end; each != end; ++each) {
    const std::string included = (*each)[1];
    if (std::regex_match(included, kOurs) && folder_of(included) != folder &&
        std::none_of(row->second.begin(), row->second.end(),
                     [&](const std::string& name) { return names(name, included); })) {
      out += fmt::format("{} includes {}: {} may not use it\n", path, included, folder);
    }
    for (const Rule& rule : rules()) {
      if (std::regex_match(included, rule.include) && !std::regex_match(path, rule.place)) {
        out += fmt::format("{} includes {}: {}\n", path, included, rule.what);
      }
    }
  }
  return out;
}

TEST(Layering, EveryFileKeepsToItsPlace) {
  const std::vector<std::string> files = source_files();
  ASSERT_GT(files.size(), 200U);
  for (const std::string& path : files) EXPECT_EQ(breaches(path, read_file(path)), "");
}

// Two folders that may use each other are one.
TEST(Layering, NoTwoFoldersMayUseEachOther) {
  const auto may_use = [](const std::string& from, const std::string& to) {
    const Names& row = rows().at(from);
    return std::any_of(row.begin(), row.end(),
                       [&](const std::string& name) { return names(name, to + "/x.hpp"); });
  };
  for (const auto& [one, its_row] : rows()) {
    for (const auto& [other, row] : rows()) {
      if (one < other) {
        EXPECT_FALSE(may_use(one, other) && may_use(other, one)) << one << " and " << other;
      }
    }
  }
}

TEST(Layering, ABreachIsFound) {
  const auto found = [](const char* path, const char* included) {
    return breaches(path, fmt::format("#include {}\n", included)) != "";
  };
  EXPECT_TRUE(found("engine/planning/x.cpp", "\"engine/sheet/workbook.hpp\""));
  EXPECT_TRUE(found("engine/planning/money/x.cpp", "\"engine/planning/orders/order.hpp\""));
  EXPECT_TRUE(found("engine/planning/common/x.cpp", "\"engine/planning/money/selling.hpp\""));
  EXPECT_TRUE(found("engine/base/x.hpp", "\"engine/catalogue/function.hpp\""));
  EXPECT_TRUE(found("engine/standard/text/x.cpp", "\"engine/standard/dates/functions.hpp\""));
  EXPECT_TRUE(found("engine/standard/text/x.cpp", "\"engine/standard/registry.hpp\""));
  EXPECT_TRUE(found("engine/standard/values/x.cpp", "\"engine/standard/call/call.hpp\""));
  EXPECT_TRUE(found("engine/sheet/x.cpp", "<boost/spirit/home/x3.hpp>"));
  EXPECT_TRUE(found("engine/calc/x.cpp", "<com/sun/star/uno/Any.hxx>"));
  EXPECT_TRUE(found("engine/calc/x.cpp", "\"engine/engine.hpp\""));
  EXPECT_TRUE(found("engine/calc/x.cpp", "\"engine/study/study.hpp\""));
  EXPECT_TRUE(found("engine/calc/x.cpp", "\"addin/uno/convert.hpp\""));
  EXPECT_TRUE(found("engine/calc/x.cpp", "\"tests/support/system/files.hpp\""));
  EXPECT_TRUE(found("addin/uno/x.cpp", "\"tests/support/office/office.hpp\""));
  EXPECT_TRUE(found("addin/uno/x.cpp", "\"addin/render/render.hpp\""));
  EXPECT_TRUE(found("templates/settle/x.cpp", "\"engine/calc/calculator.hpp\""));
  EXPECT_TRUE(found("tests/support/system/x.cpp", "\"engine/base/value.hpp\""));
  EXPECT_TRUE(found("engine/fresh/x.cpp", "<string>"));  // a folder without a row
  EXPECT_TRUE(found("engine/base/fresh/x.cpp", "<string>"));
  EXPECT_NE(breaches("engine/base/x.cpp", "int a;\n  # include \"engine/graph/order.hpp\"\n"), "");
  EXPECT_FALSE(found("engine/cli/main.cpp", "\"engine/engine.hpp\""));
  EXPECT_FALSE(found("engine/calc/x.cpp", "\"engine/sheet/workbook.hpp\""));
  EXPECT_FALSE(found("engine/planning/money/x.cpp", "\"engine/planning/areas.hpp\""));
  EXPECT_FALSE(found("engine/standard/money/x.cpp", "\"engine/standard/dates/day_count.hpp\""));
  EXPECT_EQ(breaches("engine/base/x.cpp", "// #include \"engine/graph/order.hpp\"\n"), "");
}

}  // namespace
}  // namespace loftledger::contract
