// Flat documents as text, for tests of how they are read and written.
#pragma once

#include <string>
#include <string_view>

namespace loftledger::support {

inline constexpr std::string_view kFlatHead =
    "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
    "<office:document xmlns:office=\"urn:oasis:names:tc:opendocument:xmlns:office:1.0\" "
    "xmlns:table=\"urn:oasis:names:tc:opendocument:xmlns:table:1.0\" "
    "xmlns:text=\"urn:oasis:names:tc:opendocument:xmlns:text:1.0\" "
    "xmlns:style=\"urn:oasis:names:tc:opendocument:xmlns:style:1.0\" "
    "xmlns:number=\"urn:oasis:names:tc:opendocument:xmlns:datastyle:1.0\" "
    "xmlns:draw=\"urn:oasis:names:tc:opendocument:xmlns:drawing:1.0\" "
    "xmlns:of=\"urn:oasis:names:tc:opendocument:xmlns:of:1.2\" "
    "xmlns:calcext=\"urn:org:documentfoundation:names:experimental:calc:xmlns:calcext:1.0\" "
    "office:version=\"1.3\" "
    "office:mimetype=\"application/vnd.oasis.opendocument.spreadsheet\">\n";

// What stands in office:spreadsheet, with other children of the root before it.
inline std::string flat_text(std::string_view spreadsheet, std::string_view before = {}) {
  std::string out(kFlatHead);
  out += before;
  out += "<office:body><office:spreadsheet>";
  out += spreadsheet;
  return out + "</office:spreadsheet></office:body></office:document>\n";
}

// One sheet "S" with these rows, and names of the book.
inline std::string flat_rows(std::string_view rows, std::string_view before = {},
                             std::string_view names = {}) {
  std::string sheet = "<table:table table:name=\"S\">" + std::string(rows) + "</table:table>";
  if (!names.empty()) {
    sheet += "<table:named-expressions>" + std::string(names) + "</table:named-expressions>";
  }
  return flat_text(sheet, before);
}

}  // namespace loftledger::support
