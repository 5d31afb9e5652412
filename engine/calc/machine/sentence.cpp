#include "engine/calc/machine/sentence.hpp"

#include <fmt/format.h>

namespace loftledger::calc {

std::string sentence_at(const Error& error, CellAddress at, const standard::Cells& cells) {
  if (!error.origin || *error.origin == at) return std::string(error.text());
  return fmt::format("{}.{}: {}", quoted_sheet(cells.sheet_name(error.origin->sheet)),
                     cell_name(error.origin->row, error.origin->column), error.text());
}

}  // namespace loftledger::calc
