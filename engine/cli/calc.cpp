// loftledger calc: a workbook calculated anew.
#include <fmt/format.h>

#include <algorithm>
#include <memory>

#include "engine/base/csv.hpp"
#include "engine/base/number_text.hpp"
#include "engine/cli/commands.hpp"
#include "engine/cli/json.hpp"
#include "engine/cli/table.hpp"

namespace loftledger::cli {

namespace {

struct Wish {
  std::string book;
  std::vector<std::string> settings;
  std::vector<std::string> cells;
  std::string format = "table";
  std::string output;
};

struct AskedCell {
  std::string address;
  Value value;
};

Json named_json(const NamedCells& named) {
  if (named.values.size() == 1) return plain(named.values.cells()[0]);
  Json rows = Json::array();
  for (std::size_t r = 0; r < named.values.rows(); ++r) {
    Json row = Json::array();
    for (std::size_t c = 0; c < named.values.columns(); ++c) {
      row.push_back(plain(named.values.at(r, c)));
    }
    rows.push_back(std::move(row));
  }
  return rows;
}

void print_json(const Book& book, const std::vector<AskedCell>& cells) {
  Json out = {{"results", Json::object()}, {"cells", Json::object()}, {"errors", Json::array()}};
  for (const NamedCells& named : book.results()) out["results"][named.name] = named_json(named);
  for (const AskedCell& cell : cells) out["cells"][cell.address] = typed(cell.value);
  for (const BookError& error : book.errors()) {
    out["errors"].push_back(
        {{"cell", error.cell}, {"error", shown(error.error.code)}, {"sentence", error.sentence}});
  }
  fmt::print("{}\n", print(out));
}

// A few values one behind the other; of many the first, and how many there are.
std::string shown_values(const NamedCells& named) {
  constexpr std::size_t kMost = 8;
  const auto& values = named.values;
  const bool line = values.rows() == 1 || values.columns() == 1;
  if (!line || values.size() > kMost) {
    return fmt::format("{} … ({} x {})", words(values.cells()[0]), values.rows(), values.columns());
  }
  std::string out;
  for (const Value& value : values.cells()) {
    if (!out.empty()) out += " | ";
    out += words(value);
  }
  return out;
}

// A table a sheet, under its name.
void print_results(const Book& book) {
  std::vector<std::pair<std::string, Table>> tables;
  for (const NamedCells& named : book.results()) {
    if (tables.empty() || tables.back().first != named.sheet) {
      tables.emplace_back(named.sheet, Table({"result", "value", "unit", "name"}));
    }
    tables.back().second.add({named.label, shown_values(named), named.unit, named.name});
  }
  for (std::size_t i = 0; i < tables.size(); ++i) {
    fmt::print("{}{}\n{}", i == 0 ? "" : "\n", tables[i].first, tables[i].second.text());
  }
}

void print_table(const Book& book, const std::vector<AskedCell>& cells) {
  if (!cells.empty()) {
    Table table({"cell", "value"});
    for (const AskedCell& cell : cells) table.add({cell.address, words(cell.value)});
    fmt::print("{}", table.text());
  } else {
    print_results(book);
  }
  for (const BookError& error : book.errors()) {
    fmt::print("{} shows {}: {}\n", error.cell, shown(error.error.code), error.sentence);
  }
}

void print_csv(const Book& book, const std::vector<AskedCell>& cells) {
  if (!cells.empty()) {
    fmt::print("cell,value\r\n");
    for (const AskedCell& cell : cells) {
      fmt::print("{},{}\r\n", csv_field(cell.address), csv_field(full_words(cell.value)));
    }
    return;
  }
  fmt::print("name,cell,value,unit\r\n");
  for (const NamedCells& named : book.results()) {
    for (std::size_t r = 0; r < named.values.rows(); ++r) {
      for (std::size_t c = 0; c < named.values.columns(); ++c) {
        const std::string cell =
            fmt::format("{}.{}", quoted_sheet(named.sheet),
                        cell_name(named.first.row + static_cast<std::int32_t>(r),
                                  named.first.column + static_cast<std::int32_t>(c)));
        fmt::print("{},{},{},{}\r\n", csv_field(named.name), csv_field(cell),
                   csv_field(full_words(named.values.at(r, c))), csv_field(named.unit));
      }
    }
  }
}

int calculate(const Wish& wish) {
  Result<Book> book = Book::open(wish.book, moment());
  if (!book) return complain(book.error().text());
  for (const std::string& remark : book->remarks()) fmt::print(stderr, "loftledger: {}\n", remark);
  for (const std::string& setting : wish.settings) {
    const std::size_t equals = setting.find('=');
    if (equals == std::string::npos || equals == 0) {
      return complain(fmt::format("--set {}: it is written NAME=VALUE", setting));
    }
    const Outcome done = book->set(std::string_view(setting).substr(0, equals),
                                   std::string_view(setting).substr(equals + 1));
    if (!done) return complain(fmt::format("--set {}: {}", setting, done.error().text()));
  }
  book->recalculate();
  std::vector<AskedCell> cells;
  for (const std::string& address : wish.cells) {
    Result<Value> value = book->cell(address);
    if (!value) return complain(fmt::format("--cell {}: {}", address, value.error().text()));
    cells.push_back({address, *std::move(value)});
  }
  if (!wish.output.empty()) {
    const Outcome saved = book->save(wish.output);
    if (!saved) return complain(saved.error().text());
  }
  if (wish.format == "json") {
    print_json(*book, cells);
  } else if (wish.format == "csv") {
    print_csv(*book, cells);
  } else {
    print_table(*book, cells);
  }
  return kFine;
}

}  // namespace

void add_calc(CLI::App& app, std::function<int()>& run) {
  auto wish = std::make_shared<Wish>();
  CLI::App* command = app.add_subcommand(
      "calc", "Calculate a workbook (.ods, .ots, .fods) and print its named results");
  command->add_option("BOOK", wish->book, "the workbook")->required();
  command
      ->add_option("--set", wish->settings,
                   "NAME=VALUE: set a named input, or a cell such as Plan.B7, first")
      ->allow_extra_args(false);
  command->add_option("--cell", wish->cells, "print this cell, such as Plan.B7")
      ->allow_extra_args(false);
  command->add_option("--format", wish->format, "table, json or csv")
      ->check(CLI::IsMember({"table", "json", "csv"}));
  command->add_option("-o,--output", wish->output,
                      "write the calculated workbook: .ods, .ots, .fods, or .csv for its first "
                      "sheet");
  command->callback([wish, &run] { run = [wish] { return calculate(*wish); }; });
}

}  // namespace loftledger::cli
