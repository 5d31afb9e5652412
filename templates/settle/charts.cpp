// Charts. The office writes every place and size that it works out for itself, defaults, and a
// copy of the data.
#include <fmt/format.h>

#include <map>
#include <string_view>
#include <vector>

#include "templates/settle/steps.hpp"

namespace loftledger::settle {

namespace {

// What a style of a chart may say.
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

void remove_copies(xml_node chart) {
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
}

void settle_looks(xml_node styles) {
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
      remove_attributes(
          node, {"chart:error-category", "chart:error-upper-range", "chart:error-lower-range"});
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
}

void settle_parts(xml_node body) {
  each(body, [](xml_node node) {
    if (!is(node, "chart:chart")) {
      remove_attributes(node, {"svg:x", "svg:y", "svg:width", "svg:height"});
    }
    remove_attributes(node, {"xlink:href", "xlink:type", "chartooo:axis-type", "chart:row-mapping",
                             "chart:column-mapping", "chart:data-source-has-labels"});
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
}

// What all series have in common the office repeats for the whole.
void remove_repeated(xml_node body, xml_node styles) {
  each(body, [&](xml_node node) {
    if (!is(node, "chart:plot-area")) return;
    const std::string name = text(node, "chart:style-name");
    xml_node whole = styles.find_child_by_attribute("style:style", "style:name", name.c_str())
                         .child("style:chart-properties");
    remove_attributes(whole, {"chart:data-label-number", "chart:symbol-type", "chart:symbol-name",
                              "chart:symbol-width", "chart:symbol-height"});
  });
}

// A scatter's series share what stands on its axis, where they show the same.
void share_domains(xml_node body) {
  for (xml_node area : body.select_node(".//chart:plot-area").node().parent().children()) {
    std::string shared;
    for (xml_node series : area.children("chart:series")) {
      const std::string domain = text(series.child("chart:domain"), "table:cell-range-address");
      if (!domain.empty() && domain == shared) series.remove_child("chart:domain");
      if (shared.empty()) shared = domain;
    }
  }
}

// Styles alike are one, named by the order in which they are first used.
void join_styles(xml_node body, xml_node styles) {
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

}  // namespace

void settle_chart(xml_node chart) {
  remove_copies(chart);
  xml_node styles = chart.child("office:automatic-styles");
  xml_node body = chart.child("office:body");
  settle_looks(styles);
  settle_parts(body);
  remove_repeated(body, styles);
  share_domains(body);
  join_styles(body, styles);
}

}  // namespace loftledger::settle
