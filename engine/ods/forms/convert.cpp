#include "engine/ods/forms/convert.hpp"

#include "engine/ods/markup/splices.hpp"

namespace loftledger::ods {

bool holds_data(Name element) {
  switch (element) {
    case "draw:image"_name:
    case "draw:fill-image"_name:
    case "draw:object"_name:
    case "draw:object-ole"_name:
    case "style:background-image"_name:
    case "text:list-level-style-image"_name:
      return true;
    default:
      return false;
  }
}

std::string other_attributes(const Scanner& scanner) {
  const std::string_view tag = scanner.bytes(scanner.begin(), scanner.end());
  std::string out;
  for (const Attribute& a : scanner.attributes()) {
    const std::string_view name = tag.substr(a.begin, a.name_end - a.begin);
    const bool declares = name == "xmlns" || name.starts_with("xmlns:");
    if (declares || a.name == "office:version"_name || a.name == "office:mimetype"_name) continue;
    out += ' ';
    out += tag.substr(a.begin, a.end() - a.begin);
  }
  return out;
}

Result<std::string> manifest_of_type(std::string_view manifest, std::string_view mimetype) {
  Scanner scanner(manifest);
  Splices splices;
  for (;;) {
    const Scanner::Token token = scanner.next();
    if (token == Scanner::Token::failed) return scanner.error();
    if (token == Scanner::Token::done) return splices.apply(manifest, 0, manifest.size());
    if (token != Scanner::Token::start || scanner.text_of("manifest:full-path"_name) != "/")
      continue;
    for (const Attribute& a : scanner.attributes()) {
      if (a.name != "manifest:media-type"_name) continue;
      splices.replace(scanner.begin() + a.value_begin, scanner.begin() + a.value_end,
                      std::string(mimetype));
    }
  }
}

}  // namespace loftledger::ods
