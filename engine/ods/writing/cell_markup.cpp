#include "engine/ods/writing/cell_markup.hpp"

#include <fmt/format.h>

#include <cmath>
#include <utility>

#include "engine/base/number_text.hpp"
#include "engine/ods/writing/shown_text.hpp"

namespace loftledger::ods {

namespace {

// The office writes dates to a hundredth of a second, times to less than a microsecond.
constexpr double kDateStep = 0.0051 / 86400;
constexpr double kTimeStep = 1e-6 / 86400;

bool same_number(double a, double b, ValueType type) {
  if (a == b) return true;
  if (type == ValueType::date) return std::fabs(a - b) <= kDateStep;
  if (type == ValueType::time) return std::fabs(a - b) <= kTimeStep;
  // Files often give 15 digits of what was calculated.
  if (std::fabs(a - b) > 1e-14 * std::fabs(a)) return false;
  return fmt::format("{:.15g}", a) == fmt::format("{:.15g}", b);
}

bool holds_value(Name attribute) {
  switch (attribute) {
    case "office:value-type"_name:
    case "office:value"_name:
    case "office:date-value"_name:
    case "office:time-value"_name:
    case "office:boolean-value"_name:
    case "office:string-value"_name:
    case "calcext:value-type"_name:
      return true;
    default:
      return false;
  }
}

bool holds_formula(Name attribute) {
  return attribute == "table:formula"_name ||
         attribute == "table:number-matrix-columns-spanned"_name ||
         attribute == "table:number-matrix-rows-spanned"_name;
}

ValueType type_for(NumberStyle::Kind kind) {
  switch (kind) {
    case NumberStyle::Kind::percentage:
      return ValueType::percentage;
    case NumberStyle::Kind::currency:
      return ValueType::currency;
    case NumberStyle::Kind::date:
      return ValueType::date;
    case NumberStyle::Kind::time:
      return ValueType::time;
    case NumberStyle::Kind::boolean:
      return ValueType::boolean;
    default:
      return ValueType::number;
  }
}

// The type in which a number is written: the cell's, or else the one that its format asks for.
ValueType numeric_type(const Value& value, ValueType old, const NumberStyle* format) {
  if (numeric(old)) return old;
  if (format != nullptr) return type_for(format->kind);
  return value.is_boolean() ? ValueType::boolean : ValueType::number;
}

// The attribute's name without its prefix, and the value, of a number in that type.
struct Written {
  ValueType type;
  std::string_view attribute;
  std::string value;
};
Written written_number(double number, ValueType type, std::int64_t null_date) {
  if (type == ValueType::date) {
    if (auto text = date_text(number, null_date)) return {type, "date-value", std::move(*text)};
    type = ValueType::number;
  }
  if (type == ValueType::time) {
    if (auto text = duration_text(number)) return {type, "time-value", std::move(*text)};
    type = ValueType::number;
  }
  if (type == ValueType::boolean) {
    const bool truth = number == 0 || number == 1;
    return {type, "boolean-value", truth ? (number == 1 ? "true" : "false") : number_text(number)};
  }
  return {type, "value", number_text(number)};
}

void add_attribute(std::string& out, std::string_view prefix, std::string_view name,
                   std::string_view value) {
  out += ' ';
  out += prefix;
  out += name;
  out += "=\"";
  append_escaped(out, value, true);
  out += '"';
}

void add_type(std::string& out, std::string_view type, std::string_view marked,
              const Written* value, const Prefixes& prefixes) {
  add_attribute(out, prefixes.office, "value-type", type);
  if (value != nullptr) add_attribute(out, prefixes.office, value->attribute, value->value);
  if (!prefixes.calcext.empty()) add_attribute(out, prefixes.calcext, "value-type", marked);
}

// A line of text as a paragraph's content: blanks that XML would drop are spelt out.
std::string line_content(std::string_view line, std::string_view prefix) {
  std::string out;
  for (std::size_t i = 0; i < line.size(); ++i) {
    const bool edge = i == 0 || i + 1 == line.size() || line[i - 1] == ' ';
    if (line[i] == ' ' && edge) {
      out += fmt::format("<{}s/>", prefix);
    } else if (line[i] == '\t') {
      out += fmt::format("<{}tab/>", prefix);
    } else {
      append_escaped(out, line.substr(i, 1), false);
    }
  }
  return out;
}

bool blank(std::string_view text) { return text.find_first_not_of(" \t\r\n") == text.npos; }

// Formula cells that come out empty count as 0, like in the office.
Value as_result(const Value& value) { return value.is_empty() ? Value(0.0) : value; }

std::string changed_tag(std::string_view tag, const Cell& cell, const CellChange& change,
                        const std::string& values) {
  std::string out;
  std::uint32_t copied = 0;
  bool placed = !change.value;
  const bool recounted = change.count != cell.count;
  bool counted = !recounted || change.count == 1;
  const auto replace = [&](const Attribute& a, std::string_view by) {
    // The blanks before an attribute go with it.
    std::uint32_t from = a.begin;
    while (from > copied && tag[from - 1] != '"' && tag[from - 1] != '\'' &&
           std::string_view(" \t\r\n").find(tag[from - 1]) != std::string_view::npos) {
      --from;
    }
    out += tag.substr(copied, from - copied);
    out += by;
    copied = a.end();
  };
  for (const Attribute& a : cell.attributes) {
    const std::string_view qualified = tag.substr(a.begin, a.name_end - a.begin);
    std::string text;
    if (holds_value(a.name) && change.value) {
      replace(a, placed ? std::string_view() : values);
      placed = true;
    } else if (holds_formula(a.name) && change.drop_formula) {
      replace(a, {});
    } else if (a.name == "table:formula"_name && change.formula) {
      add_attribute(text, {}, qualified, *change.formula);
      replace(a, text);
    } else if (a.name == "table:number-columns-repeated"_name && recounted) {
      if (change.count > 1) add_attribute(text, {}, qualified, fmt::format("{}", change.count));
      replace(a, text);
      counted = true;
    }
  }
  const std::size_t end = tag.size() - (cell.place.closed ? 2 : 1);
  out += tag.substr(copied, end - copied);
  if (!placed) out += values;
  if (!counted) {
    const std::size_t colon = element_name(tag).find(':');
    const std::string_view prefix = element_name(tag).substr(0, colon + 1);
    add_attribute(out, prefix, "number-columns-repeated", fmt::format("{}", change.count));
  }
  return out;  // without its closing bracket
}

}  // namespace

std::optional<Prefixes> prefixes_of(const Scanner& scanner) {
  const auto office = scanner.bound_prefix("office");
  const auto table = scanner.bound_prefix("table");
  const auto text = scanner.bound_prefix("text");
  if (!office || !table || !text) return std::nullopt;
  return Prefixes{*office, *table, *text, scanner.bound_prefix("calcext").value_or("")};
}

bool same_value(const Cell& cell, const Value& value) {
  switch (value.kind()) {
    case Value::Kind::empty:
      return cell.value.is_empty() ||
             (cell.has_formula && cell.value.is_numeric() && cell.value.number() == 0);
    case Value::Kind::number:
    case Value::Kind::boolean:
      return cell.value.is_numeric() && same_number(cell.value.number(), value.number(), cell.type);
    case Value::Kind::text:
      return cell.value.is_text() && cell.value.text() == value.text();
    case Value::Kind::error:
      return cell.value.is_error() && cell.value.code() == value.code() &&
             (cell.type == ValueType::error || !cell.has_formula);
  }
  return false;
}

std::string value_attributes(const Value& value, ValueType old, const CellContext& context) {
  std::string out;
  if (value.is_numeric()) {
    const ValueType type = numeric_type(value, old, context.format);
    const Written written = written_number(value.number(), type, context.null_date);
    add_type(out, type_name(written.type), type_name(written.type), &written, context.prefixes);
  } else if (value.is_error()) {
    const Written none{ValueType::error, "string-value", ""};
    add_type(out, "string", "error", &none, context.prefixes);
  } else if (!value.text().empty()) {
    const Written text{ValueType::text, "string-value", std::string(value.text())};
    add_type(out, "string", "string", &text, context.prefixes);
  }
  return out;  // an empty text has an empty paragraph, and no type
}

std::string paragraphs(const Value& value, const CellContext& context) {
  if (value.is_empty()) return {};
  const std::string_view prefix = context.prefixes.text;
  const std::string text = shown_text(value, context.format, context.null_date);
  if (text.empty()) return fmt::format("<{}p/>", prefix);
  std::string out;
  std::size_t from = 0;
  while (from <= text.size()) {
    const std::size_t end = std::min(text.find('\n', from), text.size());
    const std::string_view line = std::string_view(text).substr(from, end - from);
    out += fmt::format("<{0}p>{1}</{0}p>", prefix, line_content(line, prefix));
    from = end + 1;
  }
  return out;
}

std::string_view element_name(std::string_view source) {
  return source.substr(1, source.find_first_of(" \t\r\n/>", 1) - 1);
}

std::string changed_cell(std::string_view source, std::uint64_t begin, const Cell& cell,
                         const CellChange& change, const CellContext& context) {
  const auto at = [&](std::uint64_t offset) { return static_cast<std::size_t>(offset - begin); };
  const auto part = [&](std::uint64_t from, std::uint64_t to) {
    return source.substr(at(from), at(to) - at(from));
  };
  Value value;
  std::string values;
  std::string shown;
  if (change.value) {
    value = change.drop_formula ? *change.value : as_result(*change.value);
    values = value_attributes(value, cell.type, context);
    shown = paragraphs(value, context);
  }
  const Place& place = cell.place;
  std::string out = changed_tag(part(place.begin, place.tag_end), cell, change, values);
  if (!change.value) {
    out += place.closed ? "/>" : ">";
    out += part(place.tag_end, place.end);
    return out;
  }
  std::string content;
  if (cell.paragraphs.empty()) {
    content = std::string(part(place.tag_end, place.content_end)) + shown;
  } else {
    content = part(place.tag_end, cell.paragraphs[0].begin);
    content += shown;
    for (std::size_t i = 0; i < cell.paragraphs.size(); ++i) {
      const bool last = i + 1 == cell.paragraphs.size();
      const std::string_view between =
          part(cell.paragraphs[i].end, last ? place.content_end : cell.paragraphs[i + 1].begin);
      if (last || !blank(between)) content += between;
    }
  }
  if (blank(content)) return out + "/>";
  out += '>' + content;
  if (place.closed) return out + fmt::format("</{}>", element_name(source));
  out += part(place.content_end, place.end);
  return out;
}

std::string new_cell(const Value& value, const CellContext& context) {
  const std::string name = context.prefixes.table + "table-cell";
  return fmt::format("<{0}{1}>{2}</{0}>", name, value_attributes(value, ValueType::none, context),
                     paragraphs(value, context));
}

std::string with_count(std::string_view tag, const std::vector<Attribute>& attributes, Name name,
                       std::string_view qualified, std::int32_t count) {
  for (const Attribute& a : attributes) {
    if (a.name != name) continue;
    std::string out(tag.substr(0, a.begin));
    std::string_view rest = tag.substr(a.end());
    if (count > 1) {
      out += fmt::format("{}=\"{}\"", tag.substr(a.begin, a.name_end - a.begin), count);
    } else {
      while (!out.empty() && (out.back() == ' ' || out.back() == '\n')) out.pop_back();
    }
    return out += rest;
  }
  if (count == 1) return std::string(tag);
  const std::size_t end = 1 + element_name(tag).size();
  return fmt::format("{} {}=\"{}\"{}", tag.substr(0, end), qualified, count, tag.substr(end));
}

}  // namespace loftledger::ods
