// Documents with what may change taken out, so that the rest can be compared byte by byte. Reads
// with a parser that is not ours.
#pragma once

#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "engine/base/address.hpp"

namespace loftledger::support {

struct MaskedCell {
  CellAddress address;
  bool formula = false;
  bool in_matrix = false;  // of a formula that fills more than one cell
};

struct Masked {
  bool well_formed = false;
  // The text without the values, and the paragraphs that show them, of cells with formulas and of
  // the cells that were set; the latter without their formulas too.
  std::string text;
  // The cells that stand for themselves alone, neither repeated nor in a repeated row.
  std::vector<MaskedCell> cells;
};

// `text` is a flat document or the content of a package, in any encoding that the parser knows.
Masked masked(std::string_view text, const std::set<CellAddress>& set = {});

}  // namespace loftledger::support
