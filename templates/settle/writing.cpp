// Writing: one element a line, short ones in one piece, attributes in a settled order.
#include "templates/settle/writing.hpp"

#include <algorithm>
#include <sstream>
#include <string_view>
#include <tuple>
#include <utility>
#include <vector>

namespace loftledger::settle {

namespace {

bool inline_element(xml_node node) {
  const std::string_view name = node.name();
  static const Names kInline = {"table:content-validation",
                                "style:style",
                                "style:default-style",
                                "style:page-layout",
                                "style:header",
                                "style:footer",
                                "calcext:conditional-format",
                                "chart:title",
                                "chart:axis",
                                "chart:series",
                                "config:config-item"};
  if (is(node, "table:table-cell") || is(node, "table:covered-table-cell")) {
    return !node.child("draw:frame");
  }
  return kInline.contains(name) || is_data_style(node) || name.starts_with("text:") ||
         name.starts_with("dc:") || is(node, "office:annotation") || is(node, "svg:title");
}

void escape(std::ostream& out, std::string_view words, bool attribute) {
  for (const char c : words) {
    switch (c) {
      case '&':
        out << "&amp;";
        break;
      case '<':
        out << "&lt;";
        break;
      case '>':
        out << "&gt;";
        break;
      case '"':
        out << (attribute ? "&quot;" : "\"");
        break;
      case '\n':
        out << (attribute ? "&#10;" : "\n");
        break;
      default:
        out << c;
    }
  }
}

void write_tag(std::ostream& out, xml_node node) {
  std::vector<std::pair<std::string, std::string>> attributes;
  for (xml_attribute a : node.attributes()) attributes.emplace_back(a.name(), a.value());
  const auto rank = [](const std::string& name) {
    if (name == "table:name" || name == "style:name" || name == "config:name") return 0;
    if (name == "table:style-name" || name == "style:display-name") return 1;
    return name.starts_with("xmlns:") ? 3 : 2;
  };
  std::sort(attributes.begin(), attributes.end(), [&](const auto& a, const auto& b) {
    return std::make_tuple(rank(a.first), a.first) < std::make_tuple(rank(b.first), b.first);
  });
  out << '<' << node.name();
  for (const auto& [name, value] : attributes) {
    out << (name.starts_with("xmlns:") ? "\n  " : " ") << name << "=\"";
    escape(out, value, true);
    out << '"';
  }
}

void write(std::ostream& out, xml_node node, int depth, bool whole) {
  if (node.type() == pugi::node_pcdata) {
    escape(out, node.value(), false);
    return;
  }
  if (node.type() != pugi::node_element) return;
  const bool flat = whole || inline_element(node);
  if (!whole) out << std::string(static_cast<std::size_t>(depth), ' ');
  write_tag(out, node);
  if (!node.first_child()) {
    out << "/>";
  } else {
    out << '>';
    if (!flat) out << '\n';
    for (xml_node child : node.children()) write(out, child, depth + 1, flat);
    if (!flat) out << std::string(static_cast<std::size_t>(depth), ' ');
    out << "</" << node.name() << '>';
  }
  if (!whole) out << '\n';
}

}  // namespace

// The namespaces in use, at the root.
void settle_namespaces(xml_node root) {
  Names used;
  const auto prefix = [](std::string_view name) {
    return std::string(name.substr(0, name.find(':')));
  };
  const auto look = [&](xml_node node) {
    used.insert(prefix(node.name()));
    for (xml_attribute a : node.attributes()) {
      if (!std::string_view(a.name()).starts_with("xmlns")) used.insert(prefix(a.name()));
    }
  };
  look(root);
  each(root, look);
  used.insert("of");   // of formulas
  used.insert("ooo");  // of the names of settings
  for (xml_attribute a = root.first_attribute(); a;) {
    const xml_attribute next = a.next_attribute();
    const std::string_view name = a.name();
    if (name.starts_with("xmlns:") && !used.contains(name.substr(6))) root.remove_attribute(a);
    a = next;
  }
}

std::string written(xml_node root) {
  std::ostringstream out;
  out << "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n";
  write(out, root, 0, false);
  return out.str();
}

}  // namespace loftledger::settle
