#include "templates/settle/markup.hpp"

#include <algorithm>
#include <map>
#include <sstream>
#include <utility>

namespace loftledger::settle {

std::string text(xml_node node, const char* attribute) {
  return node.attribute(attribute).as_string();
}

bool is(xml_node node, std::string_view name) { return node.name() == name; }

void each(xml_node node, const std::function<void(xml_node)>& visit) {
  for (xml_node child : node.children()) {
    if (child.type() == pugi::node_element) {
      visit(child);
      each(child, visit);
    }
  }
}

void remove_children(xml_node parent, const std::function<bool(xml_node)>& unwanted) {
  for (xml_node child = parent.first_child(); child;) {
    const xml_node next = child.next_sibling();
    if (unwanted(child)) parent.remove_child(child);
    child = next;
  }
}

void remove_everywhere(xml_node node, const std::function<bool(xml_node)>& unwanted) {
  remove_children(node, unwanted);
  for (xml_node child : node.children()) remove_everywhere(child, unwanted);
}

void keep_attributes(xml_node node, const Names& wanted) {
  for (xml_attribute a = node.first_attribute(); a;) {
    const xml_attribute next = a.next_attribute();
    if (!wanted.contains(std::string_view(a.name()))) node.remove_attribute(a);
    a = next;
  }
}

void remove_attributes(xml_node node, const Names& unwanted) {
  for (xml_attribute a = node.first_attribute(); a;) {
    const xml_attribute next = a.next_attribute();
    if (unwanted.contains(std::string_view(a.name()))) node.remove_attribute(a);
    a = next;
  }
}

void drop_attribute(xml_node node, const char* name, std::string_view value) {
  if (value == node.attribute(name).as_string()) node.remove_attribute(name);
}

std::string content_of(xml_node style) {
  std::map<std::string, std::string> attributes;
  for (xml_attribute a : style.attributes()) attributes[a.name()] = a.value();
  attributes.erase("style:name");
  std::ostringstream out;
  for (const auto& [name, value] : attributes) out << name << '=' << value << ' ';
  for (xml_node child : style.children()) out << child.name() << ": " << content_of(child);
  out << style.text().get();
  return out.str();
}

bool is_data_style(xml_node node) {
  const std::string_view name = node.name();
  return name.starts_with("number:") && name.ends_with("-style");
}

void sort_children(xml_node parent, const std::function<std::string(xml_node)>& key) {
  std::vector<std::pair<std::string, xml_node>> all;
  for (xml_node child : parent.children()) all.emplace_back(key(child), child);
  std::stable_sort(all.begin(), all.end(),
                   [](const auto& a, const auto& b) { return a.first < b.first; });
  for (const auto& [k, child] : all) parent.append_move(child);
}

}  // namespace loftledger::settle
