#include "tests/support/books/markup.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <pugixml.hpp>
#include <regex>
#include <set>

#include "engine/base/number_text.hpp"

namespace loftledger::support {

namespace {

std::string words_of(pugi::xml_node node) {
  std::string out;
  for (pugi::xml_node child : node.children()) {
    if (child.type() == pugi::node_pcdata) {
      out += child.value();
    } else if (std::string_view(child.name()) != "office:annotation") {
      out += words_of(child);
    }
  }
  return out;
}

std::string text_of(pugi::xml_node cell) {
  std::string out;
  for (pugi::xml_node paragraph : cell.children("text:p")) {
    if (!out.empty()) out += '\n';
    out += words_of(paragraph);
  }
  return out;
}

std::optional<InputRule> read_rule(pugi::xml_node node, std::string& problem) {
  std::string condition = node.attribute("table:condition").as_string();
  if (condition.starts_with("of:")) condition.erase(0, 3);
  InputRule out;
  out.may_be_empty =
      std::string_view(node.attribute("table:allow-empty-cell").as_string("true")) != "false";
  for (pugi::xml_node line : node.child("table:error-message").children("text:p")) {
    out.message += words_of(line);
  }
  static const std::regex kBounds(R"(is-between\(\s*([-+.\deE]+)\s*,\s*([-+.\deE]+)\s*\))");
  static const std::regex kQuoted("\"([^\"]*)\"");
  if (condition.starts_with("cell-content-is-in-list(")) {
    out.kind = InputRule::Kind::choice;
    for (std::sregex_iterator at(condition.begin(), condition.end(), kQuoted), end; at != end;
         ++at) {
      out.choices.push_back((*at)[1]);
    }
    if (!out.choices.empty()) return out;
  }
  std::smatch bounds;
  if (std::regex_search(condition, bounds, kBounds)) {
    out.low = read_number(bounds[1].str()).value_or(NAN);
    out.high = read_number(bounds[2].str()).value_or(NAN);
    const std::pair<std::string_view, InputRule::Kind> kKinds[] = {
        {"cell-content-is-decimal-number()", InputRule::Kind::decimal},
        {"cell-content-is-whole-number()", InputRule::Kind::whole},
        {"cell-content-is-date()", InputRule::Kind::date},
        {"cell-content-text-length-is-between", InputRule::Kind::length}};
    for (const auto& [words, kind] : kKinds) {
      if (condition.starts_with(words) && out.low <= out.high) {
        out.kind = kind;
        return out;
      }
    }
  }
  problem = fmt::format("the validation {} has a rule of another kind: {}",
                        node.attribute("table:name").as_string(), condition);
  return std::nullopt;
}

// "$Inputs.$B$7:.$C$9", "$'Two words'.$A$1".
std::optional<Area> read_area(const std::string& text, const std::vector<MarkedSheet>& sheets) {
  static const std::regex kArea(
      R"(\$?('(?:[^']|'')+'|[^.']+)\.\$?([A-Z]+)\$?(\d+)(?::(?:\$?(?:'(?:[^']|'')+'|[^.']+))?\.\$?([A-Z]+)\$?(\d+))?)");
  std::smatch m;
  if (!std::regex_match(text, m, kArea)) return std::nullopt;
  std::string name = m[1];
  if (name.starts_with('\'')) name = name.substr(1, name.size() - 2);
  const auto sheet = std::find_if(sheets.begin(), sheets.end(),
                                  [&](const MarkedSheet& s) { return s.name == name; });
  if (sheet == sheets.end()) return std::nullopt;
  const auto column = [](const std::string& letters) {
    std::int32_t out = 0;
    for (const char letter : letters) out = out * 26 + (letter - 'A' + 1);
    return out - 1;
  };
  Area out;
  out.first_sheet = out.last_sheet = static_cast<std::int32_t>(sheet - sheets.begin());
  out.first_column = out.last_column = column(m[2]);
  out.first_row = out.last_row = std::stoi(m[3]) - 1;
  if (m[4].matched) {
    out.last_column = column(m[4]);
    out.last_row = std::stoi(m[5]) - 1;
  }
  return out;
}

// "Input_20_money" shows as "Input money".
std::string shown_name(std::string name) {
  for (std::size_t at = name.find("_20_"); at != std::string::npos; at = name.find("_20_", at)) {
    name.replace(at, 4, " ");
  }
  return name;
}

// Named styles by themselves, automatic ones by the named style that they start from.
struct Styles {
  std::map<std::string, std::string> named_behind;
  std::string of(const std::string& style) const {
    const auto found = named_behind.find(style);
    return shown_name(found == named_behind.end() ? style : found->second);
  }
};

void read_styles(pugi::xml_node root, Markup& out, Styles& styles) {
  for (pugi::xml_node style : root.child("office:styles").children("style:style")) {
    if (std::string_view(style.attribute("style:family").as_string()) != "table-cell") continue;
    const std::string name = shown_name(style.attribute("style:name").as_string());
    out.parents[name] = shown_name(style.attribute("style:parent-style-name").as_string());
    const auto guard = style.child("style:table-cell-properties").attribute("style:cell-protect");
    if (guard) out.protection[name] = guard.as_string();
  }
  for (pugi::xml_node style : root.child("office:automatic-styles").children("style:style")) {
    if (std::string_view(style.attribute("style:family").as_string()) != "table-cell") continue;
    styles.named_behind[style.attribute("style:name").as_string()] =
        style.attribute("style:parent-style-name").as_string("Default");
  }
}

// What a page of the sheet lacks of what every printed page should have.
std::vector<std::string> lacking(pugi::xml_node root, pugi::xml_node table) {
  std::vector<std::string> out;
  const auto named = [](pugi::xml_node parent, const char* element, const std::string& name) {
    return parent.find_child_by_attribute(element, "style:name", name.c_str());
  };
  const pugi::xml_node automatic = root.child("office:automatic-styles");
  const pugi::xml_node style =
      named(automatic, "style:style", table.attribute("table:style-name").as_string());
  const pugi::xml_node master = named(root.child("office:master-styles"), "style:master-page",
                                      style.attribute("style:master-page-name").as_string());
  const pugi::xml_node layout =
      named(automatic, "style:page-layout", master.attribute("style:page-layout-name").as_string());
  const pugi::xml_node page = layout.child("style:page-layout-properties");
  if (page.attribute("style:scale-to-X").as_int() != 1) out.push_back("fit to one page's width");
  if (!page.attribute("fo:page-width")) out.push_back("paper size");
  if (words_of(master.child("style:header")).empty()) out.push_back("header");
  if (words_of(master.child("style:footer")).empty()) out.push_back("footer");
  return out;
}

MarkedSheet read_sheet(pugi::xml_node table, const Styles& styles) {
  MarkedSheet out;
  out.name = table.attribute("table:name").as_string();
  out.is_protected = table.attribute("table:protected").as_bool();
  out.charts = static_cast<int>(table.select_nodes(".//draw:object").size());
  for (const pugi::xpath_node& found :
       table.select_nodes(".//chart:chart//@chart:values-cell-range-address | "
                          ".//chart:chart//@chart:label-cell-address | "
                          ".//chart:chart//@table:cell-range-address | "
                          ".//style:chart-properties/@chart:error-upper-range | "
                          ".//style:chart-properties/@chart:error-lower-range")) {
    out.shown_by_charts.push_back(found.attribute().value());
  }
  std::vector<std::string> by_column;
  for (const pugi::xpath_node& found :
       table.select_nodes(".//table:table-column[not(ancestor::draw:object)]")) {
    const int count = found.node().attribute("table:number-columns-repeated").as_int(1);
    const std::string style = found.node().attribute("table:default-cell-style-name").as_string();
    // Columns to the far right hold nothing.
    for (int i = 0; i < std::min(count, 200); ++i) by_column.push_back(styles.of(style));
  }
  std::int32_t row = 0;
  for (const pugi::xpath_node& found :
       table.select_nodes("table:table-row | table:table-header-rows/table:table-row | "
                          "table:table-row-group//table:table-row")) {
    const pugi::xml_node line = found.node();
    const std::int32_t rows = line.attribute("table:number-rows-repeated").as_int(1);
    std::int32_t column = 0;
    for (pugi::xml_node node : line.children()) {
      if (node.type() != pugi::node_element) continue;
      const std::int32_t columns = node.attribute("table:number-columns-repeated").as_int(1);
      MarkedCell cell;
      cell.validation = node.attribute("table:content-validation-name").as_string();
      cell.formula = node.attribute("table:formula").as_string();
      cell.filled = !node.attribute("office:value-type").empty();
      cell.text = text_of(node);
      for (pugi::xml_node line_of_note : node.child("office:annotation").children("text:p")) {
        cell.note += words_of(line_of_note);
      }
      const std::string own = node.attribute("table:style-name").as_string();
      const bool speaks = !own.empty() || cell.filled || !cell.validation.empty();
      for (std::int32_t c = column; speaks && c < std::min(column + columns, 200); ++c) {
        cell.style = !own.empty()                                     ? styles.of(own)
                     : static_cast<std::size_t>(c) < by_column.size() ? by_column[c]
                                                                      : std::string();
        for (std::int32_t r = row; r < std::min(row + rows, 2000); ++r) out.cells[{r, c}] = cell;
      }
      column += columns;
    }
    row += rows;
  }
  return out;
}

}  // namespace

Value InputRule::draw(std::mt19937_64& random) const {
  const auto within = [&](double a, double b) {
    return std::uniform_real_distribution<double>(a, b)(random);
  };
  if (may_be_empty && within(0, 1) < 0.15) return {};
  if (kind == Kind::choice) {
    return Value(
        choices[std::uniform_int_distribution<std::size_t>(0, choices.size() - 1)(random)]);
  }
  const double part = within(0, 1);
  double out = part < 0.1    ? low
               : part < 0.2  ? high
               : part < 0.5  ? within(low, high)
               : part < 0.75 ? low + (high - low) * std::pow(10, within(-6, 0))
                             : std::clamp(std::pow(10, within(-2, 3)), low, high);
  if (kind != Kind::decimal) out = std::clamp(std::round(out), low, high);
  if (kind == Kind::length) return Value(std::string(static_cast<std::size_t>(out), 'x'));
  return Value(out);
}

bool InputRule::allows(const Value& value) const {
  if (value.is_empty()) return may_be_empty;
  switch (kind) {
    case Kind::choice:
      return value.is_text() &&
             std::find(choices.begin(), choices.end(), std::string(value.text())) != choices.end();
    case Kind::length:
      return value.is_text() && static_cast<double>(value.text().size()) <= high * 4;
    default:
      return value.is_numeric() && value.number() >= low && value.number() <= high &&
             (kind == Kind::decimal || value.number() == std::round(value.number()));
  }
}

const MarkedCell* Markup::at(CellAddress cell) const {
  const auto& cells = sheets[static_cast<std::size_t>(cell.sheet)].cells;
  const auto found = cells.find({cell.row, cell.column});
  return found == cells.end() ? nullptr : &found->second;
}

std::string Markup::place_of(CellAddress cell) const {
  return sheets[static_cast<std::size_t>(cell.sheet)].name + "." + cell_name(cell.row, cell.column);
}

bool Markup::follows(std::string style, std::string_view ancestor) const {
  for (std::set<std::string> seen; !style.empty() && seen.insert(style).second;) {
    if (style == ancestor) return true;
    const auto parent = parents.find(style);
    style = parent == parents.end() ? std::string() : parent->second;
  }
  return false;
}

bool Markup::is_open(std::string style) const {
  for (std::set<std::string> seen; !style.empty() && seen.insert(style).second;) {
    if (const auto says = protection.find(style); says != protection.end()) {
      return says->second == "none";
    }
    const auto parent = parents.find(style);
    style = parent == parents.end() ? std::string() : parent->second;
  }
  return false;
}

Markup read_markup(const std::string& path) {
  Markup out;
  pugi::xml_document document;
  const auto parsed = document.load_file(path.c_str(), pugi::parse_default | pugi::parse_ws_pcdata);
  if (!parsed) {
    out.problem = fmt::format("{}: {}", path, parsed.description());
    return out;
  }
  const pugi::xml_node root = document.child("office:document");
  const pugi::xml_node body = root.child("office:body").child("office:spreadsheet");
  Styles styles;
  read_styles(root, out, styles);
  for (pugi::xml_node node : body.child("table:content-validations").children()) {
    if (node.type() != pugi::node_element) continue;
    if (auto rule = read_rule(node, out.problem)) {
      out.rules[node.attribute("table:name").as_string()] = std::move(*rule);
    }
  }
  for (pugi::xml_node table : body.children("table:table")) {
    out.sheets.push_back(read_sheet(table, styles));
    out.sheets.back().page = lacking(root, table);
  }
  for (pugi::xml_node name : body.child("table:named-expressions").children("table:named-range")) {
    const std::string place = name.attribute("table:cell-range-address").as_string();
    if (const auto area = read_area(place, out.sheets)) {
      out.names.push_back({name.attribute("table:name").as_string(), *area});
    } else {
      out.problem = fmt::format("the name {} stands for {}, which is no place in the book",
                                name.attribute("table:name").as_string(), place);
    }
  }
  return out;
}

}  // namespace loftledger::support
