#include <fmt/format.h>

#include "addin/render/render.hpp"
#include "engine/base/ascii.hpp"
#include "engine/base/number_text.hpp"

namespace loftledger::render {

using catalogue::Content;
using catalogue::Function;
using catalogue::Parameter;
using catalogue::ParameterType;
using catalogue::Rule;
using catalogue::Shape;

namespace {

std::string one_value(const Function& function, std::size_t parameter) {
  const ParameterType& type = function.types[parameter];
  switch (type.content) {
    case Content::text:
      return "text";
    case Content::flag:
      return "TRUE or FALSE";
    case Content::any:
      return "any value";
    case Content::measure:
      break;
  }
  if (type.dimension == Dimension::money) return "amount";
  if (type.dimension == Dimension::ratio) return "share or rate";
  const std::string_view name = info(type.dimension).name;
  const std::string_view unit = unit_of(function, parameter);
  if (!measured(type.dimension) || unit.empty()) return std::string(name);
  return fmt::format("{}, in {}", name, unit);
}

std::string capitalised(std::string_view text) {
  std::string out(text);
  if (!out.empty()) out[0] = ascii::upper(out[0]);
  return out;
}

}  // namespace

std::string kind_text(const Function& function, std::size_t parameter) {
  const std::string value = one_value(function, parameter);
  switch (function.types[parameter].shape) {
    case Shape::scalar:
      return value;
    case Shape::list:
      return fmt::format("range: {}", value);
    case Shape::series:
      return fmt::format("range, cell by cell: {}", value);
    case Shape::interval:
      return fmt::format("one or two values: {}", value);
    case Shape::table:
      return "range";
    case Shape::cell:
      return "one cell";
  }
  return value;
}

std::string fallback_text(const Function& function, std::size_t parameter) {
  const Parameter& p = function.parameters[parameter];
  if (const auto* text = std::get_if<std::string_view>(&p.fallback)) {
    return fmt::format("\"{}\"", *text);
  }
  const double* number = std::get_if<double>(&p.fallback);
  if (number == nullptr) return {};
  const ParameterType& type = function.types[parameter];
  if (type.content == Content::flag) return *number != 0 ? "TRUE" : "FALSE";
  if (type.dimension == Dimension::ratio) return plain_number(*number * 100) + "%";
  const std::string_view unit = unit_of(function, parameter);
  const std::string text = plain_number(*number);
  return *number == 0 || unit.empty() ? text : fmt::format("{} {}", text, unit);
}

std::string argument_help(const Function& function, std::size_t parameter) {
  const Parameter& p = function.parameters[parameter];
  const ParameterType& type = function.types[parameter];
  const bool required = parameter < function.required;
  const auto says = [&p](std::string_view words) { return p.text.find(words) != p.text.npos; };
  // First, because the wizard calls every argument optional that takes values of all kinds.
  std::string out = required && type.shape != Shape::cell ? fmt::format("Required. {}", p.text)
                                                          : std::string(p.text);
  if (p.rule != Rule::any) out += fmt::format(" {}.", capitalised(rule_text(p.rule)));
  if (!required && !says("left out")) {
    const std::string fallback = fallback_text(function, parameter);
    out += fallback.empty() ? " May be left out." : fmt::format(" {} if left out.", fallback);
  }
  if (type.content == Content::measure && measured(type.dimension) && !says("bare number")) {
    out += " A number, or a text with a unit.";
  }
  return out;
}

}  // namespace loftledger::render
