#include "tests/differential/rules.hpp"

#include <vector>

namespace loftledger::differential {

std::span<const Rule> rules() {
  static const std::vector<Rule> all = [] {
    std::vector<Rule> out;
    for (const auto part :
         {rules_of_files(), rules_of_better_digits(), rules_of_digits(), rules_of_arguments()}) {
      out.insert(out.end(), part.begin(), part.end());
    }
    return out;
  }();
  return all;
}

}  // namespace loftledger::differential
