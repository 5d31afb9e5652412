// table:calculation-settings of a document.
#pragma once

#include <cstdint>

namespace loftledger::sheet {

// The defaults are the standard's, which hold where the element is missing.
struct Settings {
  bool case_sensitive = true;
  bool whole_cell = true;  // search criteria must match the whole cell
  bool regular_expressions = true;
  bool wildcards = false;
  bool precision_as_shown = false;
  bool iteration = false;
  std::int32_t iteration_steps = 100;
  double iteration_change = 0.001;
  std::int32_t null_year = 1930;
  // The year of a date that is written without one ("1/31"); the calculation sets it.
  std::int32_t this_year = 2000;
  // Days from 1970-01-01 to the date whose serial number is 0 (1899-12-30 by default).
  std::int64_t null_date = -25569;
};

}  // namespace loftledger::sheet
