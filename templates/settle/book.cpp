#include "templates/settle/book.hpp"

#include <fmt/format.h>

#include <string_view>
#include <vector>

#include "engine/ods/document.hpp"
#include "templates/settle/steps.hpp"
#include "templates/settle/writing.hpp"

namespace loftledger::settle {

namespace {

// Named styles: defaults first, then number formats, the style of plain cells, and the others.
// Formats stand in the order of their numbers once they have some.
void sort_named(xml_node named, bool numbered) {
  sort_children(named, [&](xml_node node) {
    const std::string name = text(node, "style:name");
    if (is(node, "style:default-style")) return std::string("a");
    if (is_data_style(node)) return numbered ? fmt::format("b{:>6}", name) : std::string("b");
    return name == "Default" ? std::string("c") : "d" + name;
  });
}

void sort_automatic(xml_node automatic) {
  sort_children(automatic, [](xml_node node) {
    const char kind = is_data_style(node) ? 'a' : is(node, "style:style") ? 'b' : 'c';
    return fmt::format("{}{}{:>8}", kind, text(node, "style:family"), text(node, "style:name"));
  });
}

void settle_named(xml_node named, xml_node automatic) {
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
}

void settle_sheets(xml_node body, xml_node automatic, xml_node named) {
  for (xml_node table : body.children("table:table")) settle_cells(table);
  merge_cell_styles(body, automatic, named);
  rename_automatic_styles(body, automatic);
  settle_notes(body);
  rename_validations(body);
  sort_names(body);
  join_conditions(body);
}

// Formats are numbered by the order of the named styles, which are then sorted once more.
void order_styles(xml_node named, xml_node automatic) {
  remove_everywhere(named, [](xml_node node) {
    return std::string_view(node.name()).ends_with("-properties") &&
           node.attributes().begin() == node.attributes().end() && !node.first_child();
  });
  sort_named(named, false);
  std::vector<xml_node> users;
  for (xml_node style : named.children("style:style")) users.push_back(style);
  for (xml_node style : automatic.children("style:style")) users.push_back(style);
  settle_formats(users, {named, automatic});
  sort_automatic(automatic);
  sort_named(named, true);
}

void settle_charts(xml_node body) {
  each(body, [](xml_node node) {
    if (is(node, "draw:frame")) node.remove_child("svg:title");
    if (!is(node, "draw:object")) return;
    node.remove_child("loext:p");
    remove_attributes(node, {"draw:notify-on-update-of-ranges", "xlink:href", "xlink:type",
                             "xlink:show", "xlink:actuate"});
    settle_chart(node.child("office:document"));
  });
}

void settle(xml_node root) {
  xml_node body = root.child("office:body").child("office:spreadsheet");
  xml_node automatic = root.child("office:automatic-styles");
  xml_node named = root.child("office:styles");
  strip_white_space(root);
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
  settle_named(named, automatic);
  settle_sheets(body, automatic, named);
  remove_unused(root, named);
  order_styles(named, automatic);
  settle_charts(body);
  settle_namespaces(root);
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

}  // namespace

std::optional<std::string> settled_book(const std::string& path, std::string& problem) {
  const std::string flat = read_flat(path, problem);
  if (!problem.empty()) return std::nullopt;
  pugi::xml_document document;
  const auto parsed = document.load_string(
      flat.c_str(), (pugi::parse_default | pugi::parse_ws_pcdata) & ~pugi::parse_eol);
  xml_node root = document.child("office:document");
  if (!parsed || !root) {
    problem = parsed.description();
    return std::nullopt;
  }
  settle(root);
  return written(root);
}

}  // namespace loftledger::settle
