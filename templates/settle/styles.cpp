// Styles: what they say, their fonts and their number formats.
#include <fmt/format.h>

#include <cmath>
#include <map>
#include <regex>
#include <string_view>

#include "templates/settle/steps.hpp"

namespace loftledger::settle {

namespace {

// The styles that the office brings along in every workbook.
const Names kOfficeStyles = {"Heading",     "Heading_20_1", "Heading_20_2", "Text",   "Note",
                             "Footnote",    "Hyperlink",    "Status",       "Good",   "Neutral",
                             "Bad",         "Warning",      "Error",        "Accent", "Accent_20_1",
                             "Accent_20_2", "Accent_20_3",  "Result",       "Result2"};

// The office keeps the width of a line in other units: 0.99pt for 1pt.
std::string half_points(const std::string& words) {
  static const std::regex kWidth(R"(^([\d.]+)pt\b(.*)$)");
  std::smatch m;
  if (!std::regex_match(words, m, kWidth)) return words;
  return fmt::format("{}pt{}", std::round(std::stod(m[1]) * 2) / 2, m[2].str());
}

// In centimetres, to a tenth of a millimetre.
std::string length(const std::string& words) {
  static const std::regex kLength(R"(^(-?[\d.]+)(in|mm|cm)\b(.*)$)");
  std::smatch m;
  if (!std::regex_match(words, m, kLength)) return words;
  const double factor = m[2] == "in" ? 2.54 : m[2] == "mm" ? 0.1 : 1.0;
  const double cm = std::round(std::stod(m[1]) * factor * 100) / 100;
  return fmt::format("{}cm{}", cm, m[3].str());
}

}  // namespace

void settle_lengths(xml_node root) {
  each(root, [](xml_node node) {
    for (xml_attribute a : node.attributes()) {
      const std::string_view name = a.name();
      if (name.starts_with("svg:") || name.starts_with("fo:") || name.starts_with("style:") ||
          name.starts_with("chart:symbol-")) {
        a.set_value(length(a.value()).c_str());
      }
    }
  });
}

void settle_properties(xml_node styles) {
  each(styles, [](xml_node node) {
    for (xml_attribute a = node.first_attribute(); a;) {
      const xml_attribute next = a.next_attribute();
      const std::string_view name = a.name();
      const bool foreign = name.ends_with("-asian") || name.ends_with("-complex") ||
                           name.starts_with("loext:char") || name.starts_with("style:diagonal") ||
                           name.starts_with("loext:color") || name == "loext:opacity";
      if (foreign) node.remove_attribute(a);
      a = next;
    }
    drop_attribute(node, "style:text-align-source", "fix");
    drop_attribute(node, "style:repeat-content", "false");
    drop_attribute(node, "style:rotation-align", "none");
    drop_attribute(node, "style:rotation-angle", "0");
    for (const char* border :
         {"fo:border", "fo:border-top", "fo:border-bottom", "fo:border-left", "fo:border-right"}) {
      drop_attribute(node, border, "none");
      if (xml_attribute a = node.attribute(border)) a.set_value(half_points(a.value()).c_str());
    }
    drop_attribute(node, "style:print-content", "true");
    drop_attribute(node, "fo:background-color", "transparent");
    drop_attribute(node, "number:decimal-replacement", "");
    if (is(node, "style:text-properties")) {
      drop_attribute(node, "style:text-outline", "false");
      drop_attribute(node, "style:text-line-through-style", "none");
      drop_attribute(node, "style:text-underline-style", "none");
    }
  });
}

// The office writes that a text is not indented everywhere; it says something only below a style
// that indents.
void settle_indents(xml_node named, xml_node styles) {
  for (xml_node style : styles.children("style:style")) {
    xml_node own = style.child("style:paragraph-properties");
    if (text(own, "fo:margin-left") != "0cm") continue;
    bool indented = false;
    for (xml_node at = style; at && !indented;) {
      const std::string parent = text(at, "style:parent-style-name");
      at = named.find_child_by_attribute("style:style", "style:name", parent.c_str());
      const std::string margin = text(at.child("style:paragraph-properties"), "fo:margin-left");
      indented = !margin.empty() && margin != "0cm";
    }
    if (!indented) own.remove_attribute("fo:margin-left");
  }
}

// Fonts by their own name, not by that of a declaration.
void settle_fonts(xml_node root) {
  std::map<std::string, std::string> families;
  for (xml_node face : root.child("office:font-face-decls").children("style:font-face")) {
    families[text(face, "style:name")] = text(face, "svg:font-family");
  }
  each(root, [&](xml_node node) {
    if (!is(node, "style:text-properties")) return;
    const auto found = families.find(text(node, "style:font-name"));
    if (found != families.end() && !node.attribute("fo:font-family")) {
      node.append_attribute("fo:font-family") = found->second.c_str();
    }
    for (const char* name : {"style:font-name", "style:font-family-generic", "style:font-pitch"}) {
      node.remove_attribute(name);
    }
  });
  root.remove_child("office:font-face-decls");
}

// Number formats are named by the order in which the styles use them, or left out.
void settle_formats(const std::vector<xml_node>& users, const std::vector<xml_node>& holders) {
  std::map<std::string, std::string> renamed;
  for (xml_node user : users) {
    xml_attribute a = user.attribute("style:data-style-name");
    if (!a) continue;
    auto [at, fresh] = renamed.try_emplace(a.value(), fmt::format("F{}", renamed.size() + 1));
    a.set_value(at->second.c_str());
  }
  for (xml_node holder : holders) {
    remove_children(holder, [&](xml_node node) {
      return is_data_style(node) && !renamed.contains(text(node, "style:name"));
    });
    for (xml_node node : holder.children()) {
      if (is_data_style(node)) {
        node.attribute("style:name").set_value(renamed[text(node, "style:name")].c_str());
        drop_attribute(node, "number:automatic-order", "false");
      }
    }
  }
}

// Of the office's own styles those that nothing uses, and then those that only these used.
void remove_unused(xml_node root, xml_node named) {
  for (bool again = true; again;) {
    Names used;
    each(root, [&](xml_node node) {
      for (const char* name :
           {"table:style-name", "style:parent-style-name", "calcext:apply-style-name"}) {
        if (node.attribute(name)) used.insert(text(node, name));
      }
    });
    again = false;
    remove_children(named, [&](xml_node node) {
      const std::string name = text(node, "style:name");
      const bool unwanted = kOfficeStyles.contains(name) && !used.contains(name);
      again = again || unwanted;
      return unwanted;
    });
  }
}

// An automatic style that adds nothing to its named one is that one. A boolean cell gets such a
// style from the office for its format.
void merge_cell_styles(xml_node body, xml_node automatic, xml_node named) {
  std::map<std::string, std::string> behind;
  for (xml_node style : automatic.children("style:style")) {
    if (text(style, "style:family") != "table-cell") continue;
    const std::string parent = text(style, "style:parent-style-name");
    xml_node base = named.find_child_by_attribute("style:style", "style:name", parent.c_str());
    // Conditions stand in the sheet; what the office repeats of them here is for older readers.
    while (style.child("style:map")) style.remove_child("style:map");
    const bool same_format =
        !style.attribute("style:data-style-name") ||
        text(style, "style:data-style-name") == text(base, "style:data-style-name");
    if (base && same_format && !style.first_child()) behind[text(style, "style:name")] = parent;
  }
  remove_children(automatic, [&](xml_node style) {
    return behind.contains(text(style, "style:name")) &&
           text(style, "style:family") == "table-cell";
  });
  each(body, [&](xml_node node) {
    xml_attribute a = node.attribute("table:style-name");
    if (!std::string_view(node.name()).ends_with("table-cell")) return;
    if (const auto found = behind.find(a.value()); found != behind.end()) {
      a.set_value(found->second.c_str());
    }
  });
}

void rename_automatic_styles(xml_node body, xml_node automatic) {
  // Sizes that the office computes for itself.
  for (xml_node style : automatic.children("style:style")) {
    xml_node row = style.child("style:table-row-properties");
    if (row && row.attribute("style:use-optimal-row-height").as_bool()) {
      row.remove_attribute("style:row-height");
    }
    drop_attribute(row, "fo:break-before", "auto");
    drop_attribute(style.child("style:table-column-properties"), "fo:break-before", "auto");
    style.child("style:table-properties").remove_attribute("style:writing-mode");
  }
  std::map<std::string, std::string> renamed;     // family and old name
  std::map<std::string, std::string> by_content;  // family and properties
  std::map<std::string, int> count;
  const std::map<std::string, std::string> kPrefixes = {
      {"table", "ta"}, {"table-column", "co"}, {"table-row", "ro"}, {"table-cell", "ce"}};
  const auto settle_one = [&](const std::string& family, xml_attribute a) {
    if (!a) return;
    xml_node style;
    for (xml_node candidate : automatic.children("style:style")) {
      if (text(candidate, "style:family") == family && text(candidate, "style:name") == a.value())
        style = candidate;
    }
    if (!style) return;
    const std::string key = family + "/" + a.value();
    if (!renamed.contains(key)) {
      auto [at, fresh] = by_content.try_emplace(content_of(style));
      if (fresh) at->second = fmt::format("{}{}", kPrefixes.at(family), ++count[family]);
      renamed[key] = at->second;
    }
    a.set_value(renamed[key].c_str());
  };
  each(body, [&](xml_node node) {
    xml_attribute a = node.attribute("table:style-name");
    if (is(node, "table:table")) settle_one("table", a);
    if (is(node, "table:table-column")) settle_one("table-column", a);
    if (is(node, "table:table-row")) settle_one("table-row", a);
    if (std::string_view(node.name()).ends_with("table-cell")) settle_one("table-cell", a);
  });
  Names kept;
  remove_children(automatic, [&](xml_node style) {
    const std::string family = text(style, "style:family");
    if (family == "graphic" || family == "paragraph" || family == "text") return true;
    if (!kPrefixes.contains(family)) return false;
    const auto found = renamed.find(family + "/" + text(style, "style:name"));
    if (found == renamed.end() || !kept.insert(found->second).second) return true;
    style.attribute("style:name").set_value(found->second.c_str());
    return false;
  });
  remove_everywhere(body, [](xml_node node) { return is(node, "draw:image"); });
  each(body, [](xml_node node) {
    if (!is(node, "draw:frame")) return;
    for (const char* name :
         {"draw:style-name", "draw:text-style-name", "draw:name", "table:end-cell-address",
          "table:end-x", "table:end-y", "draw:layer"}) {
      node.remove_attribute(name);
    }
  });
}

}  // namespace loftledger::settle
