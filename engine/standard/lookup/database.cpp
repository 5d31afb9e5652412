// Totals of the records of a table that meet criteria (OpenFormula 6.9).
#include <cmath>
#include <cstddef>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "engine/standard/call/criteria.hpp"
#include "engine/standard/lookup/functions.hpp"
#include "engine/standard/values/arithmetic.hpp"
#include "engine/standard/values/collation.hpp"

namespace loftledger::standard {

namespace {

struct Condition {
  std::size_t column = 0;
  Criterion criterion;
  bool impossible = false;

  // A field without content and one that holds "" are the same to a pattern and to "=" and "<>".
  bool meets(const Value& field) const {
    if (impossible) return false;
    if (criterion.is_pattern() && field.is_empty()) return criterion.matches(Value(""));
    if (criterion.asks_for_content() && field.is_text() && field.text().empty()) {
      return criterion.matches(Value());
    }
    return criterion.matches(field);
  }
};
// A record must meet all conditions of one row, in any row.
using Conditions = std::vector<std::vector<Condition>>;

// What a heading says; of an array the office reads the texts alone, and errors.
std::string heading(Call& call, const Value& value, bool in_array, bool errors_show) {
  if (value.is_error() && errors_show) call.fail(value);
  return value.is_error() || (in_array && value.is_numeric()) ? std::string()
                                                              : upper_case(to_text(value));
}

// The column with that heading; an error in a heading before it fails the call where it shows.
std::optional<std::size_t> column_headed(Call& call, const Matrix& table, std::string_view wanted,
                                         bool errors_show) {
  const bool in_array = call[0].kind == Operand::Kind::matrix;
  for (std::size_t c = 0; c < table.columns(); ++c) {
    const Value& header = table.at(0, c);
    const std::string own = heading(call, header, in_array, in_array || errors_show);
    if (call.failed()) return std::nullopt;
    if (own == wanted && (in_array || !header.is_error())) return c;
  }
  return std::nullopt;
}

// What a place of the criteria looks for; nothing where it is empty, "" or an error. Of an array
// the office reads the texts alone, and in an array it finds no number and no "" that way.
enum class Wish { none, some, impossible };
Wish wish_of(const Value& wanted, bool criteria_are_array, bool table_is_array) {
  const bool word = wanted.is_text() && !wanted.text().empty();
  if (word || (wanted.is_numeric() && !criteria_are_array)) return Wish::some;
  if (wanted.is_empty() || wanted.is_error()) return Wish::none;
  return table_is_array ? Wish::impossible : Wish::none;
}

// Rows without any condition say nothing; where all are so, every record counts.
Conditions read_conditions(Call& call, const Matrix& table, const Matrix& criteria) {
  Conditions out;
  const bool arrays[] = {call[2].kind == Operand::Kind::matrix,
                         call[0].kind == Operand::Kind::matrix};
  sheet::Settings settings = call.settings();
  if (arrays[1]) settings.wildcards = settings.regular_expressions = false;
  for (std::size_t r = 1; r < criteria.rows(); ++r) {
    std::vector<Condition> row;
    for (std::size_t c = 0; c < criteria.columns(); ++c) {
      const Value& wanted = criteria.at(r, c);
      const Wish wish = wish_of(wanted, arrays[0], arrays[1]);
      if (wish == Wish::none) continue;
      const std::string wished = heading(call, criteria.at(0, c), arrays[0], arrays[0]);
      const auto column = column_headed(call, table, wished, false);
      if (!column) {
        call.fail(Error(Code::parameters, "a column of the criteria is not in the table", 2));
        return out;
      }
      row.push_back({*column, Criterion::read(wanted, settings), wish == Wish::impossible});
    }
    if (!row.empty()) out.push_back(std::move(row));
  }
  // A heading left empty is one that the table has to have.
  for (std::size_t c = 0; c < criteria.columns(); ++c) {
    const std::string wished = heading(call, criteria.at(0, c), arrays[0], arrays[0]);
    if (!column_headed(call, table, wished, false)) {
      call.fail(Error(Code::parameters, "a column of the criteria is not in the table", 2));
    }
  }
  return out;
}

// Without any condition every record of a range is met, and none of an array.
bool meets(const Matrix& table, std::size_t row, const Conditions& conditions, bool in_array) {
  if (conditions.empty()) return !in_array;
  for (const std::vector<Condition>& all : conditions) {
    bool holds = true;
    for (const Condition& each : all) {
      holds = holds && each.meets(table.at(row, each.column));
    }
    if (holds) return true;
  }
  return false;
}

// What a field outside of the table is answered with: it depends on whether the sheet has such a
// column.
Code outside_table(Call& call, double number) {
  const double column = call[0].kind == Operand::Kind::area ? call[0].area.first_column : 0;
  return column + number < 1 || column + number > kMaxColumns ? Code::parameters : Code::value;
}

// The field's column; nothing for "the records themselves", a 0 that is no cell's, where that is
// allowed. That there is no such column shows after what is wrong with the criteria.
std::optional<std::size_t> field_column(Call& call, const Matrix& table, bool records_allowed,
                                        Value& outside) {
  const bool cell = call[1].kind == Operand::Kind::area;
  if (call[1].kind == Operand::Kind::matrix || (cell && !call[1].is_cell())) {
    call.fail(Error(Code::parameters, "the field is one cell or value", 1));
  }
  Value field = call.scalar(1);
  if (call.failed()) return std::nullopt;
  if (cell && field.is_empty()) field = Value("");
  if (field.is_text()) {
    const auto column = column_headed(call, table, upper_case(to_text(field)), true);
    if (!column) call.fail(Error(Code::parameters, "the table has no column of that name", 1));
    return column;
  }
  const double number = floor_as_seen(field.number());
  if (number == 0 && records_allowed && !cell) return std::nullopt;
  if (number < 1 || number > static_cast<double>(table.columns())) {
    outside = Value(Error(outside_table(call, number), "the table has no such column", 1));
    return std::nullopt;
  }
  return call.failed() ? std::nullopt : std::optional(static_cast<std::size_t>(number) - 1);
}

// One cell alone has no room for a heading and a value.
bool is_table(const Operand& operand) {
  return operand.kind == Operand::Kind::matrix ||
         (operand.kind == Operand::Kind::area && operand.area.sheets() == 1 && !operand.is_cell());
}

// What stands in the field of each record that meets the criteria, one below the other; where no
// field is given, a 1 for each such record.
Matrix chosen(Call& call, bool records_allowed) {
  Matrix out;
  for (std::size_t i = 0; i < call.count(); ++i) {
    if (call[i].is_error()) call.fail(call[i].value);
  }
  if (!is_table(call[2])) call.fail(Code::parameters);
  if (call[1].is_cell()) call.scalar(1);
  if (!is_table(call[0])) call.fail(Code::parameters);
  if (call.failed()) return out;
  const Matrix table = call.matrix(0);
  Value outside;
  const auto field = field_column(call, table, records_allowed, outside);
  if (call.failed()) return out;
  const Conditions conditions = read_conditions(call, table, call.matrix(2));
  // In an array of headings alone the office does not look for the column.
  const bool nothing =
      call[0].kind == Operand::Kind::matrix && table.rows() < 2 && outside.code() == Code::value;
  if (outside.is_error() && !nothing) call.fail(outside);
  if (call.failed() || nothing) return out;
  std::vector<Value> values;
  for (std::size_t r = 1; r < table.rows(); ++r) {
    if (!meets(table, r, conditions, call[0].kind == Operand::Kind::matrix)) continue;
    values.push_back(field ? table.at(r, *field) : Value(1.0));
  }
  out = Matrix(values.size(), 1);
  out.cells() = std::move(values);
  return out;
}

Operand total(Call& call, std::string_view name, Matrix values) {
  const StandardFunction* function = call.cells().function(name);
  if (function == nullptr) return Code::internal;
  const Operand argument(std::move(values));
  Call inner(*function, {&argument, 1}, call.cells(), call.here(), call.array_mode());
  return function->body(inner);
}

Operand of_field(Call& call, std::string_view name, bool records_allowed = false) {
  Matrix values = chosen(call, records_allowed);
  return call.failed() ? call.failure() : total(call, name, std::move(values));
}

// Too few numbers are answered as the office's formulas come out then.
Operand spread(Call& call, std::string_view name, double lost) {
  Matrix values = chosen(call, false);
  if (call.failed()) return call.failure();
  double count = 0;
  for (const Value& value : values.cells()) count += value.is_numeric() ? 1 : 0;
  if (count == lost) return Error(Code::number, "there are too few numbers");
  if (count < lost) return 0.0;
  return total(call, name, std::move(values));
}

Operand sum(Call& call) { return of_field(call, "SUM"); }
Operand average(Call& call) { return of_field(call, "AVERAGE"); }
Operand greatest(Call& call) { return of_field(call, "MAX"); }
Operand least(Call& call) { return of_field(call, "MIN"); }
Operand product(Call& call) { return of_field(call, "PRODUCT"); }
Operand count(Call& call) { return of_field(call, "COUNT", true); }
Operand count_values(Call& call) { return of_field(call, "COUNTA", true); }
Operand deviation(Call& call) { return spread(call, "STDEV", 1); }
Operand deviation_p(Call& call) { return spread(call, "STDEVP", 0); }
Operand variance(Call& call) { return spread(call, "VAR", 1); }
Operand variance_p(Call& call) { return spread(call, "VARP", 0); }

Operand only_one(Call& call) {
  const Matrix values = chosen(call, false);
  if (call.failed()) return call.failure();
  if (values.rows() == 0) return Error(Code::value, "DGET: no record meets the criteria");
  if (values.rows() > 1) return Error(Code::argument, "DGET: more than one record does");
  return values.at(0, 0);
}

// Any other count of arguments is Err:504.
constexpr Counting kCounting = Counting::parameters;

constexpr StandardFunction kFunctions[] = {
    {"DAVERAGE", average, 3, 3, "r", Group::small, false, 1, kCounting},
    {"DCOUNT", count, 3, 3, "r", Group::small, false, 1, kCounting},
    {"DCOUNTA", count_values, 3, 3, "r", Group::small, false, 1, kCounting},
    {"DGET", only_one, 3, 3, "r", Group::small, false, 1, kCounting},
    {"DMAX", greatest, 3, 3, "r", Group::small, false, 1, kCounting},
    {"DMIN", least, 3, 3, "r", Group::small, false, 1, kCounting},
    {"DPRODUCT", product, 3, 3, "r", Group::small, false, 1, kCounting},
    {"DSTDEV", deviation, 3, 3, "r", Group::small, false, 1, kCounting},
    {"DSTDEVP", deviation_p, 3, 3, "r", Group::small, false, 1, kCounting},
    {"DSUM", sum, 3, 3, "r", Group::small, false, 1, kCounting},
    {"DVAR", variance, 3, 3, "r", Group::small, false, 1, kCounting},
    {"DVARP", variance_p, 3, 3, "r", Group::small, false, 1, kCounting},
};

}  // namespace

StandardFunctions database_functions() { return kFunctions; }

}  // namespace loftledger::standard
