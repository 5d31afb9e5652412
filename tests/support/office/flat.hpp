// Flat spreadsheets (.fods): writing small ones for a test, and reading the values of calculated
// ones.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "engine/base/value.hpp"

namespace loftledger::support {

// A document of sheets that are written cell by cell.
class FlatDocument {
 public:
  // Later cells go to this sheet.
  void sheet(std::string name);
  void value(std::int32_t row, std::int32_t column, Value value);
  // A day, "2020-01-31", in a cell that shows it as one.
  void date(std::int32_t row, std::int32_t column, std::string day);
  // In the stored form: "of:=SUM([.A1:.A3])".
  void formula(std::int32_t row, std::int32_t column, std::string text);
  // A formula whose result fills a rectangle.
  void array(std::int32_t row, std::int32_t column, std::int32_t rows, std::int32_t columns,
             std::string text);
  // A name for the whole document; the expression in the stored form, "[$Data.$A$1:.$B$2]".
  void name(std::string name, std::string expression);
  // How texts match; where it is not said, the file says nothing either, and the standard's
  // defaults hold.
  struct Matching {
    bool case_sensitive = true;
    bool regular_expressions = true;
    bool wildcards = false;
  };
  void matching(Matching matching) { matching_ = matching; }
  std::string xml() const;

 private:
  struct Cell {
    Value value;
    std::string day;
    std::string formula;
    std::int32_t rows = 0;
    std::int32_t columns = 0;
  };
  struct Sheet {
    std::string name;
    std::map<std::pair<std::int32_t, std::int32_t>, Cell> cells;
  };
  Sheet& current();
  std::vector<Sheet> sheets_;
  std::vector<std::pair<std::string, std::string>> names_;
  std::optional<Matching> matching_;
};

// "Sheet.A1" to what the cell shows, for every cell that is not empty.
using SheetCells = std::map<std::string, Value>;

// Reads the values of a flat spreadsheet; `problem` says what is wrong, empty where nothing is.
struct FlatCells {
  SheetCells cells;
  std::string problem;

  Value at(std::string_view sheet, std::int32_t row, std::int32_t column) const;
};
FlatCells read_flat(const std::string& path);

}  // namespace loftledger::support
