// The cells of a walk: what their attributes and paragraphs say, and the values in them.
#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <optional>

#include "engine/ods/reading/addresses.hpp"
#include "engine/ods/reading/content.hpp"

namespace loftledger::ods {

namespace {

using Token = Scanner::Token;

constexpr std::size_t kLongestShared = 200;  // bytes of a text that is worth looking up

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

}  // namespace

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

}  // namespace loftledger::ods
