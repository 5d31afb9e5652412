// Brings a flat workbook that the office has saved into one settled form, so that a difference
// shows what a person changed and nothing else: what the office writes anew each time (sizes that
// it computes, defaults, copies of chart data, names of styles without a name) is left out or
// named by what it is for.
//
//   loftledger_tidy BOOK.fods...          rewrites the files that are not tidy
//   loftledger_tidy --from EDITED.ods BOOK.fods  takes over what was edited in a copy
//   loftledger_tidy --check BOOK.fods...  names them, and exits with 1 if there are any
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <fstream>
#include <functional>
#include <map>
#include <pugixml.hpp>
#include <regex>
#include <set>
#include <sstream>
#include <string>
#include <string_view>
#include <vector>

#include "engine/ods/document.hpp"

namespace {

using pugi::xml_attribute;
using pugi::xml_node;
using Names = std::set<std::string, std::less<>>;

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

void drop_attribute(xml_node node, const char* name, std::string_view value) {
  if (value == node.attribute(name).as_string()) node.remove_attribute(name);
}

// ---- Lengths in centimetres, to a tenth of a millimetre.

std::string length(const std::string& words) {
  static const std::regex kLength(R"(^(-?[\d.]+)(in|mm|cm)\b(.*)$)");
  std::smatch m;
  if (!std::regex_match(words, m, kLength)) return words;
  const double factor = m[2] == "in" ? 2.54 : m[2] == "mm" ? 0.1 : 1.0;
  const double cm = std::round(std::stod(m[1]) * factor * 100) / 100;
  return fmt::format("{}cm{}", cm, m[3].str());
}

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

// What a style says, but for its name.
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

// ---- What stands before the sheets.

void settle_settings(xml_node settings) {
  const Names kSheet = {"HorizontalSplitMode", "HorizontalSplitPosition",
                        "VerticalSplitMode",   "VerticalSplitPosition",
                        "ActiveSplitRange",    "PositionRight",
                        "PositionBottom",      "ShowGrid"};
  const Names kBook = {"ViewId", "Tables", "ActiveTable", "ShowGrid"};
  const auto named = [](const Names& names) {
    return [&names](xml_node node) {
      return !names.contains(std::string_view(node.attribute("config:name").as_string()));
    };
  };
  remove_children(settings, [](xml_node node) {
    const std::string name = text(node, "config:name");
    return name != "ooo:view-settings" && name != "ooo:configuration-settings";
  });
  for (xml_node set : settings.children()) {
    const bool view = text(set, "config:name") == "ooo:view-settings";
    remove_children(set, named(view ? Names{"Views"} : Names{"ShowGrid"}));
  }
  for (const auto& found : settings.select_nodes(".//*[@config:name='Views']/*")) {
    remove_children(found.node(), named(kBook));
  }
  for (const auto& found : settings.select_nodes(".//*[@config:name='Tables']/*")) {
    xml_node entry = found.node();
    // Where the view was scrolled to is nobody's business.
    for (const char* side : {"Horizontal", "Vertical"}) {
      const auto item = [&](const std::string& name) {
        return entry.find_child_by_attribute("config:name", name.c_str());
      };
      const std::string split = side;
      xml_node at = item(split + "SplitPosition");
      xml_node position = item(split == "Horizontal" ? "PositionRight" : "PositionBottom");
      const bool frozen = std::string_view(item(split + "SplitMode").text().get()) == "2";
      if (frozen && position) {
        position.text() = at.text().get();
      } else if (!frozen) {
        for (xml_node gone : {item(split + "SplitMode"), at, position}) entry.remove_child(gone);
      }
    }
    remove_children(entry, named(kSheet));
    if (!entry.find_child_by_attribute("config:name", "HorizontalSplitMode") &&
        !entry.find_child_by_attribute("config:name", "VerticalSplitMode")) {
      entry.remove_child(entry.find_child_by_attribute("config:name", "ActiveSplitRange"));
    }
  }
}

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

bool is_data_style(xml_node node) {
  const std::string_view name = node.name();
  return name.starts_with("number:") && name.ends_with("-style");
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

void sort_children(xml_node parent, const std::function<std::string(xml_node)>& key) {
  std::vector<std::pair<std::string, xml_node>> all;
  for (xml_node child : parent.children()) all.emplace_back(key(child), child);
  std::stable_sort(all.begin(), all.end(),
                   [](const auto& a, const auto& b) { return a.first < b.first; });
  for (const auto& [k, child] : all) parent.append_move(child);
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

// ---- Sheets.

struct Sheets {
  xml_node root, body, automatic, named;

  void settle() {
    for (xml_node table : body.children("table:table")) {
      spell_out_cell_styles(table);
      trim(table);
      spell_out_columns(table);
      spell_out_cells(table);
      each(table, [](xml_node node) {
        node.remove_attribute("calcext:value-type");
        // Fifteen digits, as the office writes, and no negative zero.
        if (xml_attribute value = node.attribute("office:value")) {
          const double number = value.as_double();
          value.set_value(fmt::format("{:.15g}", number == 0 ? 0.0 : number).c_str());
        }
        drop_attribute(node, "table:print", "true");
      });
    }
    merge_cell_styles();
    rename_automatic_styles();
    settle_notes();
    rename_validations();
    sort_names();
    join_conditions();
  }

  // Like cells and rows one by one where they hold something, for the same reason.
  static void spell_out_cells(xml_node table) {
    for (const auto& found : table.select_nodes(".//table:table-row[not(ancestor::draw:object)]")) {
      xml_node row = found.node();
      for (xml_node cell = row.first_child(); cell; cell = cell.next_sibling()) {
        if (!is_plain(cell)) repeat(cell, "table:number-columns-repeated");
      }
      if (!is_plain_row(row)) repeat(row, "table:number-rows-repeated");
    }
  }
  static void repeat(xml_node node, const char* attribute) {
    const int count = node.attribute(attribute).as_int(1);
    if (count > 1000) return;
    node.remove_attribute(attribute);
    for (int i = 1; i < count; ++i) node.parent().insert_copy_after(node, node);
  }

  // Runs of like columns one by one, since the office joins and splits them as it likes.
  static void spell_out_columns(xml_node table) {
    for (const auto& found :
         table.select_nodes(".//table:table-column[not(ancestor::draw:object)]")) {
      repeat(found.node(), "table:number-columns-repeated");
    }
  }

  // Each cell says its style itself, not through the column's default.
  void spell_out_cell_styles(xml_node table) {
    std::vector<std::string> defaults;
    for (const auto& found :
         table.select_nodes(".//table:table-column[not(ancestor::draw:object)]")) {
      xml_node column = found.node();
      const int count = std::min(column.attribute("table:number-columns-repeated").as_int(1), 400);
      defaults.insert(defaults.end(), static_cast<std::size_t>(count),
                      text(column, "table:default-cell-style-name"));
      if (column.attribute("table:default-cell-style-name")) {
        column.attribute("table:default-cell-style-name") = "Default";
      }
    }
    for (const auto& found : table.select_nodes(".//table:table-row[not(ancestor::draw:object)]")) {
      std::size_t at = 0;
      for (xml_node cell : found.node().children()) {
        const bool bare = cell.attributes().begin() == cell.attributes().end();
        const bool filled = cell.attribute("office:value-type") ||
                            cell.attribute("table:content-validation-name") || cell.first_child();
        if (!cell.attribute("table:style-name") && at < defaults.size() &&
            (filled || (bare && defaults[at] != "Default"))) {
          if (defaults[at] != "Default" && !defaults[at].empty()) {
            cell.prepend_attribute("table:style-name") = defaults[at].c_str();
          }
        }
        drop_attribute(cell, "table:style-name", "Default");
        at += static_cast<std::size_t>(
            std::min(cell.attribute("table:number-columns-repeated").as_int(1), 400));
      }
    }
  }

  static bool is_plain(xml_node cell) {
    for (xml_attribute a : cell.attributes()) {
      if (std::string_view(a.name()) != "table:number-columns-repeated") return false;
    }
    return !cell.first_child();
  }
  static bool is_plain_row(xml_node row) {
    const xml_node cell = row.first_child();
    return is_plain(cell) && !cell.next_sibling();
  }

  // Empty cells side by side are one run.
  static void join_plain(xml_node row) {
    for (xml_node cell = row.first_child(); cell;) {
      xml_node next = cell.next_sibling();
      if (next && is_plain(cell) && is_plain(next) &&
          std::string_view(cell.name()) == next.name()) {
        const int count = cell.attribute("table:number-columns-repeated").as_int(1) +
                          next.attribute("table:number-columns-repeated").as_int(1);
        cell.remove_attribute("table:number-columns-repeated");
        cell.append_attribute("table:number-columns-repeated") = count;
        row.remove_child(next);
      } else {
        cell = next;
      }
    }
  }

  static bool holds_something(xml_node cell) {
    return cell.first_child() || cell.attribute("office:value-type") ||
           cell.attribute("table:content-validation-name") || cell.attribute("table:formula");
  }

  // Beyond the last column that holds something the office forgets the styles of cells.
  static void trim_styled(xml_node table) {
    const auto rows = table.select_nodes(".//table:table-row[not(ancestor::draw:object)]");
    int last = 0;
    const auto end_of = [](xml_node row, bool filled_only) {
      int at = 0;
      int end = 0;
      for (xml_node cell : row.children()) {
        at += cell.attribute("table:number-columns-repeated").as_int(1);
        if (!filled_only || holds_something(cell)) end = at;
      }
      return end;
    };
    for (const auto& found : rows) last = std::max(last, end_of(found.node(), true));
    for (const auto& found : rows) {
      xml_node row = found.node();
      while (row.last_child() && row.last_child() != row.first_child() &&
             !holds_something(row.last_child()) && is(row.last_child(), "table:table-cell") &&
             end_of(row, false) > last) {
        const int over = end_of(row, false) - last;
        xml_node cell = row.last_child();
        const int count = cell.attribute("table:number-columns-repeated").as_int(1);
        if (count > over) {
          cell.attribute("table:number-columns-repeated") = count - over;
        } else {
          row.remove_child(cell);
        }
      }
    }
  }

  // Empty cells at the end of a row, empty rows and columns at the end of a sheet, rows without
  // anything between others.
  void trim(xml_node table) {
    trim_styled(table);
    for (const auto& found : table.select_nodes(".//table:table-row[not(ancestor::draw:object)]")) {
      xml_node row = found.node();
      while (row.last_child() && row.last_child() != row.first_child() &&
             is_plain(row.last_child()) && is(row.last_child(), "table:table-cell")) {
        row.remove_child(row.last_child());
      }
      join_plain(row);
      if (is_plain_row(row)) row.first_child().remove_attribute("table:number-columns-repeated");
    }
    while (is(last_row(table), "table:table-row") && is_plain_row(last_row(table))) {
      table.remove_child(last_row(table));
    }
    std::size_t used = 0;
    for (const auto& found : table.select_nodes(".//table:table-row[not(ancestor::draw:object)]")) {
      std::size_t width = 0;
      for (xml_node cell : found.node().children()) {
        width += cell.attribute("table:number-columns-repeated").as_uint(1);
      }
      used = std::max(used, width);
    }
    std::size_t at = 0;
    remove_children(table, [&](xml_node node) {
      if (!is(node, "table:table-column")) return false;
      const std::size_t count = node.attribute("table:number-columns-repeated").as_uint(1);
      at += count;
      return at - count >= used;
    });
  }
  static xml_node last_row(xml_node table) {
    for (xml_node node = table.last_child(); node; node = node.previous_sibling()) {
      if (std::string_view(node.name()).starts_with("table:table-row") ||
          is(node, "table:table-header-rows")) {
        return node;
      }
    }
    return {};
  }

  // An automatic style that adds nothing to its named one is that one. A boolean cell gets such a
  // style from the office for its format.
  void merge_cell_styles() {
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

  void rename_automatic_styles() {
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

  void settle_notes() {
    each(body, [](xml_node node) {
      if (!is(node, "office:annotation")) return;
      keep_attributes(node, {"office:display"});
      if (!node.attribute("office:display")) node.append_attribute("office:display") = "false";
      remove_children(node, [](xml_node child) { return !is(child, "text:p"); });
      for (xml_node line : node.children()) {
        keep_attributes(line, {});
        for (xml_node span = line.child("text:span"); span; span = line.child("text:span")) {
          while (xml_node part = span.first_child()) line.insert_move_before(part, span);
          line.remove_child(span);
        }
      }
    });
  }

  // Areas under the same condition are one entry, as the office writes them.
  void join_conditions() {
    for (xml_node table : body.children("table:table")) {
      std::map<std::string, xml_node> known;
      remove_children(table.child("calcext:conditional-formats"), [&](xml_node format) {
        const xml_node condition = format.child("calcext:condition");
        const std::string value = text(condition, "calcext:value");
        if (value.find('[') != std::string::npos || condition.next_sibling()) return false;
        const auto [at, fresh] =
            known.try_emplace(value + "/" + text(condition, "calcext:apply-style-name"), format);
        if (fresh) return false;
        xml_attribute areas = at->second.attribute("calcext:target-range-address");
        const std::string joined =
            std::string(areas.value()) + " " + text(format, "calcext:target-range-address");
        areas.set_value(joined.c_str());
        return true;
      });
    }
  }

  // Names in the order of the places that they stand for.
  void sort_names() {
    std::map<std::string, int> sheets;
    for (xml_node table : body.children("table:table")) {
      sheets.try_emplace(text(table, "table:name"), static_cast<int>(sheets.size()));
    }
    xml_node names = body.child("table:named-expressions");
    static const std::regex kPlace(R"(^\$'?([^.']+)'?\.\$([A-Z]+)\$(\d+).*)");
    sort_children(names, [&](xml_node name) {
      std::smatch m;
      const std::string place = text(name, "table:cell-range-address");
      if (!std::regex_match(place, m, kPlace)) return std::string();
      return fmt::format("{:>4}{:>8}{:>4}{}", sheets[m[1]], m[3].str(), m[2].str(),
                         text(name, "table:name"));
    });
  }

  // A validation is named for the area whose inputs it guards.
  void rename_validations() {
    std::map<std::string, std::string> renamed;
    std::map<std::string, int> order;             // in which they are first used
    std::map<std::string, std::string> by_place;  // "Sheet.A1" of a named area's first cell
    for (xml_node name : body.child("table:named-expressions").children("table:named-range")) {
      std::string place = text(name, "table:cell-range-address");
      place = place.substr(0, place.find(':'));
      std::erase(place, '$');
      std::erase(place, '\'');
      by_place.try_emplace(place, text(name, "table:name"));
    }
    for (xml_node table : body.children("table:table")) {
      int row = 1;
      for (const auto& found :
           table.select_nodes(".//table:table-row[not(ancestor::draw:object)]")) {
        int column = 0;
        for (xml_node cell : found.node().children()) {
          const std::string rule = text(cell, "table:content-validation-name");
          if (!rule.empty()) order.try_emplace(rule, static_cast<int>(order.size()));
          if (!rule.empty() && !renamed.contains(rule)) {
            const auto at = by_place.find(
                fmt::format("{}.{}{}", text(table, "table:name"), letters(column), row));
            if (at != by_place.end()) renamed[rule] = at->second;
          }
          column += cell.attribute("table:number-columns-repeated").as_int(1);
        }
        row += found.node().attribute("table:number-rows-repeated").as_int(1);
      }
    }
    const auto rename = [&](xml_attribute a) {
      const auto found = renamed.find(a.value());
      if (found != renamed.end()) a.set_value(found->second.c_str());
    };
    each(body, [&](xml_node node) { rename(node.attribute("table:content-validation-name")); });
    xml_node rules = body.child("table:content-validations");
    remove_children(rules,
                    [&](xml_node rule) { return !order.contains(text(rule, "table:name")); });
    sort_children(rules, [&](xml_node rule) {
      return fmt::format("{:>6}", order[text(rule, "table:name")]);
    });
    for (xml_node rule : rules.children()) {
      rename(rule.attribute("table:name"));
      rule.remove_attribute("table:base-cell-address");
    }
  }

  static std::string letters(int column) {
    std::string out;
    for (++column; column > 0; column = (column - 1) / 26) {
      out.insert(out.begin(), static_cast<char>('A' + (column - 1) % 26));
    }
    return out;
  }
};

// ---- Charts. The office writes every place and size that it works out for itself, defaults, and
// a copy of the data.

void settle_chart(xml_node chart) {
  const Names kProperties = {"chart:include-hidden-cells",
                             "chart:treat-empty-cells",
                             "chart:stacked",
                             "chart:percentage",
                             "chart:vertical",
                             "chart:display-label",
                             "chart:axis-label-position",
                             "chart:reverse-direction",
                             "chart:logarithmic",
                             "chart:minimum",
                             "chart:maximum",
                             "chart:interval-major",
                             "chart:link-data-style-to-source",
                             "chart:symbol-type",
                             "chart:symbol-name",
                             "chart:symbol-width",
                             "chart:symbol-height",
                             "chart:data-label-number",
                             "chart:error-category",
                             "chart:error-upper-indicator",
                             "chart:error-lower-indicator",
                             "chart:error-upper-range",
                             "chart:error-lower-range",
                             "chart:gap-width",
                             "chart:overlap",
                             "draw:stroke",
                             "draw:fill",
                             "draw:fill-color",
                             "svg:stroke-color",
                             "svg:stroke-width",
                             "fo:font-size",
                             "fo:font-weight",
                             "fo:color",
                             "style:rotation-angle",
                             "style:name",
                             "style:family",
                             "style:data-style-name"};
  for (const char* child : {"office:meta", "office:styles", "office:font-face-decls"}) {
    chart.remove_child(child);
  }
  for (xml_attribute a = chart.first_attribute(); a;) {
    const xml_attribute next = a.next_attribute();
    if (std::string_view(a.name()).starts_with("xmlns:")) chart.remove_attribute(a);
    a = next;
  }
  remove_everywhere(chart, [](xml_node node) {
    return is(node, "table:table") || is(node, "chart:coordinate-region") ||
           is(node, "chart:floor") || is(node, "chart:data-point") || is(node, "loext:p");
  });
  xml_node styles = chart.child("office:automatic-styles");
  each(styles, [&](xml_node node) {
    if (std::string_view(node.name()).starts_with("style:")) keep_attributes(node, kProperties);
    drop_attribute(node, "chart:logarithmic", "false");
    drop_attribute(node, "chart:include-hidden-cells", "true");
    drop_attribute(node, "draw:fill", "solid");
    drop_attribute(node, "draw:fill-color", "#ffffff");
    drop_attribute(node, "fo:font-size", "10pt");
    if (text(node, "draw:fill") == "none") node.remove_attribute("draw:fill-color");
    drop_attribute(node, "chart:reverse-direction", "false");
    drop_attribute(node, "chart:data-label-number", "none");
    drop_attribute(node, "chart:symbol-type", "automatic");
    drop_attribute(node, "style:rotation-angle", "0");
    if (!std::string_view(text(node, "chart:error-category")).empty() &&
        !node.attribute("chart:error-upper-indicator")) {
      for (const char* name :
           {"chart:error-category", "chart:error-upper-range", "chart:error-lower-range"}) {
        node.remove_attribute(name);
      }
    }
  });
  for (xml_node style : styles.children("style:style")) {
    const xml_node properties = style.child("style:chart-properties");
    if (text(properties, "chart:link-data-style-to-source") != "false") {
      style.remove_attribute("style:data-style-name");
    }
  }
  remove_everywhere(styles, [](xml_node node) {
    return std::string_view(node.name()).ends_with("-properties") &&
           node.attributes().begin() == node.attributes().end();
  });
  xml_node body = chart.child("office:body");
  each(body, [](xml_node node) {
    if (!is(node, "chart:chart")) {
      for (const char* name : {"svg:x", "svg:y", "svg:width", "svg:height"}) {
        node.remove_attribute(name);
      }
    }
    for (const char* name : {"xlink:href", "xlink:type", "chartooo:axis-type", "chart:row-mapping",
                             "chart:column-mapping", "chart:data-source-has-labels"}) {
      node.remove_attribute(name);
    }
    if (is(node, "chart:plot-area")) node.remove_attribute("table:cell-range-address");
    drop_attribute(node, "chart:attached-axis", "primary-y");
    // One cell is not a range of cells.
    xml_attribute label = node.attribute("chart:label-cell-address");
    const std::string words = label.value();
    const std::size_t colon = words.find(':');
    if (colon != std::string::npos && words.substr(0, colon) == words.substr(colon + 1)) {
      label.set_value(words.substr(0, colon).c_str());
    }
  });
  // What all series have in common the office repeats for the whole.
  each(body, [&](xml_node node) {
    if (!is(node, "chart:plot-area")) return;
    const std::string name = text(node, "chart:style-name");
    xml_node whole = styles.find_child_by_attribute("style:style", "style:name", name.c_str())
                         .child("style:chart-properties");
    for (const char* repeated :
         {"chart:data-label-number", "chart:symbol-type", "chart:symbol-name", "chart:symbol-width",
          "chart:symbol-height"}) {
      whole.remove_attribute(repeated);
    }
  });
  // A scatter's series share what stands on its axis, where they show the same.
  for (xml_node area : body.select_node(".//chart:plot-area").node().parent().children()) {
    std::string shared;
    for (xml_node series : area.children("chart:series")) {
      const std::string domain = text(series.child("chart:domain"), "table:cell-range-address");
      if (!domain.empty() && domain == shared) series.remove_child("chart:domain");
      if (shared.empty()) shared = domain;
    }
  }
  // Styles alike are one, named by the order in which they are first used.
  std::map<std::string, std::string> renamed;
  std::map<std::string, std::string> by_content;
  Names kept;
  std::vector<xml_node> users;
  each(body, [&](xml_node node) {
    xml_attribute a = node.attribute("chart:style-name");
    if (!a) return;
    const std::string old = a.value();
    if (!renamed.contains(old)) {
      const xml_node style =
          styles.find_child_by_attribute("style:style", "style:name", old.c_str());
      const auto [at, fresh] =
          by_content.try_emplace(content_of(style), fmt::format("ch{}", by_content.size() + 1));
      renamed[old] = at->second;
      if (fresh) {
        kept.insert(old);
        users.push_back(style);
      }
    }
    a.set_value(renamed[old].c_str());
  });
  settle_formats(users, {styles});
  remove_children(styles, [&](xml_node style) {
    return is(style, "style:style") && !kept.contains(text(style, "style:name"));
  });
  for (xml_node style : styles.children("style:style")) {
    style.attribute("style:name").set_value(renamed[text(style, "style:name")].c_str());
    // Lines are drawn unless it is said otherwise; but not around the whole chart and for ranges.
    const bool range = !text(style.child("style:chart-properties"), "chart:error-category").empty();
    if (text(style, "style:name") != "ch1" && !range) {
      drop_attribute(style.child("style:graphic-properties"), "draw:stroke", "solid");
    }
  }
  sort_children(styles, [](xml_node node) {
    const std::string name = text(node, "style:name");
    return fmt::format("{}{:>6}", is_data_style(node) ? "a" : "b", name);
  });
}

// ---- Pages.

void settle_layout(xml_node page) {
  const std::string margin = text(page, "fo:margin-top");
  bool same = !margin.empty();
  for (const char* side : {"fo:margin-bottom", "fo:margin-left", "fo:margin-right"}) {
    same = same && text(page, side) == margin;
  }
  if (same) {
    for (const char* side :
         {"fo:margin-top", "fo:margin-bottom", "fo:margin-left", "fo:margin-right"}) {
      page.remove_attribute(side);
    }
    page.remove_attribute("fo:margin");
    page.append_attribute("fo:margin") = margin.c_str();
  }
  drop_attribute(page, "style:num-format", "1");
  drop_attribute(page, "style:scale-to-Y", "0");
  drop_attribute(page, "style:writing-mode", "lr-tb");
  drop_attribute(page, "style:print-page-order", "ttb");
}

// One sheet one page style, and each with a layout of its own, named in their order.
void settle_pages(xml_node root) {
  xml_node automatic = root.child("office:automatic-styles");
  xml_node masters = root.child("office:master-styles");
  Names used;
  for (xml_node style : automatic.children("style:style")) {
    if (style.attribute("style:master-page-name"))
      used.insert(text(style, "style:master-page-name"));
  }
  remove_children(masters, [&](xml_node page) { return !used.contains(text(page, "style:name")); });
  std::vector<xml_node> old;
  for (xml_node layout : automatic.children("style:page-layout")) old.push_back(layout);
  int number = 0;
  for (xml_node page : masters.children("style:master-page")) {
    remove_children(page, [](xml_node part) {
      const std::string_view name = part.name();
      return name.ends_with("-left") || name.ends_with("-first");
    });
    for (xml_node layout : old) {
      if (text(layout, "style:name") != text(page, "style:page-layout-name")) continue;
      xml_node copy = automatic.append_copy(layout);
      const std::string name = fmt::format("pm{}", ++number);
      copy.attribute("style:name").set_value(name.c_str());
      page.attribute("style:page-layout-name").set_value(name.c_str());
      settle_layout(copy.child("style:page-layout-properties"));
      each(copy, [](xml_node part) { drop_attribute(part, "style:dynamic-spacing", "false"); });
      break;
    }
    each(page, [](xml_node part) {
      if (is(part, "text:page-count")) part.text() = "1";
      if (is(part, "text:sheet-name")) part.text() = "???";
    });
  }
  for (xml_node layout : old) automatic.remove_child(layout);
}

// ---- The whole.

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

void settle(xml_node root) {
  xml_node body = root.child("office:body").child("office:spreadsheet");
  xml_node automatic = root.child("office:automatic-styles");
  xml_node named = root.child("office:styles");
  root.remove_child("office:scripts");
  remove_children(root.child("office:meta"), [](xml_node node) {
    return !is(node, "dc:title") && !is(node, "dc:subject") && !is(node, "dc:description");
  });
  settle_settings(root.child("office:settings"));
  settle_fonts(root);
  settle_lengths(root);
  remove_children(body, [](xml_node node) { return is(node, "table:tracked-changes"); });
  settle_pages(root);
  settle_spaces(root);

  remove_children(named, [](xml_node node) {
    const std::string family = text(node, "style:family");
    return !is_data_style(node) && family != "table-cell";
  });
  settle_properties(named);
  settle_properties(automatic);
  settle_indents(named, named);
  settle_indents(named, automatic);
  for (xml_node style : named.children("style:style")) {
    if (text(style, "style:display-name") == text(style, "style:name")) {
      style.remove_attribute("style:display-name");
    }
  }
  Sheets{root, body, automatic, named}.settle();

  remove_unused(root, named);
  remove_everywhere(named, [](xml_node node) {
    return std::string_view(node.name()).ends_with("-properties") &&
           node.attributes().begin() == node.attributes().end() && !node.first_child();
  });
  sort_children(named, [](xml_node node) {
    const std::string name = text(node, "style:name");
    return is(node, "style:default-style") ? "a"
           : is_data_style(node)           ? "b"
           : name == "Default"             ? "c"
                                           : "d" + name;
  });
  std::vector<xml_node> users;
  for (xml_node style : named.children("style:style")) users.push_back(style);
  for (xml_node style : automatic.children("style:style")) users.push_back(style);
  settle_formats(users, {named, automatic});
  sort_children(automatic, [](xml_node node) {
    const std::string name = text(node, "style:name");
    const std::string family = text(node, "style:family");
    return fmt::format("{}{}{:>8}",
                       is_data_style(node)       ? 'a'
                       : is(node, "style:style") ? 'b'
                                                 : 'c',
                       family, name);
  });
  sort_children(named, [](xml_node node) {
    const std::string name = text(node, "style:name");
    return is(node, "style:default-style") ? "a"
           : is_data_style(node)           ? fmt::format("b{:>6}", name)
           : name == "Default"             ? "c"
                                           : "d" + name;
  });
  each(body, [](xml_node node) {
    if (is(node, "draw:frame")) node.remove_child("svg:title");
    if (is(node, "draw:object")) {
      node.remove_child("loext:p");
      for (const char* name : {"draw:notify-on-update-of-ranges", "xlink:href", "xlink:type",
                               "xlink:show", "xlink:actuate"}) {
        node.remove_attribute(name);
      }
      settle_chart(node.child("office:document"));
    }
  });
}

// ---- Writing: one element a line, short ones in one piece, attributes in a settled order.

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

// Packages are read as flat files: the office leaves out notes where it saves a flat file itself.
std::string read_flat(const std::string& path, std::string& problem) {
  const auto document = loftledger::ods::Document::open(path);
  if (!document) {
    problem = document.error().text();
    return {};
  }
  auto bytes = document->bytes(".fods");
  if (!bytes) problem = bytes.error().text();
  return bytes ? *bytes : std::string();
}

bool tidy(const std::string& path, std::string& after) {
  std::string problem;
  const std::string before = read_flat(path, problem);
  pugi::xml_document document;
  const auto parsed = document.load_string(
      before.c_str(), (pugi::parse_default | pugi::parse_ws_pcdata) & ~pugi::parse_eol);
  xml_node root = document.child("office:document");
  if (!problem.empty() || !parsed || !root) {
    fmt::print(stderr, "{}: {}\n", path, problem.empty() ? parsed.description() : problem);
    return false;
  }
  strip_white_space(root);
  settle(root);
  settle_namespaces(root);
  std::ostringstream out;
  out << "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n";
  write(out, root, 0, false);
  after = out.str();
  return true;
}

}  // namespace

int main(int count, char** words) {
  std::vector<std::string> files(words + 1, words + count);
  const std::string option = files.empty() ? std::string() : files.front();
  const bool check = option == "--check";
  const bool from = option == "--from";
  if (check || from) files.erase(files.begin());
  if (files.empty() || (from && files.size() != 2)) {
    fmt::print(stderr, "usage: loftledger_tidy [--check] BOOK.fods... | --from EDITED BOOK.fods\n");
    return 2;
  }
  int result = 0;
  for (std::size_t i = from ? 1 : 0; i < files.size(); ++i) {
    std::string after;
    if (!tidy(from ? files[0] : files[i], after)) return 2;
    std::ifstream in(files[i], std::ios::binary);
    std::stringstream before;
    before << in.rdbuf();
    if (before.str() == after) continue;
    if (check) {
      fmt::print("{} is not tidy\n", files[i]);
      result = 1;
    } else if (const auto done = loftledger::ods::replace_file(files[i], after); !done) {
      fmt::print(stderr, "{}\n", done.error().text());
      return 2;
    }
  }
  return result;
}
