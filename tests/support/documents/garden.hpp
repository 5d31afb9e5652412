// Flat documents full of what a spreadsheet may hold and the engine does not look at.
#pragma once

#include <string>

namespace loftledger::support {

struct GardenWishes {
  unsigned seed = 0;
  // Comments, processing instructions and white space between the parts of the document.
  bool between_parts = true;
  std::string mimetype = "application/vnd.oasis.opendocument.spreadsheet";
};

// Random, the same for the same seed: charts and pictures inside, notes, validations, groups,
// covered and repeated cells, foreign elements and attributes, comments, processing instructions,
// CDATA, character references.
std::string garden(const GardenWishes& wishes);

}  // namespace loftledger::support
