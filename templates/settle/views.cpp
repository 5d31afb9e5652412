// How a book is seen: the settings of its views, and the pages for printing.
#include <fmt/format.h>

#include <string_view>
#include <vector>

#include "templates/settle/steps.hpp"

namespace loftledger::settle {

namespace {

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

}  // namespace

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

}  // namespace loftledger::settle
