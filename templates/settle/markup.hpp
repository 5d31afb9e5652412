// Small things that every step of settling does with elements and attributes.
#pragma once

#include <functional>
#include <pugixml.hpp>
#include <set>
#include <string>
#include <string_view>

namespace loftledger::settle {

using pugi::xml_attribute;
using pugi::xml_node;
using Names = std::set<std::string, std::less<>>;

// The attribute's text, empty where there is none.
std::string text(xml_node node, const char* attribute);
bool is(xml_node node, std::string_view name);
// A style of a number, a date or a truth: number:*-style.
bool is_data_style(xml_node node);

// Every element below the node, from the top down.
void each(xml_node node, const std::function<void(xml_node)>& visit);
void remove_children(xml_node parent, const std::function<bool(xml_node)>& unwanted);
void remove_everywhere(xml_node node, const std::function<bool(xml_node)>& unwanted);
// Stable: children of the same key stay in their order.
void sort_children(xml_node parent, const std::function<std::string(xml_node)>& key);

void keep_attributes(xml_node node, const Names& wanted);
void remove_attributes(xml_node node, const Names& unwanted);
// Removes the attribute where it has this value.
void drop_attribute(xml_node node, const char* name, std::string_view value);

// What a style says, but for its name.
std::string content_of(xml_node style);

}  // namespace loftledger::settle
