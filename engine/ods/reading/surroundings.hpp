// What stands in a document beside its cells: styles, settings, names.
#pragma once

#include <cstdint>
#include <string>
#include <utility>
#include <vector>

#include "engine/ods/markup/xml.hpp"
#include "engine/ods/reading/styles.hpp"
#include "engine/sheet/workbook.hpp"

namespace loftledger::ods {

// What the walk gathers beside the cells.
struct Surroundings {
  Styles styles;
  sheet::Settings settings;
  // Their base cells may name sheets that come later in the document.
  struct Name {
    sheet::NamedExpression name;
    std::string base_sheet;
  };
  std::vector<Name> names;
  std::vector<sheet::NamedExpression> databases;  // ranges that go by their own name
  // By sheet, what was passed over.
  std::vector<std::pair<std::int32_t, std::string>> remarks;
};

// Each reads an element from behind its start to its end, which it gives, or `failed`.
Scanner::Token read_settings(Scanner& scanner, sheet::Settings& out);
// Names that hold in a sheet, or in the whole document (-1).
Scanner::Token read_names(Scanner& scanner, std::int32_t scope, Surroundings& out);
Scanner::Token read_databases(Scanner& scanner, Surroundings& out);

}  // namespace loftledger::ods
