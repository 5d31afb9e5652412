#include "tests/support/office/flat.hpp"

#include <fmt/format.h>

#include <chrono>
#include <cstdio>
#include <pugixml.hpp>
#include <sstream>

#include "engine/base/address.hpp"
#include "engine/base/number_text.hpp"
#include "engine/ods/reading/office_value.hpp"

namespace loftledger::support {

namespace {

constexpr std::pair<const char*, const char*> kNamespaces[] = {
    {"xmlns:office", "urn:oasis:names:tc:opendocument:xmlns:office:1.0"},
    {"xmlns:table", "urn:oasis:names:tc:opendocument:xmlns:table:1.0"},
    {"xmlns:text", "urn:oasis:names:tc:opendocument:xmlns:text:1.0"},
    {"xmlns:of", "urn:oasis:names:tc:opendocument:xmlns:of:1.2"},
    {"office:version", "1.3"},
    {"office:mimetype", "application/vnd.oasis.opendocument.spreadsheet"},
};

// Days from 1970-01-01 to the day 0 of files that name none.
constexpr std::int64_t kNullDate = -25569;

const char* truth_text(bool truth) { return truth ? "true" : "false"; }

void skip(pugi::xml_node parent, const char* element, const char* repeated, std::int32_t count) {
  if (count <= 0) return;
  pugi::xml_node gap = parent.append_child(element);
  if (count > 1) gap.append_attribute(repeated) = count;
}

void write_value(pugi::xml_node node, const Value& value) {
  switch (value.kind()) {
    case Value::Kind::number:
      node.append_attribute("office:value-type") = "float";
      node.append_attribute("office:value") = number_text(value.number()).c_str();
      return;
    case Value::Kind::boolean:
      node.append_attribute("office:value-type") = "boolean";
      node.append_attribute("office:boolean-value") = truth_text(value.number() != 0);
      return;
    case Value::Kind::text:
      node.append_attribute("office:value-type") = "string";
      node.append_child("text:p").text() = std::string(value.text()).c_str();
      return;
    case Value::Kind::error:
    case Value::Kind::empty:
      return;
  }
}

// The text of a paragraph, with spans opened and runs of spaces written out.
void add_text(pugi::xml_node node, std::string& out) {
  for (pugi::xml_node child : node.children()) {
    if (child.type() == pugi::node_pcdata) {
      out += child.value();
    } else if (std::string_view(child.name()) == "text:s") {
      out.append(child.attribute("text:c").as_uint(1), ' ');
    } else if (std::string_view(child.name()) == "text:tab") {
      out += '\t';
    } else {
      add_text(child, out);
    }
  }
}

std::string text_of(pugi::xml_node cell) {
  std::string out;
  bool first = true;
  for (pugi::xml_node paragraph : cell.children("text:p")) {
    if (!first) out += '\n';
    first = false;
    add_text(paragraph, out);
  }
  return out;
}

// Calc has a few codes that the engine never gives.
Value error_shown_as(const std::string& text) {
  if (const Code code = code_of(text); code != Code::none) return code;
  constexpr std::string_view kNumbered = "Err:";
  if (text.starts_with(kNumbered)) {
    if (const auto number = read_number(text.substr(kNumbered.size()))) {
      return static_cast<Code>(*number);
    }
  }
  return Value("unknown error " + text);
}

// "2026-03-09", "2026-03-09T13:30:00": days since 1899-12-30, which the office counts from.
Value date_value(const std::string& text) {
  int year = 0;
  unsigned month = 0;
  unsigned day = 0;
  int hour = 0;
  int minute = 0;
  double second = 0;
  if (std::sscanf(text.c_str(), "%d-%u-%uT%d:%d:%lf", &year, &month, &day, &hour, &minute,
                  &second) < 3) {
    return Value("unread date " + text);
  }
  using namespace std::chrono;
  const sys_days date = std::chrono::year(year) / std::chrono::month(month) / std::chrono::day(day);
  const sys_days start = std::chrono::year(1899) / 12 / 30;
  return Value(static_cast<double>((date - start).count()) +
               (hour * 3600 + minute * 60 + second) / 86400);
}

Value read_value(pugi::xml_node cell) {
  const std::string_view type = cell.attribute("office:value-type").as_string();
  const std::string_view shown_type = cell.attribute("calcext:value-type").as_string();
  if (shown_type == "error") {
    return error_shown_as(text_of(cell));
  }
  if (type == "boolean") {
    return Value::boolean(std::string_view(cell.attribute("office:boolean-value").as_string()) ==
                          "true");
  }
  if (type == "string") {
    const pugi::xml_attribute plain = cell.attribute("office:string-value");
    return plain ? Value(plain.as_string()) : Value(text_of(cell));
  }
  if (type == "date") return date_value(cell.attribute("office:date-value").as_string());
  if (type.empty()) return {};
  const std::optional<double> number =
      type == "date"   ? ods::read_date(cell.attribute("office:date-value").as_string(), kNullDate)
      : type == "time" ? ods::read_duration(cell.attribute("office:time-value").as_string())
                       : read_number(cell.attribute("office:value").as_string());
  return number ? Value(*number) : Value("unread " + text_of(cell));
}

}  // namespace

FlatDocument::Sheet& FlatDocument::current() {
  if (sheets_.empty()) sheets_.push_back({"Sheet1", {}});
  return sheets_.back();
}

void FlatDocument::sheet(std::string name) { sheets_.push_back({std::move(name), {}}); }

void FlatDocument::value(std::int32_t row, std::int32_t column, Value value) {
  current().cells[{row, column}].value = std::move(value);
}

void FlatDocument::formula(std::int32_t row, std::int32_t column, std::string text) {
  current().cells[{row, column}].formula = std::move(text);
}

void FlatDocument::array(std::int32_t row, std::int32_t column, std::int32_t rows,
                         std::int32_t columns, std::string text) {
  current().cells[{row, column}] = {{}, {}, std::move(text), rows, columns};
}

void FlatDocument::date(std::int32_t row, std::int32_t column, std::string day) {
  current().cells[{row, column}].day = std::move(day);
}

void FlatDocument::name(std::string name, std::string expression) {
  names_.emplace_back(std::move(name), std::move(expression));
}

std::string FlatDocument::xml() const {
  pugi::xml_document document;
  pugi::xml_node declaration = document.append_child(pugi::node_declaration);
  declaration.append_attribute("version") = "1.0";
  declaration.append_attribute("encoding") = "UTF-8";
  pugi::xml_node root = document.append_child("office:document");
  for (const auto& [name, value] : kNamespaces) root.append_attribute(name) = value;
  pugi::xml_node body = root.append_child("office:body").append_child("office:spreadsheet");
  if (matching_) {
    pugi::xml_node settings = body.append_child("table:calculation-settings");
    const std::pair<const char*, bool> switches[] = {
        {"table:case-sensitive", matching_->case_sensitive},
        {"table:use-regular-expressions", matching_->regular_expressions},
        {"table:use-wildcards", matching_->wildcards},
    };
    for (const auto& [name, on] : switches) settings.append_attribute(name) = truth_text(on);
  }
  for (const Sheet& sheet : sheets_) {
    pugi::xml_node table = body.append_child("table:table");
    table.append_attribute("table:name") = sheet.name.c_str();
    std::int32_t row = -1;
    std::int32_t column = 0;
    pugi::xml_node line;
    for (const auto& [place, cell] : sheet.cells) {
      if (place.first != row) {
        skip(table, "table:table-row", "table:number-rows-repeated", place.first - row - 1);
        line = table.append_child("table:table-row");
        row = place.first;
        column = 0;
      }
      skip(line, "table:table-cell", "table:number-columns-repeated", place.second - column);
      column = place.second + 1;
      pugi::xml_node node = line.append_child("table:table-cell");
      if (cell.rows > 0) {
        node.append_attribute("table:number-matrix-columns-spanned") = cell.columns;
        node.append_attribute("table:number-matrix-rows-spanned") = cell.rows;
      }
      if (!cell.formula.empty()) node.append_attribute("table:formula") = cell.formula.c_str();
      if (!cell.day.empty()) {
        node.append_attribute("office:value-type") = "date";
        node.append_attribute("office:date-value") = cell.day.c_str();
      }
      write_value(node, cell.value);
    }
  }
  pugi::xml_node names;
  if (!names_.empty()) names = body.append_child("table:named-expressions");
  for (const auto& [name, expression] : names_) {
    pugi::xml_node node = names.append_child("table:named-expression");
    node.append_attribute("table:name") = name.c_str();
    node.append_attribute("table:base-cell-address") =
        fmt::format("${}.$A$1", quoted_sheet(sheets_.front().name)).c_str();
    node.append_attribute("table:expression") = ("of:=" + expression).c_str();
  }
  std::ostringstream out;
  document.save(out, " ", pugi::format_raw, pugi::encoding_utf8);
  return out.str();
}

Value FlatCells::at(std::string_view sheet, std::int32_t row, std::int32_t column) const {
  const auto found = cells.find(fmt::format("{}.{}", sheet, cell_name(row, column)));
  return found == cells.end() ? Value() : found->second;
}

FlatCells read_flat(const std::string& path) {
  FlatCells out;
  pugi::xml_document document;
  const pugi::xml_parse_result parsed =
      document.load_file(path.c_str(), pugi::parse_default | pugi::parse_ws_pcdata);
  if (!parsed) {
    out.problem = fmt::format("{}: {}", path, parsed.description());
    return out;
  }
  const pugi::xml_node body =
      document.child("office:document").child("office:body").child("office:spreadsheet");
  for (pugi::xml_node table : body.children("table:table")) {
    const std::string name = table.attribute("table:name").as_string();
    std::int32_t row = 0;
    // Rows may stand in groups and header rows; they count on through all of them. A chart in a
    // cell has rows of its own.
    pugi::xpath_node_set rows_found =
        table.select_nodes(".//table:table-row[not(ancestor::draw:object)]");
    rows_found.sort();
    for (const pugi::xpath_node& found : rows_found) {
      const pugi::xml_node line = found.node();
      const std::int32_t rows = line.attribute("table:number-rows-repeated").as_int(1);
      std::int32_t column = 0;
      for (pugi::xml_node cell : line.children()) {
        if (cell.type() != pugi::node_element) continue;
        const std::int32_t columns = cell.attribute("table:number-columns-repeated").as_int(1);
        const Value value = read_value(cell);
        if (!value.is_empty()) {
          for (std::int32_t r = row; r < row + rows; ++r) {
            for (std::int32_t c = column; c < column + columns; ++c) {
              out.cells.emplace(fmt::format("{}.{}", name, cell_name(r, c)), value);
            }
          }
        }
        column += columns;
      }
      row += rows;
    }
  }
  return out;
}

}  // namespace loftledger::support
