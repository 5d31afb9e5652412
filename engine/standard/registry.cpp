#include "engine/standard/registry.hpp"

#include <string_view>
#include <unordered_map>

#include "engine/standard/dates/functions.hpp"
#include "engine/standard/logic/functions.hpp"
#include "engine/standard/lookup/functions.hpp"
#include "engine/standard/maths/functions.hpp"
#include "engine/standard/money/functions.hpp"
#include "engine/standard/statistics/functions.hpp"
#include "engine/standard/text/functions.hpp"

namespace loftledger::standard {

namespace {

// One area a line.
// clang-format off
constexpr StandardFunctions (*kAreas[])() = {
    bessel_functions,
    code_functions,
    complex_functions,
    conditional_functions,
    correlation_functions,
    database_functions,
    date_functions,
    day_count_functions,
    depreciation_functions,
    discrete_functions,
    distribution_functions,
    financial_functions,
    hypothesis_functions,
    information_functions,
    integer_functions,
    jump_functions,
    logic_functions,
    lookup_functions,
    math_functions,
    matrix_functions,
    numeral_functions,
    odd_first_functions,
    office_functions,
    radix_functions,
    rank_functions,
    reference_functions,
    regression_functions,
    rounding_functions,
    security_functions,
    statistics_functions,
    sum_functions,
    text_functions,
    total_functions,
    unit_functions,
    what_if_functions,
};
// clang-format on

// Prefixes of names in files that people leave out when they type.
constexpr std::string_view kPrefixes[] = {"COM.MICROSOFT.", "LEGACY.", "ORG.OPENOFFICE.",
                                          "ORG.LIBREOFFICE."};

using Index = std::unordered_map<std::string_view, const StandardFunction*>;

Index build_index() {
  Index index;
  for (const auto area : kAreas) {
    for (const StandardFunction& function : area()) index.emplace(function.name, &function);
  }
  // A name without its prefix gives way to a function that really has that name.
  for (const auto area : kAreas) {
    for (const StandardFunction& function : area()) {
      for (std::string_view prefix : kPrefixes) {
        if (function.name.starts_with(prefix)) {
          index.emplace(function.name.substr(prefix.size()), &function);
        }
      }
    }
  }
  return index;
}

}  // namespace

const StandardFunction* find_function(std::string_view name) {
  static const Index index = build_index();
  const auto found = index.find(name);
  return found == index.end() ? nullptr : found->second;
}

std::string_view typed_name(const StandardFunction& function) {
  for (std::string_view prefix : kPrefixes) {
    if (!function.name.starts_with(prefix)) continue;
    const std::string_view rest = function.name.substr(prefix.size());
    if (find_function(rest) == &function) return rest;
  }
  return function.name;
}

std::vector<const StandardFunction*> all_functions() {
  std::vector<const StandardFunction*> out;
  for (const auto area : kAreas) {
    for (const StandardFunction& function : area()) out.push_back(&function);
  }
  return out;
}

}  // namespace loftledger::standard
