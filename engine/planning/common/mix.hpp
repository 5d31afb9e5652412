// A mix of body sizes, read side by side with what a case fills of each.
#pragma once

#include <fmt/format.h>

#include "engine/catalogue/describe.hpp"

namespace loftledger::planning {

// Cases that the mix uses, not rounded: sizes share a case, so a part of one counts as a part.
// `bodies` and `per_case` are arguments `index` and `index + 1`.
inline Result<double> cases_of_mix(const catalogue::Series<Count>& bodies,
                                   const catalogue::Series<Count>& per_case, int index) {
  if (bodies.values.size() != per_case.values.size()) {
    return catalogue::refuse(
        index + 1,
        fmt::format("bodies has {} and bodies per case has {}; they are read side by side and must "
                    "have as many",
                    catalogue::counted(bodies.values.size(), "cell"), per_case.values.size()));
  }
  double cases = 0;
  bool any = false;
  for (std::size_t i = 0; i < bodies.values.size(); ++i) {
    if (!bodies.values[i]) continue;
    any = true;
    if (*bodies.values[i] == 0) continue;
    if (!per_case.values[i]) {
      return catalogue::refuse(
          index + 1, fmt::format("bodies per case is empty for the size in place {}", i + 1));
    }
    cases += *bodies.values[i] / *per_case.values[i];
  }
  if (!any) return catalogue::refuse(index, "bodies has no number in it");
  return cases;
}

}  // namespace loftledger::planning
