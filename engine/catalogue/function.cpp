#include "engine/catalogue/function.hpp"

#include <fmt/format.h>

#include <cmath>

#include "engine/base/ascii.hpp"

namespace loftledger::catalogue {

namespace {

constexpr std::string_view kModule = "LOFTLEDGER.PLANNING.";

}  // namespace

std::string_view rule_text(Rule rule) {
  switch (rule) {
    case Rule::any:
      return "may be any number";
    case Rule::positive:
      return "must be more than 0";
    case Rule::not_negative:
      return "must be 0 or more";
    case Rule::share:
      return "must be from 0 to 1 (0% to 100%)";
    case Rule::share_below_one:
      return "must be 0 or more and less than 1 (100%)";
    case Rule::open_share:
      return "must be more than 0 and less than 1 (100%)";
    case Rule::whole:
      return "must be a whole number, 0 or more";
    case Rule::whole_positive:
      return "must be a whole number, 1 or more";
  }
  return {};
}

bool obeys(Rule rule, double value) {
  switch (rule) {
    case Rule::any:
      return true;
    case Rule::positive:
      return value > 0;
    case Rule::not_negative:
      return value >= 0;
    case Rule::share:
      return value >= 0 && value <= 1;
    case Rule::share_below_one:
      return value >= 0 && value < 1;
    case Rule::open_share:
      return value > 0 && value < 1;
    case Rule::whole:
      return value >= 0 && value == std::floor(value);
    case Rule::whole_positive:
      return value >= 1 && value == std::floor(value);
  }
  return false;
}

std::string_view group_name(Group group) {
  switch (group) {
    case Group::fibre:
      return "Fibre";
    case Group::quantities:
      return "Quantities";
    case Group::freight:
      return "Freight";
    case Group::money:
      return "Money";
    case Group::orders:
      return "Orders";
    case Group::day:
      return "Day";
    case Group::explaining:
      return "Explaining";
  }
  return {};
}

std::string folded(std::string_view name) { return ascii::upper(name); }

std::string stored_name(const Function& function) {
  return std::string(kModule) + folded(function.record.id);
}

std::string_view unit_of(const Function& function, std::size_t parameter) {
  const std::string_view own = function.parameters[parameter].unit;
  return own.empty() ? info(function.types[parameter].dimension).unit : own;
}

std::string_view result_unit(const Function& function) {
  if (function.result_content != Content::measure) return {};
  return function.record.unit.empty() ? info(function.result).unit : function.record.unit;
}

std::string identifier(const Parameter& parameter) {
  std::string out;
  bool start = false;
  for (char c : parameter.name) {
    if (c == ' ' || c == '-') {
      start = !out.empty();
      continue;
    }
    out += start ? ascii::upper(c) : c;
    start = false;
  }
  return out;
}

std::string signature(const Function& function) {
  std::string out = fmt::format("{}(", function.record.name);
  for (std::size_t i = 0; i < function.parameters.size(); ++i) {
    if (i > 0) out += "; ";
    const std::string_view name = function.parameters[i].name;
    out += i < function.required ? std::string(name) : fmt::format("[{}]", name);
  }
  return out + ")";
}

}  // namespace loftledger::catalogue
