// Spaces: those between elements, which mean nothing, and those of texts, which do.
#include <string>
#include <string_view>

#include "templates/settle/steps.hpp"

namespace loftledger::settle {

// White space between elements means nothing outside of texts.
void strip_white_space(xml_node node) {
  const std::string_view name = node.name();
  const bool words = name.starts_with("text:") || name.starts_with("dc:") ||
                     is(node, "config:config-item") || is(node, "number:text") ||
                     is(node, "svg:title");
  if (words) return;
  remove_children(node, [](xml_node child) {
    return child.type() == pugi::node_pcdata &&
           std::string_view(child.value()).find_first_not_of(" \t\r\n") == std::string_view::npos;
  });
  for (xml_node child : node.children()) strip_white_space(child);
}

// The office writes a space behind an element as an element of its own, and so the second of two.
void settle_spaces(xml_node node) {
  for (xml_node child = node.first_child(); child;) {
    const xml_node next = child.next_sibling();
    if (is(child, "text:s")) {
      const std::string spaces(child.attribute("text:c").as_uint(1), ' ');
      xml_node before = child.previous_sibling();
      xml_node after = child.next_sibling();
      if (before && before.type() == pugi::node_pcdata) {
        std::string words = before.value() + spaces;
        if (after && after.type() == pugi::node_pcdata) {
          words += after.value();
          node.remove_child(after);
        }
        before.set_value(words.c_str());
        node.remove_child(child);
        child = before.next_sibling();
        continue;
      }
      if (after && after.type() == pugi::node_pcdata) {
        after.set_value((spaces + after.value()).c_str());
        node.remove_child(child);
      }
    } else {
      settle_spaces(child);
    }
    child = next;
  }
}

}  // namespace loftledger::settle
