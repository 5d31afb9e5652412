// Ranges whose cells stand for days or months: an empty cell would shorten the week or the year.
#pragma once

#include <fmt/format.h>

#include <string_view>
#include <vector>

#include "engine/catalogue/describe.hpp"

namespace loftledger::planning {

// The numbers of such a range; a cell that is empty is refused.
inline Result<std::vector<double>> every_period(const catalogue::Series<Count>& periods, int index,
                                                std::string_view name) {
  std::vector<double> out;
  bool any = false;
  for (const std::optional<double>& each : periods.values) any = any || each.has_value();
  if (!any) return catalogue::refuse(index, fmt::format("{} has no number in it", name));
  for (std::size_t i = 0; i < periods.values.size(); ++i) {
    if (!periods.values[i]) {
      return catalogue::refuse(
          index, fmt::format("{} is empty in period {}; write 0 where there is none", name, i + 1));
    }
    out.push_back(*periods.values[i]);
  }
  return out;
}

}  // namespace loftledger::planning
