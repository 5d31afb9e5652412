#include <fmt/format.h>

#include <algorithm>

#include "addin/render/render.hpp"
#include "addin/render/standard_groups.hpp"
#include "engine/standard/registry.hpp"

namespace loftledger::render {

using standard::Group;
using standard::StandardFunction;

namespace {

constexpr std::string_view kOpening =
    R"(<!-- Rendered from the records; cmake --build --target render writes it anew. -->

# Spreadsheet functions

Beside [the planning functions](../planning/FUNCTIONS.md), formulas may call these functions of
OpenFormula (OpenDocument 1.3, part 4) and of the office suite. Where the standard leaves a choice,
the answer is that of LibreOffice Calc 7.4.

The standard names three groups of functions, each on top of the one before it. What stands under
*Missing* is answered with `#NAME?`; what is there *in part* says below where it falls short.

)";

constexpr std::string_view kNotCalculated = R"(
## Not calculated

These functions of the office stand in no standard and are not calculated here. A formula that calls
one gives `#NAME?`; in a workbook that is written back the formula stays as it stands.

- Forecasts by exponential smoothing: `FORECAST.ETS.ADD`, `.MULT`, `.PI.ADD`, `.PI.MULT`,
  `.SEASONALITY`, `.STAT.ADD` and `.STAT.MULT`; in files `COM.MICROSOFT.FORECAST.ETS`, `.CONFINT`,
  `.SEASONALITY` and `.STAT`, and `ORG.LIBREOFFICE.FORECAST.ETS.MULT`, `.PI.MULT` and `.STAT.MULT`.
  How the office starts and fits them is published nowhere, and its intervals of a series with a
  season are narrower than the share they are asked for. `FORECAST` and `FORECAST.LINEAR` are here.
)";

struct GroupText {
  Group group;
  std::string_view name;
  std::string_view section;
};
constexpr GroupText kGroups[] = {
    {Group::small, "Small Group", "2.3.2"},
    {Group::medium, "Medium Group", "2.3.3"},
    {Group::large, "Large Group", "2.3.4"},
};

bool by_name(const StandardFunction* a, const StandardFunction* b) {
  const std::string_view left = standard::typed_name(*a);
  const std::string_view right = standard::typed_name(*b);
  return left == right ? a->name < b->name : left < right;
}

std::vector<const StandardFunction*> functions_in(Group group) {
  std::vector<const StandardFunction*> out = standard::all_functions();
  std::erase_if(out, [&](const StandardFunction* f) { return f->group != group; });
  std::sort(out.begin(), out.end(), by_name);
  return out;
}

std::vector<std::string_view> missing_in(Group group) {
  std::vector<std::string_view> out = names_in(group);
  std::erase_if(out,
                [](std::string_view name) { return standard::find_function(name) != nullptr; });
  return out;
}

std::string joined(const std::vector<std::string_view>& names) {
  std::string out;
  for (std::string_view name : names) out += fmt::format("{}`{}`", out.empty() ? "" : ", ", name);
  return out;
}

std::string group_row(const GroupText& text) {
  const std::size_t due = names_in(text.group).size();
  const std::vector<std::string_view> missing = missing_in(text.group);
  std::vector<std::string_view> in_part;
  for (const StandardFunction* f : functions_in(text.group)) {
    if (!f->limit.empty()) in_part.push_back(f->name);
  }
  const bool complete = missing.empty() && in_part.empty();
  return fmt::format("| {} | {} | {} of {}{} | {} | {} |\n", text.name, text.section,
                     due - missing.size() - in_part.size(), due, complete ? ", complete" : "",
                     joined(in_part), joined(missing));
}

std::string arguments(const StandardFunction& function) {
  if (function.most < 0) return fmt::format("{} or more", function.least);
  if (function.least == function.most) {
    return function.least == 0 ? "none" : fmt::format("{}", function.least);
  }
  return fmt::format("{} to {}", function.least, function.most);
}

// One row a function: as it is typed, how many arguments it takes, how it is called in files where
// that is longer, and where it falls short.
std::string functions_table(const std::vector<const StandardFunction*>& functions) {
  std::string out = "| Function | Arguments | In files | Limits |\n|---|---|---|---|\n";
  for (const StandardFunction* f : functions) {
    const std::string_view typed = standard::typed_name(*f);
    out += fmt::format("| {} | {} | {} | {} |\n", typed, arguments(*f),
                       typed == f->name ? "" : f->name, f->limit);
  }
  return out;
}

}  // namespace

std::string standard_reference() {
  std::string out(kOpening);
  out +=
      "| Group | Section of the standard | Functions here | In part | Missing "
      "|\n|---|---|---|---|---|\n";
  for (const GroupText& text : kGroups) out += group_row(text);
  for (const GroupText& text : kGroups) {
    out += fmt::format("\n## {}\n\n{}", text.name, functions_table(functions_in(text.group)));
  }
  out +=
      fmt::format("\n## In no group\n\nFurther functions of the standard and of the office.\n\n{}",
                  functions_table(functions_in(Group::office)));
  out += kNotCalculated;
  return out;
}

}  // namespace loftledger::render
