#include <fmt/format.h>

#include <pugixml.hpp>
#include <sstream>

#include "addin/render/render.hpp"

namespace loftledger::render {

using catalogue::Function;

namespace {

// Stored names begin with this node's name: LOFTLEDGER.PLANNING.<ID>.
constexpr const char* kService = "loftledger.Planning";

pugi::xml_node node(pugi::xml_node parent, const std::string& name, bool replace) {
  pugi::xml_node out = parent.append_child("node");
  out.append_attribute("oor:name") = name.c_str();
  if (replace) out.append_attribute("oor:op") = "replace";
  return out;
}

void property(pugi::xml_node parent, const char* name, const std::string& value, bool translated) {
  pugi::xml_node prop = parent.append_child("prop");
  prop.append_attribute("oor:name") = name;
  pugi::xml_node text = prop.append_child("value");
  if (translated) text.append_attribute("xml:lang") = "en-US";
  text.text() = value.c_str();
}

void describe_function(pugi::xml_node parent, const Function& function) {
  pugi::xml_node out = node(parent, std::string(function.record.id), true);
  property(out, "DisplayName", std::string(function.record.name), true);
  property(out, "Description",
           fmt::format("{} Gives {}.", function.record.summary, function.record.returns), true);
  // One of the few words that the office knows; any other lands here as well.
  property(out, "Category", "Add-In", false);
  pugi::xml_node arguments = node(out, "Parameters", false);
  for (std::size_t i = 0; i < function.parameters.size(); ++i) {
    pugi::xml_node argument = node(arguments, identifier(function.parameters[i]), true);
    property(argument, "DisplayName", std::string(function.parameters[i].name), true);
    property(argument, "Description", argument_help(function, i), true);
  }
}

}  // namespace

std::string configuration(Functions functions) {
  pugi::xml_document document;
  pugi::xml_node declaration = document.append_child(pugi::node_declaration);
  declaration.append_attribute("version") = "1.0";
  declaration.append_attribute("encoding") = "UTF-8";
  pugi::xml_node root = document.append_child("oor:component-data");
  root.append_attribute("xmlns:oor") = "http://openoffice.org/2001/registry";
  root.append_attribute("xmlns:xs") = "http://www.w3.org/2001/XMLSchema";
  root.append_attribute("oor:name") = "CalcAddIns";
  root.append_attribute("oor:package") = "org.openoffice.Office";
  pugi::xml_node service = node(node(root, "AddInInfo", false), kService, true);
  pugi::xml_node all = node(service, "AddInFunctions", false);
  for (const Function* f : by_id(functions)) describe_function(all, *f);
  std::ostringstream out;
  document.save(out, "  ", pugi::format_default, pugi::encoding_utf8);
  return out.str();
}

}  // namespace loftledger::render
