#include "tests/support/tables/tables.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <fstream>

#include "engine/base/number_text.hpp"
#include "tests/support/tables/call_reader.hpp"

namespace loftledger::support {

namespace {

// How far a check value was verified; a row names one or several, parted by "; ".
constexpr std::string_view kStatuses[] = {
    "opened",        // the document or data file was opened and the number read there
    "excerpt",       // the number was seen in an excerpt
    "recomputed",    // computed independently with another program
    "from memory",   // a published value remembered
    "derived here",  // no published example: a regression check
    "common practice, no source",
};

std::vector<std::string> split(std::string_view text, std::string_view mark) {
  std::vector<std::string> out;
  while (true) {
    const std::size_t at = text.find(mark);
    out.emplace_back(text.substr(0, at));
    if (at == text.npos) return out;
    text.remove_prefix(at + mark.size());
  }
}

std::string shown_value(const Value& value) {
  if (value.is_error()) return fmt::format("{} ({})", shown(value.code()), value.error().text());
  if (value.is_text()) return fmt::format("\"{}\"", value.text());
  if (value.is_boolean()) return value.number() != 0 ? "TRUE" : "FALSE";
  if (value.is_empty()) return "empty";
  return number_text(value.number());
}

std::optional<std::string> wrong_number(const Value& got, double expected, double tolerance) {
  if (got.kind() != Value::Kind::number) {
    return fmt::format("gives {}, not the number {}", shown_value(got), expected);
  }
  const double scale = expected == 0 ? 1 : std::abs(expected);
  const double off = std::abs(got.number() - expected) / scale;
  if (off <= tolerance) return std::nullopt;
  return fmt::format("gives {}, not {}: off by {:.3g}, tolerance {}", number_text(got.number()),
                     number_text(expected), off, tolerance);
}

}  // namespace

TextTable read_table(const std::filesystem::path& file, const std::vector<std::string>& header,
                     std::string& problem) {
  TextTable out;
  out.name = file.stem().string();
  std::ifstream in(file);
  std::string line;
  std::size_t count = 0;
  while (std::getline(in, line)) {
    ++count;
    if (line.empty() || line[0] == '#') continue;
    std::vector<std::string> fields = split(line, "\t");
    if (fields.size() != header.size()) {
      problem += fmt::format("{}:{}: {} fields, {} are due\n", file.filename().string(), count,
                             fields.size(), header.size());
    } else if (out.header.empty()) {
      out.header = std::move(fields);
    } else {
      out.rows.push_back({count, std::move(fields)});
    }
  }
  if (out.header != header) {
    problem += fmt::format("{}: the header is not the one due\n", file.filename().string());
  }
  return out;
}

std::vector<std::filesystem::path> table_files(std::string_view folder) {
  std::vector<std::filesystem::path> out;
  const auto place = std::filesystem::path(LOFTLEDGER_SOURCE) / "tests" / "data" / folder;
  for (const auto& each : std::filesystem::directory_iterator(place)) {
    if (each.path().extension() == ".tsv") out.push_back(each.path());
  }
  std::sort(out.begin(), out.end());
  return out;
}

std::optional<std::string> check_published(const Row& row) {
  const std::string& formula = row.fields[1];
  const std::string& expected = row.fields[2];
  if (row.fields[0].empty() || row.fields[4].empty()) return "has no id or no source";
  for (const std::string& status : split(row.fields[5], "; ")) {
    if (std::find(std::begin(kStatuses), std::end(kStatuses), status) == std::end(kStatuses)) {
      return fmt::format("\"{}\" is no status", status);
    }
  }
  const std::optional<double> tolerance = read_number(row.fields[3]);
  if (!tolerance || *tolerance < 0 || *tolerance > 0.5) return "has no sensible tolerance";
  Result<Value> got = evaluate_one(formula);
  if (!got) return std::string(got.error().text());
  if (expected.size() >= 2 && expected.front() == '"' && expected.back() == '"') {
    if (got->is_text() && got->text() == expected.substr(1, expected.size() - 2)) {
      return std::nullopt;
    }
    return fmt::format("gives {}, not {}", shown_value(*got), expected);
  }
  if (expected == "TRUE" || expected == "FALSE") {
    if (got->is_boolean() && (got->number() != 0) == (expected == "TRUE")) return std::nullopt;
    return fmt::format("gives {}, not {}", shown_value(*got), expected);
  }
  const std::optional<double> number = read_number(expected);
  if (!number) return fmt::format("{} is no expected value", expected);
  return wrong_number(*got, *number, *tolerance);
}

std::optional<std::string> check_refusal(const Row& row) {
  const std::string& formula = row.fields[0];
  Result<Value> got = evaluate_one(formula);
  if (!got) return std::string(got.error().text());
  if (!got->is_error()) return fmt::format("gives {}, no error", shown_value(*got));
  const Error error = got->error();
  const std::string sentence(error.text());
  if (shown(error.code) != row.fields[1]) {
    return fmt::format("gives {}, not {}", shown_value(*got), row.fields[1]);
  }
  const catalogue::Function* function = outer_function(formula);
  if (function == nullptr) return "calls no planning function";
  if (!sentence.starts_with(fmt::format("{}: ", function->record.name))) {
    return fmt::format("\"{}\" does not name the function", sentence);
  }
  if (error.argument >= 0) {
    const auto index = static_cast<std::size_t>(error.argument);
    if (index >= function->parameters.size()) return "blames an argument that there is not";
    if (sentence.find(function->parameters[index].name) == sentence.npos) {
      return fmt::format("\"{}\" does not name {}", sentence, function->parameters[index].name);
    }
  }
  if (row.fields[2].empty() || sentence.find(row.fields[2]) == sentence.npos) {
    return fmt::format("\"{}\" does not say \"{}\"", sentence, row.fields[2]);
  }
  return std::nullopt;
}

}  // namespace loftledger::support
