#include "tests/support/documents/masked.hpp"

#include <expat.h>

#include <algorithm>
#include <cstdlib>

namespace loftledger::support {

namespace {

constexpr std::string_view kBlanks = " \t\r\n";

// Of attributes that hold a cell's value.
bool holds_value(std::string_view qualified) {
  static constexpr std::string_view kNames[] = {
      "office:value-type", "office:value",         "office:string-value", "office:date-value",
      "office:time-value", "office:boolean-value", "office:currency",     "calcext:value-type"};
  return std::find(std::begin(kNames), std::end(kNames), qualified) != std::end(kNames);
}
bool holds_formula(std::string_view qualified) {
  return qualified == "table:formula" || qualified == "table:number-matrix-rows-spanned" ||
         qualified == "table:number-matrix-columns-spanned";
}

struct Cut {
  std::size_t begin;
  std::size_t end;
  std::string instead;
};

// Reads the documents of these tests, which bind the usual prefixes.
class Masker {
 public:
  Masker(std::string_view text, const std::set<CellAddress>& set) : text_(text), set_(set) {}

  Masked run() {
    Masked out;
    parser_ = XML_ParserCreate(nullptr);
    XML_SetUserData(parser_, this);
    XML_SetElementHandler(
        parser_,
        [](void* self, const char* name, const char** attributes) {
          static_cast<Masker*>(self)->start(name, attributes);
        },
        [](void* self, const char* name) { static_cast<Masker*>(self)->end(name); });
    XML_SetCharacterDataHandler(parser_, [](void* self, const char* text, int size) {
      static_cast<Masker*>(self)->characters({text, static_cast<std::size_t>(size)});
    });
    out.well_formed =
        XML_Parse(parser_, text_.data(), static_cast<int>(text_.size()), 1) == XML_STATUS_OK;
    XML_ParserFree(parser_);
    if (!out.well_formed) return out;
    std::size_t copied = 0;
    for (const Cut& cut : cuts_) {
      out.text += text_.substr(copied, cut.begin - copied);
      out.text += cut.instead;
      copied = cut.end;
    }
    out.text += text_.substr(copied);
    out.cells = std::move(cells_);
    return out;
  }

 private:
  std::size_t here() const { return static_cast<std::size_t>(XML_GetCurrentByteIndex(parser_)); }
  std::size_t behind() const {
    return here() + static_cast<std::size_t>(XML_GetCurrentByteCount(parser_));
  }
  bool in_sheet() const { return documents_ <= 1 && sheet_depth_ > 0; }

  static std::int32_t count(const char** attributes, std::string_view name) {
    for (; *attributes != nullptr; attributes += 2) {
      if (name == attributes[0]) return std::max(1, std::atoi(attributes[1]));
    }
    return 1;
  }
  static bool has(const char** attributes, std::string_view name) {
    for (; *attributes != nullptr; attributes += 2) {
      if (name == attributes[0]) return true;
    }
    return false;
  }

  void start(std::string_view name, const char** attributes) {
    ++depth_;
    const bool inner = cell_depth_ > 0;
    if (name.starts_with("office:document")) ++documents_;
    if (name == "table:table" && !inner && documents_ <= 1 &&
        parents_.back() == "office:spreadsheet") {
      ++sheet_;
      sheet_depth_ = depth_;
      row_ = 0;
    } else if (name == "table:table-row" && !inner && in_sheet()) {
      rows_ = count(attributes, "table:number-rows-repeated");
      column_ = 0;
    } else if ((name == "table:table-cell" || name == "table:covered-table-cell") && !inner &&
               in_sheet()) {
      cell(attributes);
    } else if (name == "text:p" && masks_ && depth_ == cell_depth_ + 1) {
      paragraph_ = here();
    }
    parents_.emplace_back(name);
  }

  void cell(const char** attributes) {
    const CellAddress address{sheet_, row_, column_};
    const std::int32_t columns = count(attributes, "table:number-columns-repeated");
    const bool formula = has(attributes, "table:formula");
    const bool is_set = set_.contains(address);
    column_ += columns;
    cell_depth_ = depth_;
    if (formula) {
      matrices_.push_back(
          {sheet_, row_, row_ + count(attributes, "table:number-matrix-rows-spanned"),
           address.column,
           address.column + count(attributes, "table:number-matrix-columns-spanned")});
    }
    if (columns == 1 && rows_ == 1) {
      const bool fills = has(attributes, "table:number-matrix-rows-spanned");
      cells_.push_back({address, formula, fills || (!formula && in_matrix(address))});
    }
    masks_ = formula || is_set || in_matrix(address);
    if (masks_) tag(is_set);
  }

  // Its results stand in cells without a formula.
  bool in_matrix(const CellAddress& a) const {
    return std::any_of(matrices_.begin(), matrices_.end(), [&a](const Matrix& m) {
      return m.sheet == a.sheet && a.row >= m.row && a.row < m.row_end && a.column >= m.column &&
             a.column < m.column_end;
    });
  }

  void tag(bool without_formula) {
    const std::size_t last = behind();
    std::size_t at = text_.find_first_of(" \t\r\n/>", here());
    const std::string_view name = text_.substr(here() + 1, at - here() - 1);
    for (;;) {
      const std::size_t blanks = at;
      at = text_.find_first_not_of(kBlanks, at);
      if (text_[at] == '/' || text_[at] == '>') break;
      const std::size_t equals = text_.find('=', at);
      const std::size_t quote = text_.find_first_of("\"'", equals);
      const std::size_t end = text_.find(text_[quote], quote + 1) + 1;
      std::string_view qualified = text_.substr(at, equals - at);
      qualified = qualified.substr(0, qualified.find_last_not_of(kBlanks) + 1);
      if (holds_value(qualified) || (without_formula && holds_formula(qualified))) {
        cuts_.push_back({blanks, end, ""});
      }
      at = end;
    }
    if (text_[last - 2] == '/') cuts_.push_back({last - 2, last, "></" + std::string(name) + ">"});
  }

  void end(std::string_view name) {
    parents_.pop_back();
    if (paragraph_ > 0 && depth_ == cell_depth_ + 1) {
      cuts_.push_back({paragraph_, std::max(behind(), here()), ""});
      paragraph_ = 0;
    }
    if (depth_ == cell_depth_) {
      cell_depth_ = 0;
      masks_ = false;
    }
    if (name == "table:table-row" && cell_depth_ == 0 && in_sheet()) row_ += rows_;
    if (depth_ == sheet_depth_) sheet_depth_ = 0;
    if (name.starts_with("office:document")) --documents_;
    --depth_;
  }

  // White space between a cell's children.
  void characters(std::string_view text) {
    if (!masks_ || depth_ != cell_depth_ || paragraph_ > 0) return;
    if (text.find_first_not_of(kBlanks) == text.npos) cuts_.push_back({here(), behind(), ""});
  }

  std::string_view text_;
  const std::set<CellAddress>& set_;
  XML_Parser parser_ = nullptr;
  std::vector<Cut> cuts_;
  std::vector<MaskedCell> cells_;
  struct Matrix {
    std::int32_t sheet, row, row_end, column, column_end;
  };
  std::vector<Matrix> matrices_;
  std::vector<std::string> parents_ = {""};
  int depth_ = 0;
  int documents_ = 0;
  int sheet_depth_ = 0;
  int cell_depth_ = 0;
  std::int32_t sheet_ = -1;
  std::int32_t row_ = 0;
  std::int32_t rows_ = 1;
  std::int32_t column_ = 0;
  bool masks_ = false;
  std::size_t paragraph_ = 0;
};

}  // namespace

Masked masked(std::string_view text, const std::set<CellAddress>& set) {
  return Masker(text, set).run();
}

}  // namespace loftledger::support
