#include <fmt/format.h>

#include <cmath>

#include "addin/render/render.hpp"
#include "engine/base/ascii.hpp"
#include "engine/base/number_text.hpp"

namespace loftledger::render {

using catalogue::Example;
using catalogue::Expected;
using catalogue::Function;
using catalogue::Group;
using catalogue::Parameter;
using catalogue::Rule;

namespace {

constexpr std::string_view kOpening =
    R"(<!-- Rendered from the catalogue; cmake --build --target render writes it anew. -->

# Planning functions

Type them into a cell like any other function of the sheet: `=BODIESPERCASE("10 kg";"160 g";4%)`.

**Numbers and units.** Where an argument is a mass, a length, a volume and so on, give a number or a
text with its unit: `"12,5 kg"`, `"2 lb 3 oz"`, `"1 1/4 in"`. A plain number is taken to be in the
unit that stands under *Given as*, and results come in the unit that stands beside them. Where all
arguments of one kind are plain numbers and the result is a count, a share or an amount, any one
unit will do, as long as it is the same for all of them. A plain number beside a text with a unit of
the same kind is an error: nobody can tell what was meant.

**Left out.** Arguments in square brackets may be left out from the end, or skipped with two
semicolons in a row.

**Errors.** What makes no sense is refused with an error value, never with a silent 0.
`REASON(A1)` gives the sentence that says what is wrong in A1.

**Ranges.** *Range* means cells such as B2:B9. Empty cells in it are passed over; where it says
*cell by cell*, they keep their place. *One or two values* means a single value, two cells with a low
and a high one, or a text such as `"45 to 55"`.
)";

// What would start a cell, an emphasis or a tag in the middle of a sentence.
std::string escaped(std::string_view text) {
  std::string out;
  for (char c : text) {
    if (c == '|' || c == '*' || c == '_' || c == '<' || c == '[') out += '\\';
    out += c;
  }
  return out;
}

// Code in a table's cell: only the bar would be taken for the cell's end.
std::string code(std::string_view text) {
  std::string out = "`";
  for (char c : text) {
    if (c == '|') out += '\\';
    out += c;
  }
  return out + "`";
}

std::string anchor(std::string_view heading) {
  std::string out;
  for (char c : heading) {
    out += c == ' ' ? '-' : ascii::lower(c);
  }
  return out;
}

// Six digits are what a reader can use; dots say that there are more.
std::string short_number(double number) {
  const std::string rounded = fmt::format("{:.6g}", number);
  const double back = read_number(rounded).value_or(number);
  const bool whole = std::abs(number - back) <= 1e-12 * std::abs(number);
  return whole ? plain_number(number) : rounded + "…";
}

std::string result_text(const Function& function, const Expected& expected) {
  if (const auto* text = std::get_if<std::string_view>(&expected)) {
    return text->empty() ? "an empty text" : escaped(fmt::format("\"{}\"", *text));
  }
  if (const auto* truth = std::get_if<bool>(&expected)) return *truth ? "TRUE" : "FALSE";
  if (const auto* error = std::get_if<Code>(&expected)) return shown(*error);
  const std::string number = short_number(std::get<double>(expected));
  const std::string_view unit = result_unit(function);
  return unit.empty() ? number : fmt::format("{} {}", number, unit);
}

std::string rule_cell(const Parameter& parameter) {
  return parameter.rule == Rule::any ? "" : std::string(rule_text(parameter.rule));
}

std::string left_out_cell(const Function& function, std::size_t parameter) {
  if (parameter < function.required) return "required";
  const std::string fallback = fallback_text(function, parameter);
  return fallback.empty() ? "nothing" : escaped(fallback);
}

std::string arguments_table(const Function& function) {
  std::string out =
      "| Argument | What it is | Given as | Rule | If left out |\n"
      "|---|---|---|---|---|\n";
  for (std::size_t i = 0; i < function.parameters.size(); ++i) {
    const Parameter& p = function.parameters[i];
    out += fmt::format("| {} | {} | {} | {} | {} |\n", p.name, escaped(p.text),
                       kind_text(function, i), rule_cell(p), left_out_cell(function, i));
  }
  return out;
}

std::string examples_table(const Function& function) {
  bool notes = false;
  for (const Example& e : function.examples) notes = notes || !e.note.empty();
  std::string out =
      notes ? "| Example | Result | Why |\n|---|---|---|\n" : "| Example | Result |\n|---|---|\n";
  for (const Example& e : function.examples) {
    out += fmt::format("| {} | {} |", code(e.formula), result_text(function, e.expected));
    out += notes ? fmt::format(" {} |\n", escaped(e.note)) : "\n";
  }
  return out;
}

std::string entry(const Function& function) {
  const catalogue::Record& r = function.record;
  std::string out =
      fmt::format("### {}\n\n`{}`\n\n{}\n\n", r.name, signature(function), escaped(r.summary));
  out += arguments_table(function);
  out +=
      fmt::format("\n**Gives** {}{}.\n", escaped(r.returns),
                  function.returns_array ? " (several cells: enter it as an array formula)" : "");
  if (!r.detail.empty()) out += fmt::format("\n{}\n", escaped(r.detail));
  if (!r.caution.empty()) out += fmt::format("\n> **Caution.** {}\n", escaped(r.caution));
  out += fmt::format("\n{}\nSource: {}.\n", examples_table(function), escaped(r.source));
  return out;
}

std::string contents_line(const Function& function) {
  return fmt::format("- [{0}](#{1}): {2}\n", function.record.name, anchor(function.record.name),
                     escaped(function.record.summary));
}

}  // namespace

std::string reference(Functions functions) {
  std::string contents = "\n## Contents\n";
  std::string entries;
  constexpr int kGroups = static_cast<int>(Group::explaining) + 1;
  for (int g = 0; g < kGroups; ++g) {
    bool first = true;
    for (const Function* f : functions) {
      if (static_cast<int>(f->record.group) != g) continue;
      if (first) {
        const std::string_view title = group_name(f->record.group);
        contents += fmt::format("\n**[{}](#{})**\n\n", title, anchor(title));
        entries += fmt::format("\n## {}\n", title);
        first = false;
      }
      contents += contents_line(*f);
      entries += "\n" + entry(*f);
    }
  }
  return std::string(kOpening) + contents + entries;
}

}  // namespace loftledger::render
