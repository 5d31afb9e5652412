// The steps that settle a book, each in the file that is named for what it looks at. They build on
// each other: book.cpp has their order.
#pragma once

#include <string>
#include <vector>

#include "templates/settle/markup.hpp"

namespace loftledger::settle {

// spaces.cpp
void strip_white_space(xml_node node);
void settle_spaces(xml_node node);

// views.cpp
void settle_settings(xml_node settings);
void settle_pages(xml_node root);

// styles.cpp
void settle_lengths(xml_node root);
void settle_fonts(xml_node root);
void settle_properties(xml_node styles);
void settle_indents(xml_node named, xml_node styles);
// Names the number formats by the order in which `users` use them and drops the others that
// `holders` hold.
void settle_formats(const std::vector<xml_node>& users, const std::vector<xml_node>& holders);
void merge_cell_styles(xml_node body, xml_node automatic, xml_node named);
void rename_automatic_styles(xml_node body, xml_node automatic);
void remove_unused(xml_node root, xml_node named);

// cells.cpp
void settle_cells(xml_node table);

// inputs.cpp
void settle_notes(xml_node body);
void rename_validations(xml_node body);
void sort_names(xml_node body);
void join_conditions(xml_node body);

// charts.cpp
void settle_chart(xml_node chart);

}  // namespace loftledger::settle
