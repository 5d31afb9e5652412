// A settled tree as text.
#pragma once

#include <string>

#include "templates/settle/markup.hpp"

namespace loftledger::settle {

// Keeps the namespaces in use, at the root.
void settle_namespaces(xml_node root);
// The whole document: one element a line, short ones in one piece, attributes in a settled order.
std::string written(xml_node root);

}  // namespace loftledger::settle
