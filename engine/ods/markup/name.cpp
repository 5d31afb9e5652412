#include "engine/ods/markup/name.hpp"

namespace loftledger::ods {

std::string_view standard_prefix(std::string_view namespace_uri) {
  struct Row {
    std::string_view uri;
    std::string_view prefix;
  };
  // OpenDocument 1.3 part 3, section 2.1.2, those that are needed here.
  constexpr std::string_view kStandard = "urn:oasis:names:tc:opendocument:xmlns:";
  constexpr Row kRows[] = {
      {"office:1.0", "office"}, {"table:1.0", "table"},       {"text:1.0", "text"},
      {"style:1.0", "style"},   {"datastyle:1.0", "number"},  {"drawing:1.0", "draw"},
      {"meta:1.0", "meta"},     {"manifest:1.0", "manifest"}, {"of:1.2", "of"},
      {"config:1.0", "config"}, {"chart:1.0", "chart"},       {"script:1.0", "script"},
  };
  if (namespace_uri == "http://www.w3.org/1999/xlink") return "xlink";
  // What the office suite adds: the types of calculated values.
  if (namespace_uri == "urn:org:documentfoundation:names:experimental:calc:xmlns:calcext:1.0") {
    return "calcext";
  }
  if (namespace_uri == "http://openoffice.org/2004/calc") return "oooc";
  if (!namespace_uri.starts_with(kStandard)) return {};
  for (const Row& row : kRows) {
    if (namespace_uri.substr(kStandard.size()) == row.uri) return row.prefix;
  }
  return {};
}

}  // namespace loftledger::ods
