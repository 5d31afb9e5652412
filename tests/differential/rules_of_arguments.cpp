#include <algorithm>

#include "tests/differential/differences.hpp"
#include "tests/differential/matchers.hpp"
#include "tests/differential/rules.hpp"

namespace loftledger::differential {

using formula::Kind;

namespace {

bool written_error(const Sample& sample) {
  return any_part(sample, [](const Term& part) { return takes(part, Kind::error); });
}

bool refused_for_error(const Value& office, const Value& engine) {
  constexpr Code kRefused[] = {Code::argument, Code::parameters, Code::value};
  constexpr Code kWritten[] = {Code::value,  Code::reference, Code::division,
                               Code::number, Code::name,      Code::not_available};
  return std::ranges::count(kRefused, office.code()) > 0 &&
         std::ranges::count(kWritten, engine.code()) > 0;
}

bool odd_first_period(const Sample& sample) { return calls(sample, {"ODDFPRICE", "ODDFYIELD"}); }

bool no_such_function(const Value& office, const Value& engine) {
  return office.code() == Code::value && (!engine.is_error() || engine.code() == Code::argument);
}

bool pivot_data(const Sample& sample) { return calls(sample, {"GETPIVOTDATA"}); }

bool without_pivot(const Value& office, const Value& engine) {
  constexpr Code kEngine[] = {Code::reference, Code::missing_argument, Code::value};
  return office.is_error() && std::ranges::count(kEngine, engine.code()) > 0;
}

// A code of letters or digits that stand for nothing in a format, or a number as the code.
bool is_no_format(const Term& code) {
  if (code.node.kind == Kind::array) {
    return std::ranges::any_of(code.parts, [](const auto& part) { return is_no_format(*part); });
  }
  const std::string& text = code.node.text;
  return code.node.kind == Kind::number ||
         (code.node.kind == Kind::text && text.find_first_of("123456789orw") != text.npos);
}

bool no_format(const Sample& sample) {
  return any_call(sample, [](const Term& call) {
    return is_one_of(call, {"TEXT"}) && call.parts.size() == 2 && is_no_format(*call.parts[1]);
  });
}

bool text_or_refused(const Value& office, const Value& engine) {
  const bool refused = office.code() == Code::argument || engine.code() == Code::argument;
  return both_texts(office, engine) || (refused && (office.is_text() || engine.is_text())) ||
         (office.code() == Code::value && engine.code() == Code::argument) ||
         (office.code() == Code::argument && engine.code() == Code::value);
}

bool number_in_cell(const Sample& sample) {
  return any_call(sample, [](const Term& call) {
    return is_one_of(call, {"NUMBERVALUE"}) && !call.parts.empty() &&
           call.parts[0]->node.kind == Kind::reference;
  });
}

bool value_for_number(const Value& office, const Value& engine) {
  return office.code() == Code::value && engine.is_numeric();
}

bool link_as_argument(const Sample& sample) {
  return any_part(sample, [](const Term& part) {
    return part.node.kind != Kind::group &&
           std::ranges::any_of(part.parts, [](const TermPointer& inside) {
             const Term& link = ungrouped(*inside);
             return link.node.kind == Kind::call && is_one_of(link, {"HYPERLINK"});
           });
  });
}

bool value_out_of_rows(const Value& office, const Value& engine) {
  return !office.is_empty() && engine.code() == Code::value;
}

bool late_period(const Sample& sample) {
  return any_call(sample, [](const Term& call) {
    return is_one_of(call, {"AMORLINC"}) && call.parts.size() > 4;
  });
}

bool written_off(const Value& office, const Value& engine) {
  return both_numbers(office, engine) && office.number() > 0 && engine.number() == 0;
}

bool large_unit(const Sample& sample) {
  constexpr double kRows = 4096;
  return any_call(sample, [](const Term& call) {
    return is_one_of(call, {"MUNIT"}) && call.parts.size() == 1 &&
           call.parts[0]->node.kind == Kind::number && call.parts[0]->node.number > kRows;
  });
}

bool refused_by_size(const Value&, const Value& engine) {
  return engine.code() == Code::array_size;
}

bool what_if(const Sample& sample) { return calls(sample, {"MULTIPLE.OPERATIONS"}); }

bool circle(const Value& office, const Value& engine) {
  return office.code() == Code::circular && engine.code() == Code::parameters;
}

bool moved_by_range(const Sample& sample) {
  return sample.matrix && any_call(sample, [](const Term& call) {
           return is_one_of(call, {"OFFSET"}) &&
                  std::any_of(call.parts.begin() + 1, call.parts.end(), [](const auto& distance) {
                    return distance->node.kind == Kind::reference && distance->reference.range;
                  });
         });
}

bool beyond_the_array(const Value& office, const Value& engine) {
  return office.code() == Code::value && engine.code() == Code::not_available;
}

constexpr Rule kRules[] = {
    {"moved by a range",
     "OFFSET by a range of distances in an array formula: rows beyond what comes out are #N/A "
     "here, and #VALUE! in the office.",
     moved_by_range, beyond_the_array, 1, 0.1},
    {"written error",
     "An error written out as an argument or operand shows as it is; the office refuses some with "
     "Err:504, Err:502 or #VALUE! by what takes it.",
     written_error, refused_for_error, 0, 0.5},
    {"odd first period",
     "The office has no odd first period: it answers ODDFPRICE and ODDFYIELD with #VALUE!.",
     odd_first_period, no_such_function, 5, 4},
    {"no pivot table",
     "No pivot table is there to be read; how far the office reads the arguments differs.",
     pivot_data, without_pivot, 1, 0.3},
    {"no format",
     "TEXT with a written code of letters or digits that are no format: the office takes some of "
     "them for dates and drops others.",
     no_format, text_or_refused, 1, 0.8},
    {"number as text",
     "NUMBERVALUE of a cell with a number reads what the cell's text would be, whose point is no "
     "separator then.",
     number_in_cell, value_for_number, 0, 0.1},
    {"link as an argument",
     "In the office a link is an array of its text and its address, also where it is used as a "
     "value; ranges beside it are gone over.",
     link_as_argument, value_out_of_rows, 2, 0.1},
    {"unsigned periods",
     "AMORLINC counts periods without a sign in the office, and writes off what is written off "
     "already.",
     late_period, written_off, 0, 0.1},
    {"large array", "The engine refuses an array of more than 4,096 rows.", large_unit,
     refused_by_size, 0, 0.2},
    {"circle",
     "A cell of MULTIPLE.OPERATIONS that is part of a circle shows before an argument that is no "
     "cell is refused.",
     what_if, circle, 0, 0.1},
};

}  // namespace

std::span<const Rule> rules_of_arguments() { return kRules; }

}  // namespace loftledger::differential
