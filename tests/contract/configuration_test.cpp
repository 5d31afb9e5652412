// The function wizard's texts: complete, and under the names that the interface has.
#include <gtest/gtest.h>

#include <pugixml.hpp>
#include <set>

#include "addin/render/render.hpp"
#include "engine/planning/catalogue.hpp"
#include "tests/contract/interface_reader.hpp"

namespace loftledger::contract {
namespace {

pugi::xml_node named(pugi::xml_node parent, const char* name) {
  return parent.find_child_by_attribute("node", "oor:name", name);
}

std::string text_of(pugi::xml_node parent, const char* property, bool translated) {
  const pugi::xml_node value =
      parent.find_child_by_attribute("prop", "oor:name", property).child("value");
  const std::string_view language = value.attribute("xml:lang").as_string();
  return language == (translated ? "en-US" : "") ? value.text().get() : "";
}

class Configuration : public testing::Test {
 protected:
  void SetUp() override {
    const std::string text = render::configuration(planning::catalogue().functions());
    ASSERT_TRUE(document_.load_string(text.c_str()));
    // The stored name of a function is this node's name and the method's, in upper case.
    functions_ = named(
        named(named(document_.child("oor:component-data"), "AddInInfo"), "loftledger.Planning"),
        "AddInFunctions");
    ASSERT_TRUE(functions_);
  }
  pugi::xml_document document_;
  pugi::xml_node functions_;
};

TEST_F(Configuration, DescribesTheMethodsOfTheInterface) {
  const std::vector<Method> methods = read_interface(read_file("idl/loftledger/XPlanning.idl"));
  std::vector<std::string> described;
  for (pugi::xml_node each : functions_.children("node")) {
    described.push_back(each.attribute("oor:name").as_string());
  }
  std::vector<std::string> due;
  for (const Method& method : methods) due.push_back(method.name);
  EXPECT_EQ(described, due);
}

// Calc looks a text up by the parameter's name; a miss shows as "###".
TEST_F(Configuration, HasATextForEveryParameterUnderItsName) {
  for (const Method& method : read_interface(read_file("idl/loftledger/XPlanning.idl"))) {
    SCOPED_TRACE(method.name);
    const pugi::xml_node parameters = named(named(functions_, method.name.c_str()), "Parameters");
    std::vector<std::string> described;
    for (pugi::xml_node each : parameters.children("node")) {
      described.push_back(each.attribute("oor:name").as_string());
      EXPECT_NE(text_of(each, "DisplayName", true), "");
      EXPECT_TRUE(text_of(each, "Description", true).ends_with('.'));
    }
    std::vector<std::string> due;
    for (const MethodParameter& p : method.parameters) {
      if (p.type != "com::sun::star::beans::XPropertySet") due.push_back(p.name);
    }
    EXPECT_EQ(described, due);
  }
}

TEST_F(Configuration, HasNameDescriptionAndAGroupThatCalcKnows) {
  const std::set<std::string> kGroups = {"Database",    "Date&Time",    "Financial", "Information",
                                         "Logical",     "Mathematical", "Matrix",    "Statistical",
                                         "Spreadsheet", "Text",         "Add-In"};
  for (pugi::xml_node each : functions_.children("node")) {
    const catalogue::Function* f =
        planning::catalogue().find(each.attribute("oor:name").as_string());
    ASSERT_NE(f, nullptr);
    EXPECT_EQ(text_of(each, "DisplayName", true), f->record.name);
    EXPECT_TRUE(text_of(each, "Description", true).starts_with(f->record.summary));
    EXPECT_TRUE(kGroups.contains(text_of(each, "Category", false)));
  }
}

TEST_F(Configuration, SaysOfEveryArgumentWhetherItIsDue) {
  for (const catalogue::Function* f : planning::catalogue().functions()) {
    for (std::size_t i = 0; i < f->parameters.size(); ++i) {
      const std::string help = render::argument_help(*f, i);
      const bool says_required = help.starts_with("Required. ");
      // Of a cell the wizard says so itself.
      const bool cell = f->types[i].shape == catalogue::Shape::cell;
      EXPECT_EQ(says_required, i < f->required && !cell) << help;
    }
  }
}

}  // namespace
}  // namespace loftledger::contract
