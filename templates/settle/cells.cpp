// Cells, rows and columns: one by one where they hold something, and no others.
#include <fmt/format.h>

#include <algorithm>
#include <string_view>
#include <vector>

#include "templates/settle/steps.hpp"

namespace loftledger::settle {

namespace {

void repeat(xml_node node, const char* attribute) {
  const int count = node.attribute(attribute).as_int(1);
  if (count > 1000) return;
  node.remove_attribute(attribute);
  for (int i = 1; i < count; ++i) node.parent().insert_copy_after(node, node);
}

bool is_plain(xml_node cell) {
  for (xml_attribute a : cell.attributes()) {
    if (std::string_view(a.name()) != "table:number-columns-repeated") return false;
  }
  return !cell.first_child();
}

bool is_plain_row(xml_node row) {
  const xml_node cell = row.first_child();
  return is_plain(cell) && !cell.next_sibling();
}

// Like cells and rows one by one where they hold something, for the same reason.
void spell_out_cells(xml_node table) {
  for (const auto& found : table.select_nodes(".//table:table-row[not(ancestor::draw:object)]")) {
    xml_node row = found.node();
    for (xml_node cell = row.first_child(); cell; cell = cell.next_sibling()) {
      if (!is_plain(cell)) repeat(cell, "table:number-columns-repeated");
    }
    if (!is_plain_row(row)) repeat(row, "table:number-rows-repeated");
  }
}

// Runs of like columns one by one, since the office joins and splits them as it likes.
void spell_out_columns(xml_node table) {
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

// Empty cells side by side are one run.
void join_plain(xml_node row) {
  for (xml_node cell = row.first_child(); cell;) {
    xml_node next = cell.next_sibling();
    if (next && is_plain(cell) && is_plain(next) && std::string_view(cell.name()) == next.name()) {
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

bool holds_something(xml_node cell) {
  return cell.first_child() || cell.attribute("office:value-type") ||
         cell.attribute("table:content-validation-name") || cell.attribute("table:formula");
}

// Beyond the last column that holds something the office forgets the styles of cells.
void trim_styled(xml_node table) {
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

xml_node last_row(xml_node table) {
  for (xml_node node = table.last_child(); node; node = node.previous_sibling()) {
    if (std::string_view(node.name()).starts_with("table:table-row") ||
        is(node, "table:table-header-rows")) {
      return node;
    }
  }
  return {};
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

}  // namespace

void settle_cells(xml_node table) {
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
}  // namespace loftledger::settle
