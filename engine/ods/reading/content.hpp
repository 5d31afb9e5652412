// Walks through a document's content: sheets, rows and cells at their true addresses.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

#include "engine/base/result.hpp"
#include "engine/base/value.hpp"
#include "engine/ods/markup/xml.hpp"
#include "engine/ods/reading/office_value.hpp"
#include "engine/ods/reading/styles.hpp"
#include "engine/ods/reading/surroundings.hpp"
#include "engine/sheet/workbook.hpp"

namespace loftledger::ods {

// Where an element stands in the text. An element that closes itself has no content: content_end
// and end equal tag_end.
struct Place {
  std::uint64_t begin = 0;
  std::uint64_t tag_end = 0;      // behind its start tag
  std::uint64_t content_end = 0;  // before its end tag
  std::uint64_t end = 0;
  bool closed = false;
};

struct Row {
  std::int32_t first = 0;
  std::int32_t count = 1;
  Place place;
  std::string style;  // of cells without one
  bool hidden = false;
  bool filtered = false;  // hidden by a filter
};

struct Cell {
  std::int32_t column = 0;
  std::int32_t count = 1;
  bool covered = false;
  bool has_formula = false;
  bool has_text = false;         // a paragraph, be it empty
  std::int32_t matrix_rows = 0;  // of a formula that fills a rectangle
  std::int32_t matrix_columns = 0;
  ValueType type = ValueType::none;
  std::string formula;  // with "of:" for its own language
  std::string style;
  Value value;  // as the file gives it
  // For a walk with markup:
  Place place;
  std::vector<Attribute> attributes;
  std::vector<Place> paragraphs;
};

// Whoever wants to know what the walk meets.
class Visitor {
 public:
  virtual ~Visitor() = default;
  virtual void sheet(const std::string& name) = 0;
  virtual void row(const Row& row) = 0;
  // Valid for the call only.
  virtual void cell(const Row& row, const Cell& cell) = 0;
  // False ends the walk; problem() then says why.
  virtual bool row_end(const Row& row) = 0;
  // A child of the sheet that is no row begins; `after_rows` where the rows must be complete.
  virtual bool between(std::uint64_t begin, bool after_rows) = 0;
  // With the place of the sheet's own element.
  virtual bool sheet_end(const Place& place) = 0;
  virtual Error problem() const = 0;
};

class ContentWalk {
 public:
  // With markup, cells come with their attributes and their places.
  ContentWalk(Scanner& scanner, Visitor& visitor, Surroundings& surroundings, bool markup)
      : scanner_(scanner), visitor_(visitor), around_(surroundings), markup_(markup) {}

  // From the first token of the document to its end.
  Outcome walk();

  // The style of a cell without one of its own or its row's.
  std::string_view column_style(std::int32_t column) const;

 private:
  using Token = Scanner::Token;

  Token failed(std::string sentence);
  Token stopped();
  Token document();
  Token body();
  Token spreadsheet();
  Token table();
  Token row();
  Token cell();
  Token cell_content();
  Token paragraph();
  void cell_attributes();
  void finish_cell();
  void take_formula(std::string_view text);
  void take_value();
  Value text_value();
  Value error_value() const;
  Value misread(std::string_view what) const;
  bool boolean_style() const;
  void columns();

  Scanner& scanner_;
  Visitor& visitor_;
  Surroundings& around_;
  bool markup_;
  Error error_;

  std::int32_t sheets_ = 0;
  std::string sheet_;
  Row row_;
  std::int32_t next_row_ = 0;
  Cell cell_;
  std::int32_t next_column_ = 0;
  struct ColumnStyle {
    std::int32_t end;
    std::string style;
  };
  std::vector<ColumnStyle> column_styles_;

  // Of the cell at hand.
  std::string stored_;  // the value as the file writes it
  bool has_stored_ = false;
  bool has_string_ = false;
  bool error_mark_ = false;
  std::string text_;
  std::string scratch_;

  struct Hash {
    using is_transparent = void;
    std::size_t operator()(std::string_view text) const {
      return std::hash<std::string_view>{}(text);
    }
  };
  // Equal texts are held once.
  std::unordered_map<std::string, Value, Hash, std::equal_to<>> texts_;
};

}  // namespace loftledger::ods
