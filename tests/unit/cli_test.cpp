// The program as a user runs it: what it prints, and how it ends.
#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>

#include "tests/support/documents/flat_text.hpp"
#include "tests/support/system/files.hpp"
#include "tests/support/system/process.hpp"

namespace loftledger::support {
namespace {

const std::string kPlan = LOFTLEDGER_SOURCE "/tests/data/books/small-plan.fods";

Finished loftledger(std::vector<std::string> words) {
  words.insert(words.begin(), LOFTLEDGER_PROGRAM);
  return run(words, std::chrono::minutes(10));
}

std::string contents(const std::filesystem::path& path) {
  std::ifstream in(path, std::ios::binary);
  std::ostringstream out;
  out << in.rdbuf();
  return out.str();
}

// One line that says what is wrong, and exit code 2.
void expect_complaint(const Finished& done, const std::string& words) {
  EXPECT_EQ(done.exit_code, 2) << done.output;
  EXPECT_EQ(std::count(done.output.begin(), done.output.end(), '\n'), 1) << done.output;
  EXPECT_TRUE(done.output.starts_with("loftledger: ")) << done.output;
  EXPECT_NE(done.output.find(words), std::string::npos) << done.output;
}

TEST(Eval, PrintsTheResult) {
  const Finished done = loftledger({"eval", "BODIESPERCASE(\"10 kg\";\"160 g\";4%)"});
  EXPECT_EQ(done.exit_code, 0);
  EXPECT_EQ(done.output, "60\n");
}

TEST(Eval, PrintsAnArrayRowByRow) {
  EXPECT_EQ(loftledger({"eval", "={1;2|3;4}*2"}).output, "2\t4\n6\t8\n");
}

TEST(Eval, SaysWhatIsWrong) {
  expect_complaint(loftledger({"eval", "BODIESPERCASE(10;\"160 g\")"}),
                   "beside the bare number 10, a mass too");
  expect_complaint(loftledger({"eval", "SUM(1;2"}), "Err:508");
  expect_complaint(loftledger({"eval", "NOSUCH(1)"}), "NOSUCH is not a known function");
  expect_complaint(loftledger({"eval", "1/0"}), "#DIV/0!");
}

TEST(Functions, ListsAllAndDescribesOne) {
  const Finished all = loftledger({"functions"});
  EXPECT_EQ(all.exit_code, 0);
  EXPECT_NE(all.output.find("BODIESPERCASE"), std::string::npos);
  const Finished one = loftledger({"functions", "bodiespercase", "--format", "json"});
  const auto json = nlohmann::json::parse(one.output);
  ASSERT_EQ(json.size(), 1U);
  EXPECT_EQ(json[0]["stored_name"], "LOFTLEDGER.PLANNING.BODIESPERCASE");
  EXPECT_EQ(json[0]["parameters"].size(), 3U);
  expect_complaint(loftledger({"functions", "NOSUCH"}), "no planning function NOSUCH");
}

TEST(Calc, PrintsResultsCellsAndErrorsAsJson) {
  const Finished done =
      loftledger({"calc", kPlan, "--set", "fill_a_opened_small=0", "--cell", "Plan.B16", "--cell",
                  "Checks.B4", "--cell", "Start.B2", "--cell", "Start.A1", "--format", "json"});
  ASSERT_EQ(done.exit_code, 0) << done.output;
  const auto json = nlohmann::json::parse(done.output);
  EXPECT_EQ(json["cells"]["Plan.B16"]["type"], "error");
  EXPECT_EQ(json["cells"]["Plan.B16"]["value"], "Err:502");
  EXPECT_EQ(json["cells"]["Checks.B4"]["type"], "boolean");
  EXPECT_EQ(json["cells"]["Checks.B4"]["value"], false);
  EXPECT_EQ(json["cells"]["Start.B2"]["type"], "text");
  EXPECT_EQ(json["cells"]["Start.A1"]["type"], "empty");
  EXPECT_NEAR(json["results"]["bodies_a_delivered_small"].get<double>(), 352.0161, 1e-3);
  bool said = false;
  for (const auto& error : json["errors"]) {
    said = said || (error["cell"] == "Plan.B16" && error["error"] == "Err:502" &&
                    error["sentence"] == "BODIESPERCASE: fill mass is 0; it must be more than 0");
  }
  EXPECT_TRUE(said) << done.output;
}

// Two named blocks of two cells, one of inputs and one of results.
const std::string kBlocks = flat_rows(
    "<table:table-row><table:table-cell office:value-type=\"string\"><text:p>Mass</text:p>"
    "</table:table-cell><table:table-cell office:value-type=\"float\" office:value=\"2\"/>"
    "<table:table-cell office:value-type=\"float\" office:value=\"3\"/></table:table-row>"
    "<table:table-row><table:table-cell office:value-type=\"string\"><text:p>Twice</text:p>"
    "</table:table-cell><table:table-cell table:formula=\"of:=2*[.B1]\"/>"
    "<table:table-cell table:formula=\"of:=2*[.C1]\"/></table:table-row>",
    "",
    "<table:named-range table:name=\"mass\" table:cell-range-address=\"$S.$B$1:.$C$1\"/>"
    "<table:named-range table:name=\"twice\" table:cell-range-address=\"$S.$B$2:.$C$2\"/>");

TEST(Calc, PrintsEveryValueOfANamedBlock) {
  const TemporaryFolder folder;
  const std::string path = folder.path() / "blocks.fods";
  write_file(path, kBlocks);
  EXPECT_EQ(loftledger({"calc", path, "--format", "csv"}).output,
            "name,cell,value,unit\r\ntwice,S.B2,4,\r\ntwice,S.C2,6,\r\n");
  const std::string table = loftledger({"calc", path, "--set", "S.C1=5"}).output;
  EXPECT_NE(table.find("Twice   4 | 10  twice"), std::string::npos) << table;
  expect_complaint(loftledger({"calc", path, "--set", "mass=5"}),
                   "\"mass\" stands for 2 cells; set them one by one, such as S.B1=5");
}

TEST(Calc, WritesTheBookAndReadsItAgain) {
  const TemporaryFolder folder;
  for (const std::string ending : {"ods", "fods", "ots"}) {
    const std::string target = folder.path() / ("plan." + ending);
    const Finished done = loftledger({"calc", kPlan, "--set", "case_price_a=80", "-o", target});
    ASSERT_EQ(done.exit_code, 0) << done.output;
    const Finished again = loftledger({"calc", target, "--cell", "Inputs.B9", "--format", "csv"});
    EXPECT_EQ(again.output, "cell,value\r\nInputs.B9,80\r\n");
    EXPECT_EQ(loftledger({"calc", target}).output, done.output);
  }
}

TEST(Calc, WritesTheFirstSheetAsCsv) {
  const TemporaryFolder folder;
  const std::string target = folder.path() / "plan.csv";
  ASSERT_EQ(loftledger({"calc", kPlan, "-o", target}).exit_code, 0);
  EXPECT_NE(contents(target).find("Store plan"), std::string::npos);
}

TEST(Calc, RefusesBadWishesAndWritesNothing) {
  const TemporaryFolder folder;
  const std::string target = folder.path() / "plan.ods";
  expect_complaint(loftledger({"calc", kPlan, "--set", "nobody=1", "-o", target}), "nobody");
  expect_complaint(loftledger({"calc", kPlan, "--set", "nobody", "-o", target}), "NAME=VALUE");
  expect_complaint(loftledger({"calc", kPlan, "--cell", "Gone.A1", "-o", target}),
                   "no sheet \"Gone\"");
  expect_complaint(loftledger({"calc", kPlan, "--cell", "Plan.7B", "-o", target}), "no cell");
  expect_complaint(loftledger({"calc", kPlan, "--format", "xml", "-o", target}), "--format");
  expect_complaint(loftledger({"calc", kPlan, "-o", folder.path() / "plan.doc"}), ".doc");
  expect_complaint(loftledger({"calc", kPlan, "-o", folder.path() / "none" / "plan.ods"}), "none");
  EXPECT_TRUE(std::filesystem::is_empty(folder.path()));
}

TEST(Calc, RefusesWhatIsNoWorkbook) {
  const TemporaryFolder folder;
  const std::string good = folder.path() / "good.ods";
  const std::string target = folder.path() / "out.ods";
  ASSERT_EQ(loftledger({"calc", kPlan, "-o", good}).exit_code, 0);
  const std::string package = contents(good);
  const std::string flat = contents(kPlan);
  const auto refuse = [&](const std::string& name, const std::string& bytes,
                          const std::string& words) {
    const std::string path = folder.path() / name;
    write_file(path, bytes);
    expect_complaint(loftledger({"calc", path, "-o", target}), words);
    EXPECT_FALSE(std::filesystem::exists(target)) << name;
  };
  refuse("empty.ods", "", "empty.ods");
  refuse("text.ods", "case price, 60\n", "text.ods");
  refuse("cut.ods", package.substr(0, package.size() / 2), "cut.ods");
  refuse("cut.fods", flat.substr(0, flat.size() / 2), "line");
  refuse("broken.fods", "<office:document", "broken.fods");
  expect_complaint(loftledger({"calc", folder.path() / "missing.ods"}), "missing.ods");
  expect_complaint(loftledger({"calc", folder.path()}), folder.path().string());
}

TEST(Calc, SaysWhatOfTheFileWasPassedOver) {
  const TemporaryFolder folder;
  const std::string path = folder.path() / "tall.fods";
  write_file(path, flat_rows("<table:table-row><table:table-cell office:value-type=\"float\" "
                             "office:value=\"2\"/></table:table-row><table:table-row "
                             "table:number-rows-repeated=\"1048575\"><table:table-cell/>"
                             "</table:table-row><table:table-row><table:table-cell "
                             "office:value-type=\"float\" office:value=\"1\"/></table:table-row>"));
  const Finished done = loftledger({"calc", path, "--cell", "S.A1", "--format", "csv"});
  EXPECT_EQ(done.exit_code, 0);
  EXPECT_TRUE(
      done.output.starts_with("loftledger: \"S\" has values right of column XFD or below "
                              "row 1048576, which are not read\n"))
      << done.output;
  EXPECT_TRUE(done.output.ends_with("cell,value\r\nS.A1,2\r\n")) << done.output;
}

TEST(Calc, ShowsCirclesUnknownFunctionsAndSyntaxErrorsAsErrorValues) {
  const TemporaryFolder folder;
  const std::string path = folder.path() / "errors.fods";
  write_file(path, R"xml(<?xml version="1.0" encoding="UTF-8"?>
<office:document xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0"
 xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0"
 office:mimetype="application/vnd.oasis.opendocument.spreadsheet" office:version="1.3">
<office:body><office:spreadsheet><table:table table:name="S"><table:table-row>
<table:table-cell table:formula="of:=[.B1]"/><table:table-cell table:formula="of:=[.A1]"/>
<table:table-cell table:formula="of:=NOSUCH(1)"/><table:table-cell table:formula="of:=SUM(1;"/>
</table:table-row></table:table></office:spreadsheet></office:body></office:document>)xml");
  const Finished done = loftledger(
      {"calc", path, "--format", "json", "--cell", "S.A1", "--cell", "S.C1", "--cell", "S.D1"});
  ASSERT_EQ(done.exit_code, 0) << done.output;
  const auto json = nlohmann::json::parse(done.output);
  EXPECT_EQ(json["cells"]["S.A1"]["value"], "Err:522");
  EXPECT_EQ(json["cells"]["S.C1"]["value"], "#NAME?");
  EXPECT_EQ(json["cells"]["S.D1"]["type"], "error");
  ASSERT_EQ(json["errors"].size(), 4U);
  EXPECT_EQ(json["errors"][0]["sentence"], "a circular reference: S.A1 needs S.B1 needs S.A1");
}

TEST(Program, ExplainsItselfAndRefusesUnknownCommands) {
  EXPECT_EQ(loftledger({"--help"}).exit_code, 0);
  EXPECT_EQ(loftledger({"--version"}).exit_code, 0);
  expect_complaint(loftledger({}), "subcommand");
  expect_complaint(loftledger({"nosuch"}), "nosuch");
}

}  // namespace
}  // namespace loftledger::support
