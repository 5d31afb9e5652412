#include "engine/ods/content.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <utility>

#include "engine/ods/addresses.hpp"

namespace loftledger::ods {

namespace {

using Token = Scanner::Token;

constexpr std::string_view kSpreadsheet = "application/vnd.oasis.opendocument.spreadsheet";
constexpr std::size_t kLongestShared = 200;  // bytes of a text that is worth looking up

// A table that only holds what another document's cells contained when they were last read.
bool external_cache(std::string_view name) {
  return name.starts_with("file:///") || (name.starts_with('\'') && name.find("'#") != name.npos);
}

// Elements whose texts belong to a paragraph.
bool inline_text(Name element) {
  switch (element) {
    case "text:span"_name:
    case "text:a"_name:
    case "text:date"_name:
    case "text:time"_name:
    case "text:title"_name:
    case "text:sheet-name"_name:
    case "text:page-number"_name:
    case "text:page-count"_name:
    case "text:meta"_name:
    case "text:author-name"_name:
    case "text:file-name"_name:
    case "text:ruby"_name:
    case "text:ruby-base"_name:
      return true;
    default:
      return false;
  }
}

// What stands before the columns and rows of a sheet.
bool before_rows(Name element) {
  switch (element) {
    case "table:title"_name:
    case "table:desc"_name:
    case "table:table-source"_name:
    case "table:scenario"_name:
    case "table:shapes"_name:
    case "table:table-protection"_name:
    case "office:dde-source"_name:
    case "office:forms"_name:
      return true;
    default:
      return false;
  }
}

}  // namespace

Outcome ContentWalk::walk() {
  const Token token = document();
  if (token == Token::done) return Done{};
  return error_.code != Code::none ? error_ : scanner_.error();
}

Token ContentWalk::failed(std::string sentence) {
  error_ = scanner_.error_here(std::move(sentence));
  return Token::failed;
}

Token ContentWalk::stopped() {
  error_ = visitor_.problem();
  return Token::failed;
}

Token ContentWalk::document() {
  Token token = scanner_.next();
  if (token == Token::failed) return token;
  const bool flat = scanner_.name() == "office:document"_name;
  if (!flat && scanner_.name() != "office:document-content"_name) {
    return failed("this is no OpenDocument file");
  }
  const std::string type = scanner_.text_of("office:mimetype"_name);
  if (flat && !type.empty() && !type.starts_with(kSpreadsheet)) {
    return failed(fmt::format("this is a document of the type {}, no spreadsheet", type));
  }
  bool found = false;
  while (token != Token::failed && token != Token::done) {
    token = scanner_.next();
    if (token != Token::start) continue;
    switch (scanner_.name()) {
      case "office:styles"_name:
      case "office:automatic-styles"_name:
        token = around_.styles.read(scanner_);
        break;
      case "office:body"_name:
        token = body();
        found = true;
        break;
      default:
        token = scanner_.skip();
    }
  }
  if (token == Token::done && !found) return failed("the document has no content");
  return token;
}

Token ContentWalk::body() {
  const std::size_t inside = scanner_.depth();
  bool found = false;
  for (;;) {
    Token token = scanner_.next();
    if (token == Token::start) {
      if (scanner_.name() != "office:spreadsheet"_name || found) {
        return failed("the document holds something other than one spreadsheet");
      }
      found = true;
      token = spreadsheet();
    }
    if (token == Token::failed) return token;
    if (token == Token::end && scanner_.depth() < inside) {
      return found ? token : failed("the document holds no spreadsheet");
    }
  }
}

// Tracked changes, links and caches hold tables too; none of them is a sheet, and all are passed
// over with what they contain.
Token ContentWalk::spreadsheet() {
  const std::size_t inside = scanner_.depth();
  for (;;) {
    Token token = scanner_.next();
    if (token == Token::start) {
      switch (scanner_.name()) {
        case "table:table"_name:
          sheet_ = scanner_.text_of("table:name"_name);
          token = external_cache(sheet_) ? scanner_.skip() : table();
          break;
        case "table:calculation-settings"_name:
          token = settings();
          break;
        case "table:named-expressions"_name:
          token = names(-1);
          break;
        case "table:database-ranges"_name:
          token = databases();
          break;
        default:
          token = scanner_.skip();
      }
    }
    if (token == Token::failed || (token == Token::end && scanner_.depth() < inside)) return token;
  }
}

// --- Sheets and rows.

std::int32_t ContentWalk::count_of(std::string_view text) const {
  std::int32_t count = 1;
  const auto [end, problem] = std::from_chars(text.data(), text.data() + text.size(), count);
  if (problem == std::errc::result_out_of_range && text[0] != '-') return kMaxRows;
  return std::clamp(count, 1, kMaxRows);
}

void ContentWalk::columns() {
  ColumnStyle next{column_styles_.empty() ? 0 : column_styles_.back().end, {}};
  std::int32_t count = 1;
  for (const Attribute& a : scanner_.attributes()) {
    const std::string_view value = scanner_.value(a, scratch_);
    if (a.name == "table:number-columns-repeated"_name) count = count_of(value);
    if (a.name == "table:default-cell-style-name"_name) next.style = value;
  }
  if (next.end >= kMaxColumns) return;
  next.end += count;
  column_styles_.push_back(std::move(next));
}

std::string_view ContentWalk::column_style(std::int32_t column) const {
  const auto found =
      std::upper_bound(column_styles_.begin(), column_styles_.end(), column,
                       [](std::int32_t c, const ColumnStyle& style) { return c < style.end; });
  return found == column_styles_.end() ? std::string_view() : found->style;
}

Token ContentWalk::table() {
  const std::size_t inside = scanner_.depth();
  Place place{scanner_.begin(), scanner_.end(), scanner_.end(), scanner_.end(), scanner_.closed()};
  if (sheets_ == kMaxSheets) {
    return failed(fmt::format("the document has more than {} sheets", kMaxSheets));
  }
  next_row_ = 0;
  column_styles_.clear();
  visitor_.sheet(sheet_);
  for (;;) {
    Token token = scanner_.next();
    if (token == Token::start) {
      const std::uint64_t begin = scanner_.begin();
      switch (scanner_.name()) {
        case "table:table-row"_name:
          token = row();
          break;
        case "table:table-column"_name:
          columns();
          break;
        case "table:table-rows"_name:
        case "table:table-row-group"_name:
        case "table:table-header-rows"_name:
        case "table:table-columns"_name:
        case "table:table-column-group"_name:
        case "table:table-header-columns"_name:
          break;  // their children follow as if they stood here
        case "text:soft-page-break"_name:
          token = scanner_.skip();
          break;
        case "table:named-expressions"_name:
          if (!visitor_.between(begin, true)) return stopped();
          token = names(sheets_);
          break;
        default:
          if (!visitor_.between(begin, next_row_ > 0 || !before_rows(scanner_.name()))) {
            return stopped();
          }
          token = scanner_.skip();
      }
    }
    if (token == Token::failed) return token;
    if (token == Token::end && scanner_.depth() < inside) {
      place.content_end = scanner_.begin();
      place.end = scanner_.end();
      ++sheets_;
      return visitor_.sheet_end(place) ? token : stopped();
    }
  }
}

Token ContentWalk::row() {
  const std::size_t inside = scanner_.depth();
  const Place here{scanner_.begin(), scanner_.end(), scanner_.end(), scanner_.end(),
                   scanner_.closed()};
  row_.first = next_row_;
  row_.count = 1;
  row_.place = here;
  row_.style.clear();
  row_.hidden = row_.filtered = false;
  for (const Attribute& a : scanner_.attributes()) {
    const std::string_view value = scanner_.value(a, scratch_);
    if (a.name == "table:number-rows-repeated"_name) row_.count = count_of(value);
    if (a.name == "table:default-cell-style-name"_name) row_.style = value;
    if (a.name == "table:visibility"_name) {
      row_.filtered = value == "filter";
      row_.hidden = row_.filtered || value == "collapse";
    }
  }
  row_.count = std::min(row_.count, kMaxRows - next_row_);
  next_column_ = 0;
  if (next_row_ < kMaxRows) visitor_.row(row_);
  for (;;) {
    Token token = scanner_.next();
    if (token == Token::start) {
      const Name name = scanner_.name();
      cell_.covered = name == "table:covered-table-cell"_name;
      token = cell_.covered || name == "table:table-cell"_name ? cell() : scanner_.skip();
    }
    if (token == Token::failed) return token;
    if (token == Token::end && scanner_.depth() < inside) {
      row_.place.content_end = scanner_.begin();
      row_.place.end = scanner_.end();
      if (next_row_ < kMaxRows && !visitor_.row_end(row_)) return stopped();
      next_row_ = std::min(next_row_ + row_.count, kMaxRows);
      return token;
    }
  }
}

// --- Cells.

Token ContentWalk::cell() {
  cell_.column = next_column_;
  cell_.count = 1;
  cell_.has_formula = cell_.has_text = false;
  cell_.matrix_rows = cell_.matrix_columns = 0;
  cell_.type = ValueType::none;
  if (!cell_.style.empty()) cell_.style.clear();
  has_stored_ = has_string_ = error_mark_ = false;
  if (markup_) {
    cell_.place = {scanner_.begin(), scanner_.end(), scanner_.end(), scanner_.end(),
                   scanner_.closed()};
    cell_.attributes = scanner_.attributes();
    cell_.paragraphs.clear();
  }
  cell_attributes();
  const Token token = cell_content();
  if (token == Token::failed) return token;
  if (markup_) {
    cell_.place.content_end = scanner_.begin();
    cell_.place.end = scanner_.end();
  }
  finish_cell();
  return token;
}

// Hands the cell on, as far as it stands on the sheet: like the office, what lies beyond the
// sheet's size is passed over.
void ContentWalk::finish_cell() {
  const std::int32_t room = kMaxColumns - next_column_;
  const bool valued = cell_.has_formula || cell_.type != ValueType::none || cell_.has_text;
  const bool outside = next_row_ >= kMaxRows || cell_.count > room;
  if (valued && outside && (around_.remarks.empty() || around_.remarks.back().first != sheets_)) {
    around_.remarks.emplace_back(
        sheets_, fmt::format("\"{}\" has values right of column {} or below row {}, which are not "
                             "read",
                             sheet_, column_letters(kMaxColumns - 1), kMaxRows));
  }
  cell_.count = std::min(cell_.count, room);
  if (next_row_ >= kMaxRows || cell_.count <= 0) return;
  cell_.value = Value();
  if (valued) take_value();
  visitor_.cell(row_, cell_);
  next_column_ += cell_.count;
}

void ContentWalk::cell_attributes() {
  for (const Attribute& a : scanner_.attributes()) {
    switch (a.name) {
      case "office:value-type"_name:
        cell_.type = type_of(scanner_.raw(a));
        break;
      case "office:value"_name:
      case "office:date-value"_name:
      case "office:time-value"_name:
      case "office:boolean-value"_name:
        stored_ = scanner_.value(a, scratch_);
        has_stored_ = true;
        break;
      case "office:string-value"_name:
        text_ = scanner_.value(a, scratch_);
        has_string_ = true;
        break;
      case "calcext:value-type"_name:
        error_mark_ = scanner_.raw(a) == "error";
        break;
      case "table:formula"_name:
        take_formula(scanner_.value(a, scratch_));
        break;
      case "table:style-name"_name:
        cell_.style = scanner_.value(a, scratch_);
        break;
      case "table:number-columns-repeated"_name:
        cell_.count = count_of(scanner_.raw(a));
        break;
      case "table:number-matrix-columns-spanned"_name:
        cell_.matrix_columns = std::min(count_of(scanner_.raw(a)), kMaxColumns - next_column_);
        break;
      case "table:number-matrix-rows-spanned"_name:
        cell_.matrix_rows = std::min(count_of(scanner_.raw(a)), kMaxRows - next_row_);
        break;
      default:
        break;
    }
  }
}

// Spells the prefix of the formula's language as the standard does.
void ContentWalk::take_formula(std::string_view text) {
  cell_.has_formula = true;
  if (!text.starts_with("of:=") || scanner_.binds("of")) {
    const std::size_t colon = text.find(":=");
    const std::string_view prefix = text.substr(0, colon == text.npos ? 0 : colon);
    const std::string_view language = scanner_.standard_of(prefix);
    if (!prefix.empty() && !language.empty()) {
      cell_.formula = language;
      cell_.formula += text.substr(colon);
      return;
    }
  }
  cell_.formula = text;
}

// Up to the cell's end: paragraphs are its text, and nothing else is (notes, drawings, tables
// within the cell have texts of their own).
Token ContentWalk::cell_content() {
  const std::size_t inside = scanner_.depth();
  for (;;) {
    Token token = scanner_.next();
    if (token == Token::start) {
      const Name name = scanner_.name();
      if (name == "text:p"_name || name == "text:h"_name) {
        token = paragraph();
      } else {
        token = scanner_.skip();
      }
    }
    if (token == Token::failed || (token == Token::end && scanner_.depth() < inside)) return token;
  }
}

Token ContentWalk::paragraph() {
  const std::size_t inside = scanner_.depth();
  if (markup_) cell_.paragraphs.push_back({scanner_.begin(), 0, 0, 0, scanner_.closed()});
  // A number's text only shows it; an error stands nowhere else.
  const bool wanted = error_mark_ || (!has_string_ && !numeric(cell_.type));
  if (wanted) {
    if (cell_.has_text) text_ += '\n';
    if (!cell_.has_text) text_.clear();
  }
  cell_.has_text = true;
  for (;;) {
    Token token = scanner_.next();
    if (token == Token::text && wanted) scanner_.append_text(text_);
    if (token == Token::start) {
      switch (scanner_.name()) {
        case "text:s"_name:
          if (wanted) {
            const std::string count = scanner_.text_of("text:c"_name);
            text_.append(static_cast<std::size_t>(count.empty() ? 1 : count_of(count)), ' ');
          }
          break;
        case "text:tab"_name:
          if (wanted) text_ += '\t';
          break;
        case "text:line-break"_name:
          if (wanted) text_ += '\n';
          break;
        default:
          if (!inline_text(scanner_.name())) token = scanner_.skip();
      }
    }
    if (token == Token::failed) return token;
    if (token == Token::end && scanner_.depth() < inside) {
      if (markup_) cell_.paragraphs.back().end = scanner_.end();
      return token;
    }
  }
}

// --- Values.

Value ContentWalk::text_value() {
  if (text_.size() > kLongestShared) return Value(text_);
  const auto found = texts_.find(std::string_view(text_));
  if (found != texts_.end()) return found->second;
  return texts_.emplace(text_, Value(text_)).first->second;
}

// "#DIV/0!", "Err:502" in the shown text.
Value ContentWalk::error_value() const {
  const Code code = code_of(text_);
  if (code != Code::none) return code;
  std::uint16_t number = 0;
  if (text_.starts_with("Err:")) {
    std::from_chars(text_.data() + 4, text_.data() + text_.size(), number);
  }
  return number > 0 ? static_cast<Code>(number) : Code::value;
}

// What cannot be read must not count as 0.
Value ContentWalk::misread(std::string_view what) const {
  if (cell_.has_formula) return {};  // calculated anew
  if (!has_stored_)
    return Error(Code::value, fmt::format("the file gives no {} for the cell", what));
  return Error(Code::value, fmt::format("the file gives \"{}\" where a {} is due", stored_, what));
}

void ContentWalk::take_value() {
  std::optional<double> number;
  switch (cell_.type) {
    case ValueType::none:
      // Calc's own way to write the empty text as a result.
      cell_.value = cell_.has_text ? text_value() : Value();
      return;
    case ValueType::text:
      if (!cell_.has_text && !has_string_) text_.clear();
      if (error_mark_ && cell_.has_formula) {
        cell_.type = ValueType::error;
        cell_.value = error_value();
      } else {
        // As in Calc, a paragraph makes a text even where it is empty.
        const bool nothing = text_.empty() && !cell_.has_text && !cell_.has_formula;
        cell_.value = nothing ? Value() : text_value();
      }
      return;
    case ValueType::boolean: {
      const bool truth = has_stored_ && stored_ == "true";
      if (truth || (has_stored_ && stored_ == "false")) {
        number = truth ? 1 : 0;
      } else if (has_stored_) {
        number = read_number_value(stored_);
      }
      if (!number) break;
      cell_.value = Value::boolean(*number != 0);
      // As in Calc, only its format makes a constant a truth value.
      if (!cell_.has_formula && !boolean_style()) cell_.value = *number;
      return;
    }
    case ValueType::date:
      if (has_stored_) number = read_date(stored_, around_.settings.null_date);
      break;
    case ValueType::time:
      if (has_stored_) number = read_duration(stored_);
      break;
    default:
      if (has_stored_) number = read_number_value(stored_);
      break;
  }
  if (number) {
    cell_.value = *number;
  } else {
    const bool calendar = cell_.type == ValueType::date || cell_.type == ValueType::time;
    cell_.value = misread(calendar ? type_name(cell_.type) : "number");
  }
}

bool ContentWalk::boolean_style() const {
  std::string_view style = cell_.style;
  if (style.empty()) style = row_.style;
  if (style.empty()) style = column_style(cell_.column);
  const NumberStyle* format = around_.styles.of_cell(style);
  return format != nullptr && format->kind == NumberStyle::Kind::boolean;
}

// --- Settings and names.

Token ContentWalk::settings() {
  const std::size_t inside = scanner_.depth();
  sheet::Settings& out = around_.settings;
  for (const Attribute& a : scanner_.attributes()) {
    const std::string_view value = scanner_.value(a, scratch_);
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
  for (;;) {
    const Token token = scanner_.next();
    if (token == Token::start && scanner_.name() == "table:null-date"_name) {
      const auto date = read_date(scanner_.text_of("table:date-value"_name), 0);
      if (date) out.null_date = static_cast<std::int64_t>(*date);
    }
    if (token == Token::start && scanner_.name() == "table:iteration"_name) {
      out.iteration = scanner_.text_of("table:status"_name) == "enable";
      const std::string steps = scanner_.text_of("table:steps"_name);
      if (!steps.empty()) out.iteration_steps = count_of(steps);
      out.iteration_change = read_number_value(scanner_.text_of("table:maximum-difference"_name))
                                 .value_or(out.iteration_change);
    }
    if (token == Token::failed || (token == Token::end && scanner_.depth() < inside)) return token;
  }
}

Token ContentWalk::names(std::int32_t scope) {
  const std::size_t inside = scanner_.depth();
  for (;;) {
    const Token token = scanner_.next();
    const bool range = token == Token::start && scanner_.name() == "table:named-range"_name;
    if (range || (token == Token::start && scanner_.name() == "table:named-expression"_name)) {
      Surroundings::Name out;
      out.name.name = scanner_.text_of("table:name"_name);
      out.name.scope = scope;
      out.name.expression = range ? bracketed(scanner_.text_of("table:cell-range-address"_name))
                                  : plain_formula(scanner_.text_of("table:expression"_name));
      const std::string base = scanner_.text_of("table:base-cell-address"_name);
      const SheetAndRest parts = split_sheet(base);
      if (const auto cell = parse_cell(parts.rest)) out.name.base = *cell;
      out.base_sheet = parts.sheet;
      around_.names.push_back(std::move(out));
    }
    if (token == Token::failed || (token == Token::end && scanner_.depth() < inside)) return token;
  }
}

Token ContentWalk::databases() {
  const std::size_t inside = scanner_.depth();
  for (;;) {
    const Token token = scanner_.next();
    if (token == Token::start && scanner_.name() == "table:database-range"_name) {
      const std::string name = scanner_.text_of("table:name"_name);
      const std::string range = absolute_range(scanner_.text_of("table:target-range-address"_name));
      if (!name.empty() && !range.empty()) {
        around_.databases.push_back({name, -1, bracketed(range), {}});
      }
    }
    if (token == Token::failed || (token == Token::end && scanner_.depth() < inside)) return token;
  }
}

}  // namespace loftledger::ods
