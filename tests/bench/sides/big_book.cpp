#include "tests/bench/sides/big_book.hpp"

#include <algorithm>
#include <cmath>

#include "engine/format/rounding.hpp"
#include "engine/standard/values/arithmetic.hpp"
#include "tests/bench/sides/plain_loops.hpp"

namespace loftledger::bench {

namespace {

// % stands for the row's number.
constexpr std::string_view kFormulas[kFormulaColumns] = {
    "[.A%]*[.$J$1]+1",       "IF([.B%]>500;[.B%]-500;[.B%])",
    "ROUND([.C%]/3;2)",      "MAX([.C%];[.D%])",
    "SUM([.B%:.D%])",        "[.F%]-[.E%]*0.5",
    "IF([.G%]<0;0;[.G%]/2)", "[.H%]+[.B%]",
};

constexpr std::string_view kHead =
    R"(<?xml version="1.0" encoding="UTF-8"?>
<office:document xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0" xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0" xmlns:of="urn:oasis:names:tc:opendocument:xmlns:of:1.2" office:version="1.3" office:mimetype="application/vnd.oasis.opendocument.spreadsheet"><office:body><office:spreadsheet><table:table table:name="S">
)";
constexpr std::string_view kFoot =
    "</table:table></office:spreadsheet></office:body></office:document>\n";

}  // namespace

double input(std::int32_t row) {
  return static_cast<double>(std::int64_t{row} * 37 % 100000) / 100;
}

std::string numbered(std::string_view pattern, std::int32_t row) {
  std::string out;
  for (const char c : pattern) out += c == '%' ? std::to_string(row + 1) : std::string(1, c);
  return out;
}

std::string formula(std::int32_t row, std::int32_t column) {
  return numbered(kFormulas[column - 1], row);
}

FlatWriter::FlatWriter(const std::filesystem::path& file) : out_(file) { out_ << kHead; }

FlatWriter::~FlatWriter() { out_ << kFoot; }

void FlatWriter::begin_row() { out_ << "<table:table-row>"; }

void FlatWriter::number(double value) {
  out_ << R"(<table:table-cell office:value-type="float" office:value=")" << std::to_string(value)
       << R"("/>)";
}

void FlatWriter::formula(std::string_view text) {
  out_ << R"(<table:table-cell table:formula="of:=)";
  for (const char c : text) {
    if (c == '<') {
      out_ << "&lt;";
    } else {
      out_ << c;
    }
  }
  out_ << R"("/>)";
}

void FlatWriter::end_row() { out_ << "</table:table-row>\n"; }

void fill(sheet::Workbook& workbook, std::int32_t rows) {
  workbook.add_sheet("S");
  sheet::Sheet& sheet = workbook.sheet(0);
  sheet.set(0, kFactorColumn, kFactor);
  for (std::int32_t row = 0; row < rows; ++row) {
    sheet.set(row, 0, input(row));
    for (std::int32_t c = 1; c <= kFormulaColumns; ++c) {
      sheet.set_formula(row, c, workbook.intern(formula(row, c), {0, row, c}));
    }
  }
}

void write_flat(const std::filesystem::path& file, std::int32_t rows) {
  FlatWriter out(file);
  for (std::int32_t row = 0; row < rows; ++row) {
    out.begin_row();
    out.number(input(row));
    for (std::int32_t c = 1; c <= kFormulaColumns; ++c) out.formula(formula(row, c));
    if (row == 0) out.number(kFactor);
    out.end_row();
  }
}

ByHand::ByHand(std::int32_t rows) {
  for (std::vector<double>& column : columns_) column.resize(static_cast<std::size_t>(rows));
  for (std::int32_t row = 0; row < rows; ++row) {
    columns_[0][static_cast<std::size_t>(row)] = input(row);
  }
}

void ByHand::run(double factor) { plain_loops(columns_, factor); }

void ByHand::run_at_best(double factor) { plain_loops_at_best(columns_, factor); }

void ByHand::run_exactly(double factor) {
  using standard::forgiving_difference;
  using standard::forgiving_sum;
  auto& [a, b, c, d, e, f, g, h, i] = columns_;
  const std::size_t rows = a.size();
  for (std::size_t r = 0; r < rows; ++r) b[r] = forgiving_sum(a[r] * factor, 1);
  for (std::size_t r = 0; r < rows; ++r) {
    c[r] =
        b[r] > 500 && !standard::nearly_equal(b[r], 500) ? forgiving_difference(b[r], 500) : b[r];
  }
  for (std::size_t r = 0; r < rows; ++r) d[r] = round_as_seen(c[r] / 3, 2);
  for (std::size_t r = 0; r < rows; ++r) e[r] = std::max(c[r], d[r]);
  for (std::size_t r = 0; r < rows; ++r) {
    standard::ExactSum sum;
    sum.add(b[r]);
    sum.add(c[r]);
    sum.add(d[r]);
    f[r] = sum.value();
  }
  for (std::size_t r = 0; r < rows; ++r) g[r] = forgiving_difference(f[r], e[r] * 0.5);
  for (std::size_t r = 0; r < rows; ++r) {
    h[r] = g[r] < 0 && !standard::nearly_equal(g[r], 0) ? 0 : g[r] / 2;
  }
  for (std::size_t r = 0; r < rows; ++r) i[r] = forgiving_sum(h[r], b[r]);
}

}  // namespace loftledger::bench
