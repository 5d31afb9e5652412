#include "engine/planning/order_charges.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "engine/base/number_text.hpp"

namespace loftledger::planning {

namespace {

using catalogue::refuse;
using catalogue::Table;

constexpr double kMostFrom = 1e9;

struct Row {
  std::int64_t from = 1;
  std::vector<double> charges;
};

bool is_heading(const Matrix& m) {
  bool text = false;
  for (std::size_t c = 0; c < m.columns(); ++c) {
    if (m.at(0, c).is_numeric()) return false;
    text |= m.at(0, c).is_text();
  }
  return text;
}

bool is_blank_row(const Matrix& m, std::size_t row) {
  for (std::size_t c = 0; c < m.columns(); ++c) {
    if (!m.at(row, c).is_empty()) return false;
  }
  return true;
}

// One step table: "from cases", then the charges.
Result<std::vector<Row>> read_rows(const Matrix& m, int index, std::string_view name) {
  std::vector<Row> rows;
  for (std::size_t r = is_heading(m) ? 1 : 0; r < m.rows(); ++r) {
    if (is_blank_row(m, r)) continue;
    Row row;
    for (std::size_t c = 0; c < m.columns(); ++c) {
      const Value& cell = m.at(r, c);
      const std::string place = fmt::format("{} in row {}, column {}", name, r + 1, c + 1);
      if (cell.is_empty()) return refuse(index, place + " is empty; it must be a number");
      if (!cell.is_numeric()) {
        return refuse(index,
                      fmt::format("{} is \"{}\"; it must be a bare number", place, cell.text()));
      }
      const double number = cell.number();
      if (!(number >= 0) || !std::isfinite(number)) {
        return refuse(index,
                      fmt::format("{} is {}; it must be 0 or more", place, plain_number(number)));
      }
      if (c > 0) {
        row.charges.push_back(number);
        continue;
      }
      if (number != std::floor(number) || number > kMostFrom) {
        return refuse(index, fmt::format("{} is {}; it must be a whole number of cases, {} at most",
                                         place, plain_number(number), plain_number(kMostFrom)));
      }
      row.from = std::max<std::int64_t>(1, static_cast<std::int64_t>(number));
      if (!rows.empty() && row.from <= rows.back().from) {
        return refuse(index, fmt::format("{} is {}; it must be more than the {} of the row above",
                                         place, row.from, rows.back().from));
      }
    }
    rows.push_back(std::move(row));
  }
  if (rows.empty()) return refuse(index, fmt::format("{} has no number in it", name));
  return rows;
}

Result<std::vector<Row>> price_rows(const std::optional<Table>& table, int index) {
  if (!table) return std::vector<Row>{{1, {0.0}}};
  const Matrix& m = table->cells;
  if (m.size() == 1 && m.cells()[0].is_numeric()) {
    const double price = m.cells()[0].number();
    if (!(price >= 0)) {
      return refuse(index,
                    fmt::format("price table is {}; it must be 0 or more", plain_number(price)));
    }
    return std::vector<Row>{{1, {price}}};
  }
  if (m.columns() != 2) {
    return refuse(index, fmt::format("price table needs two columns, from cases and price a case; "
                                     "it has {}",
                                     m.columns()));
  }
  return read_rows(m, index, "price table");
}

Result<std::vector<Row>> freight_rows(const std::optional<Table>& table, int index) {
  if (!table) return std::vector<Row>{{1, {0.0, 0.0}}};
  const Matrix& m = table->cells;
  if (m.columns() != 2 && m.columns() != 3) {
    return refuse(index, fmt::format("freight table needs two or three columns, from cases, charge "
                                     "an order, and charge a case where there is one; it has {}",
                                     m.columns()));
  }
  Result<std::vector<Row>> rows = read_rows(m, index, "freight table");
  if (rows) {
    for (Row& row : *rows) row.charges.resize(2, 0.0);
  }
  return rows;
}

const Row& row_at(const std::vector<Row>& rows, std::int64_t cases) {
  const Row* found = &rows.front();
  for (const Row& row : rows) {
    if (row.from <= cases) found = &row;
  }
  return *found;
}

}  // namespace

Result<std::vector<ChargeStep>> read_charges(const std::optional<Table>& prices, int price_index,
                                             const std::optional<Table>& freight,
                                             int freight_index) {
  Result<std::vector<Row>> price = price_rows(prices, price_index);
  if (!price) return std::move(price).error();
  Result<std::vector<Row>> carriage = freight_rows(freight, freight_index);
  if (!carriage) return std::move(carriage).error();

  std::vector<std::int64_t> starts;
  const std::int64_t smallest = std::max(price->front().from, carriage->front().from);
  for (const std::vector<Row>* rows : {&*price, &*carriage}) {
    for (const Row& row : *rows) starts.push_back(std::max(smallest, row.from));
  }
  std::sort(starts.begin(), starts.end());
  starts.erase(std::unique(starts.begin(), starts.end()), starts.end());

  std::vector<ChargeStep> steps;
  for (std::int64_t start : starts) {
    if (!steps.empty()) steps.back().last = start - 1;
    const Row& freight_row = row_at(*carriage, start);
    steps.push_back({start, kNoLastCase, row_at(*price, start).charges[0], freight_row.charges[0],
                     freight_row.charges[1]});
  }
  return steps;
}

}  // namespace loftledger::planning
