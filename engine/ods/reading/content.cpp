#include "engine/ods/reading/content.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "engine/ods/reading/addresses.hpp"

namespace loftledger::ods {

namespace {

using Token = Scanner::Token;

constexpr std::string_view kSpreadsheet = "application/vnd.oasis.opendocument.spreadsheet";

// A table that only holds what another document's cells contained when they were last read.
bool external_cache(std::string_view name) {
  return name.starts_with("file:///") || (name.starts_with('\'') && name.find("'#") != name.npos);
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
          token = read_settings(scanner_, around_.settings);
          break;
        case "table:named-expressions"_name:
          token = read_names(scanner_, -1, around_);
          break;
        case "table:database-ranges"_name:
          token = read_databases(scanner_, around_);
          break;
        default:
          token = scanner_.skip();
      }
    }
    if (token == Token::failed || (token == Token::end && scanner_.depth() < inside)) return token;
  }
}

// --- Sheets and rows.

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
          token = read_names(scanner_, sheets_, around_);
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

}  // namespace loftledger::ods
