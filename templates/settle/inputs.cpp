// What stands around the cells: notes, validations, names and conditions.
#include <fmt/format.h>

#include <map>
#include <regex>
#include <string_view>

#include "templates/settle/steps.hpp"

namespace loftledger::settle {

namespace {

std::string letters(int column) {
  std::string out;
  for (++column; column > 0; column = (column - 1) / 26) {
    out.insert(out.begin(), static_cast<char>('A' + (column - 1) % 26));
  }
  return out;
}

}  // namespace

void settle_notes(xml_node body) {
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

// A validation is named for the area whose inputs it guards.
void rename_validations(xml_node body) {
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
    for (const auto& found : table.select_nodes(".//table:table-row[not(ancestor::draw:object)]")) {
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
  remove_children(rules, [&](xml_node rule) { return !order.contains(text(rule, "table:name")); });
  sort_children(
      rules, [&](xml_node rule) { return fmt::format("{:>6}", order[text(rule, "table:name")]); });
  for (xml_node rule : rules.children()) {
    rename(rule.attribute("table:name"));
    rule.remove_attribute("table:base-cell-address");
  }
}

// Names in the order of the places that they stand for.
void sort_names(xml_node body) {
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

// Areas under the same condition are one entry, as the office writes them.
void join_conditions(xml_node body) {
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

}  // namespace loftledger::settle
