// The interface description: current, in types that Calc takes, and never changed once released.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <filesystem>
#include <set>
#include <sstream>

#include "addin/render/render.hpp"
#include "engine/planning/catalogue.hpp"
#include "tests/contract/interface_reader.hpp"

namespace loftledger::contract {
namespace {

namespace fs = std::filesystem;

constexpr const char* kInterface = "idl/loftledger/XPlanning.idl";
constexpr const char* kReference = "engine/planning/FUNCTIONS.md";
constexpr const char* kStandardReference = "engine/standard/FUNCTIONS.md";

// The first line in which two texts differ, for a failure that says where to look.
std::string first_difference(const std::string& committed, const std::string& rendered) {
  std::istringstream a(committed);
  std::istringstream b(rendered);
  std::string left;
  std::string right;
  for (int line = 1;; ++line) {
    const bool more_left = static_cast<bool>(std::getline(a, left));
    const bool more_right = static_cast<bool>(std::getline(b, right));
    if (!more_left && !more_right) return committed == rendered ? "" : "at the end";
    if (more_left != more_right || left != right) {
      return fmt::format("line {}: \"{}\" is committed, \"{}\" is due", line, more_left ? left : "",
                         more_right ? right : "");
    }
  }
}

TEST(Current, TheCommittedInterfaceIsWhatTheCatalogueRenders) {
  EXPECT_EQ(first_difference(read_file(kInterface),
                             render::interface_description(planning::catalogue().functions())),
            "")
      << "build the target \"render\" and look at what changed";
}

TEST(Current, TheCommittedReferenceIsWhatTheCatalogueRenders) {
  EXPECT_EQ(
      first_difference(read_file(kReference), render::reference(planning::catalogue().functions())),
      "")
      << "build the target \"render\" and look at what changed";
}

TEST(Current, TheCommittedListOfSpreadsheetFunctionsIsWhatTheRecordsRender) {
  EXPECT_EQ(first_difference(read_file(kStandardReference), render::standard_reference()), "")
      << "build the target \"render\" and look at what changed";
}

TEST(Current, ADifferenceIsFound) {
  EXPECT_EQ(first_difference("a\nb\n", "a\nb\n"), "");
  EXPECT_NE(first_difference("a\nb\n", "a\nc\n"), "");
  EXPECT_NE(first_difference("a\n", "a\nb\n"), "");
  EXPECT_NE(first_difference("a", "a\n"), "");
}

TEST(Interface, HoldsOneMethodAFunction) {
  std::set<std::string> methods;
  for (const Method& method : read_interface(read_file(kInterface))) methods.insert(method.name);
  std::set<std::string> ids;
  for (const catalogue::Function* f : planning::catalogue().functions())
    ids.insert(std::string(f->record.id));
  EXPECT_EQ(methods, ids);
}

// A parameter of any other type makes the function vanish from Calc without a word.
TEST(Interface, UsesOnlyTypesThatCalcTakes) {
  const std::set<std::string> kTaken = {"any", "com::sun::star::table::XCellRange"};
  for (const Method& method : read_interface(read_file(kInterface))) {
    SCOPED_TRACE(method.name);
    EXPECT_EQ(method.result, "any");
    for (std::size_t i = 0; i < method.parameters.size(); ++i) {
      const std::string& type = method.parameters[i].type;
      // The document is handed over where it is the first parameter.
      const bool document = i == 0 && type == "com::sun::star::beans::XPropertySet";
      EXPECT_TRUE(document || kTaken.contains(type)) << type;
    }
  }
}

TEST(Interface, EveryMethodMayRefuseItsArguments) {
  for (const Method& method : read_interface(read_file(kInterface))) {
    EXPECT_EQ(method.raises,
              (std::vector<std::string>{"com::sun::star::lang::IllegalArgumentException",
                                        "com::sun::star::sheet::NoConvergenceException"}))
        << method.name;
  }
}

// What is wrong with the methods of today, seen from a published list; empty where nothing is.
std::string broken_promise(const std::string& published, const std::vector<std::string>& today) {
  const std::set<std::string> methods(today.begin(), today.end());
  std::istringstream lines(published);
  for (std::string line; std::getline(lines, line);) {
    if (!line.empty() && !methods.contains(line)) {
      return fmt::format("\"{}\" is published, but no longer there in that form", line);
    }
  }
  return {};
}

TEST(Published, EveryReleasedMethodIsStillThere) {
  const std::vector<std::string> today =
      render::method_signatures(planning::catalogue().functions());
  for (const fs::directory_entry& entry :
       fs::directory_iterator(fs::path(LOFTLEDGER_SOURCE) / "idl" / "published")) {
    if (entry.path().extension() != ".txt") continue;
    const std::string name = entry.path().filename().string();
    const std::string published = read_file("idl/published/" + name);
    EXPECT_NE(published, "") << name;
    EXPECT_EQ(broken_promise(published, today), "") << name;
  }
}

TEST(Published, AChangedOrVanishedMethodIsFound) {
  const std::vector<std::string> today =
      render::method_signatures(planning::catalogue().functions());
  ASSERT_FALSE(today.empty());
  std::string all;
  for (const std::string& line : today) all += line + "\n";
  EXPECT_EQ(broken_promise(all, today), "");
  EXPECT_EQ(broken_promise("", today), "");
  EXPECT_NE(broken_promise("any goneForever(any mass)\n", today), "");
  std::string changed = today[0];
  changed.insert(changed.size() - 1, ", any oneMore");
  EXPECT_NE(broken_promise(all + changed + "\n", today), "");
  // Fewer functions than were promised.
  EXPECT_NE(broken_promise(all, {today.begin(), today.end() - 1}), "");
}

TEST(Published, SignaturesAreThoseOfTheInterface) {
  std::vector<std::string> from_interface;
  for (const Method& method : read_interface(read_file(kInterface))) {
    std::string parameters;
    for (const MethodParameter& p : method.parameters) {
      parameters += (parameters.empty() ? "" : ", ") + p.type + " " + p.name;
    }
    from_interface.push_back(fmt::format("{} {}({})", method.result, method.name, parameters));
  }
  EXPECT_EQ(from_interface, render::method_signatures(planning::catalogue().functions()));
}

}  // namespace
}  // namespace loftledger::contract
