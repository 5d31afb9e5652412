#include "engine/planning/orders/order_charges.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "engine/base/number_text.hpp"

namespace loftledger::planning {

namespace {

using catalogue::refuse;
using catalogue::TableRow;

constexpr double kMostFrom = 1e9;

struct Row {
  std::int64_t from = 1;
  std::vector<double> charges;
};

// "from cases", then the charges, of which the first `due` must be there.
Result<std::vector<Row>> read_rows(const std::vector<TableRow>& table, std::size_t due, int index,
                                   std::string_view name) {
  std::vector<Row> rows;
  for (const TableRow& given : table) {
    const std::string place = fmt::format("{} in row {}", name, given.number);
    for (std::size_t c = 0; c < given.cells.size(); ++c) {
      if (!given.cells[c] && c <= due) {
        return refuse(index,
                      fmt::format("{}: column {} is empty; it must be a number", place, c + 1));
      }
      if (given.cells[c].value_or(0) < 0) {
        return refuse(index, fmt::format("{}: column {} is {}; it must be 0 or more", place, c + 1,
                                         plain_number(*given.cells[c])));
      }
    }
    const double from = *given.cells[0];
    if (from != std::floor(from) || from > kMostFrom) {
      return refuse(index, fmt::format("{}: {} must be a whole number of cases, {} at most", place,
                                       plain_number(from), plain_number(kMostFrom)));
    }
    Row row{std::max<std::int64_t>(1, static_cast<std::int64_t>(from)), {}};
    if (!rows.empty() && row.from <= rows.back().from) {
      return refuse(index, fmt::format("{}: {} must be more than the {} of the row above", place,
                                       row.from, rows.back().from));
    }
    for (std::size_t c = 1; c < given.cells.size(); ++c) {
      row.charges.push_back(given.cells[c].value_or(0));
    }
    rows.push_back(std::move(row));
  }
  return rows;
}

Result<std::vector<Row>> price_rows(const std::optional<PriceTable>& table, int index) {
  if (!table) return std::vector<Row>{{1, {0.0}}};
  const TableRow& first = table->rows.front();
  if (table->rows.size() == 1 && first.cells[0] && !first.cells[1]) {
    const double price = *first.cells[0];
    if (price < 0) {
      return refuse(index,
                    fmt::format("price table is {}; it must be 0 or more", plain_number(price)));
    }
    return std::vector<Row>{{1, {price}}};
  }
  return read_rows(table->rows, 1, index, "price table");
}

Result<std::vector<Row>> freight_rows(const std::optional<FreightTable>& table, int index) {
  if (!table) return std::vector<Row>{{1, {0.0, 0.0}}};
  return read_rows(table->rows, 1, index, "freight table");
}

const Row& row_at(const std::vector<Row>& rows, std::int64_t cases) {
  const Row* found = &rows.front();
  for (const Row& row : rows) {
    if (row.from <= cases) found = &row;
  }
  return *found;
}

}  // namespace

Result<std::vector<ChargeStep>> read_charges(const std::optional<PriceTable>& prices,
                                             int price_index,
                                             const std::optional<FreightTable>& freight,
                                             int freight_index) {
  const Result<std::vector<Row>> price = price_rows(prices, price_index);
  if (!price) return price.error();
  const Result<std::vector<Row>> carriage = freight_rows(freight, freight_index);
  if (!carriage) return carriage.error();

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
