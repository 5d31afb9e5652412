#include "engine/ods/reading/surroundings.hpp"

#include "engine/ods/reading/addresses.hpp"
#include "engine/ods/reading/office_value.hpp"

namespace loftledger::ods {

namespace {

using Token = Scanner::Token;

// The settings that stand in the element's own attributes.
void read_setting_attributes(const Scanner& scanner, sheet::Settings& out) {
  std::string scratch;
  for (const Attribute& a : scanner.attributes()) {
    const std::string_view value = scanner.value(a, scratch);
    const bool yes = value == "true";
    switch (a.name) {
      case "table:case-sensitive"_name:
        out.case_sensitive = yes;
        break;
      case "table:search-criteria-must-apply-to-whole-cell"_name:
        out.whole_cell = yes;
        break;
      case "table:use-regular-expressions"_name:
        out.regular_expressions = yes;
        break;
      case "table:use-wildcards"_name:
        out.wildcards = yes;
        break;
      case "table:precision-as-shown"_name:
        out.precision_as_shown = yes;
        break;
      case "table:null-year"_name:
        out.null_year = count_of(value);
        break;
      default:
        break;
    }
  }
}

}  // namespace

Token read_settings(Scanner& scanner, sheet::Settings& out) {
  const std::size_t inside = scanner.depth();
  read_setting_attributes(scanner, out);
  for (;;) {
    const Token token = scanner.next();
    if (token == Token::start && scanner.name() == "table:null-date"_name) {
      const auto date = read_date(scanner.text_of("table:date-value"_name), 0);
      if (date) out.null_date = static_cast<std::int64_t>(*date);
    }
    if (token == Token::start && scanner.name() == "table:iteration"_name) {
      out.iteration = scanner.text_of("table:status"_name) == "enable";
      const std::string steps = scanner.text_of("table:steps"_name);
      if (!steps.empty()) out.iteration_steps = count_of(steps);
      out.iteration_change = read_number_value(scanner.text_of("table:maximum-difference"_name))
                                 .value_or(out.iteration_change);
    }
    if (token == Token::failed || (token == Token::end && scanner.depth() < inside)) return token;
  }
}

Token read_names(Scanner& scanner, std::int32_t scope, Surroundings& out) {
  const std::size_t inside = scanner.depth();
  for (;;) {
    const Token token = scanner.next();
    const bool range = token == Token::start && scanner.name() == "table:named-range"_name;
    if (range || (token == Token::start && scanner.name() == "table:named-expression"_name)) {
      Surroundings::Name found;
      found.name.name = scanner.text_of("table:name"_name);
      found.name.scope = scope;
      found.name.expression = range ? bracketed(scanner.text_of("table:cell-range-address"_name))
                                    : plain_formula(scanner.text_of("table:expression"_name));
      const std::string base = scanner.text_of("table:base-cell-address"_name);
      const SheetAndRest parts = split_sheet(base);
      if (const auto cell = parse_cell(parts.rest)) found.name.base = *cell;
      found.base_sheet = parts.sheet;
      out.names.push_back(std::move(found));
    }
    if (token == Token::failed || (token == Token::end && scanner.depth() < inside)) return token;
  }
}

Token read_databases(Scanner& scanner, Surroundings& out) {
  const std::size_t inside = scanner.depth();
  for (;;) {
    const Token token = scanner.next();
    if (token == Token::start && scanner.name() == "table:database-range"_name) {
      const std::string name = scanner.text_of("table:name"_name);
      const std::string range = absolute_range(scanner.text_of("table:target-range-address"_name));
      if (!name.empty() && !range.empty()) {
        out.databases.push_back({name, -1, bracketed(range), {}});
      }
    }
    if (token == Token::failed || (token == Token::end && scanner.depth() < inside)) return token;
  }
}

}  // namespace loftledger::ods
