#include "tests/differential/settled.hpp"

#include <algorithm>
#include <cctype>
#include <string>

#include "engine/standard/call/call.hpp"
#include "tests/differential/matchers.hpp"

namespace loftledger::differential {

using formula::Kind;

namespace {

constexpr std::string_view kDatabase[] = {"DAVERAGE", "DCOUNT", "DCOUNTA", "DGET", "DMAX", "DMIN",
                                          "DPRODUCT", "DSTDEV", "DSTDEVP", "DSUM", "DVAR", "DVARP"};
constexpr std::string_view kFailures[] = {"NEGBINOMDIST", "COM.MICROSOFT.NEGBINOM.DIST"};
constexpr double kManyFailures = 1e6;

// These go over a reference cell by cell, and over the cells in use only; most others make an
// array of all of them first.
constexpr std::string_view kReadLines[] = {
    "AVERAGE", "AVERAGEA", "COLUMNS", "COUNT",      "COUNTA",  "COUNTBLANK", "COUNTIF", "DEVSQ",
    "HLOOKUP", "INDEX",    "MATCH",   "MAX",        "MAXA",    "MIN",        "MINA",    "PRODUCT",
    "ROWS",    "SHEETS",   "STDEV",   "STDEVA",     "STDEVP",  "STDEVPA",    "SUM",     "SUMIF",
    "SUMSQ",   "VAR",      "VARA",    "VARP",       "VARPA",   "VLOOKUP",    "AND",     "OR",
    "SUMIFS",  "COUNTIFS", "LOOKUP",  "AVERAGEIFS", "ISBLANK", "AVERAGEIF",  "XOR",     "SUBTOTAL"};

bool is_lines(const Term& part) {
  return part.node.kind == Kind::reference &&
         (part.reference.whole_columns || part.reference.whole_rows ||
          part.reference.last_sheet.given);
}

bool by_function(const Sample& sample) {
  return any_call(sample, [](const Term& call) { return !is_settled(call.node.text); });
}

bool many_failures(const Sample& sample) {
  return any_call(sample, [](const Term& call) {
    if (!is_one_of(call, kFailures)) return false;
    const std::size_t counts = std::min<std::size_t>(call.parts.size(), 2);
    return !std::all_of(
        call.parts.begin(), call.parts.begin() + static_cast<std::ptrdiff_t>(counts),
        [](const TermPointer& count) {
          return count->node.kind == Kind::number && count->node.number < kManyFailures;
        });
  });
}

bool database_in_array(const Sample& sample) {
  return any_call(sample, [](const Term& call) {
    if (!is_one_of(call, kDatabase) || call.parts.empty()) return false;
    const Kind kind = call.parts[0]->node.kind;
    return kind != Kind::reference && kind != Kind::name && kind != Kind::number &&
           kind != Kind::text && kind != Kind::missing;
  });
}

bool whole_lines(const Sample& sample) {
  if (sample.matrix) return any_part(sample, is_lines);
  if (is_lines(*sample.term)) return true;
  return any_part(sample, [](const Term& part) {
    const bool reads = part.node.kind == Kind::call && is_one_of(part, kReadLines);
    return !reads && std::ranges::any_of(
                         part.parts, [](const TermPointer& inside) { return is_lines(*inside); });
  });
}

constexpr Unsettled kUnsettled[] = {
    {"varying function",
     "Its answer depends on the clock, on chance, on what another program says or on where the "
     "document lies.",
     by_function},
    {"many failures",
     "The office counts failures one by one; how many a cell asks for is not seen here.",
     many_failures},
    {"database in an array", "The office ends where a field lies beyond an array.",
     database_in_array},
    {"whole lines",
     "The office comes to no end of some functions over whole rows, whole columns or several "
     "sheets, and of operations over them.",
     whole_lines},
};

}  // namespace

std::span<const Unsettled> unsettled() { return kUnsettled; }

bool is_settled(std::string_view typed) {
  std::string name(typed);
  std::ranges::transform(name, name.begin(), [](unsigned char c) { return std::toupper(c); });
  // The office looks for intervals of forecasts by trials, or without end.
  if (name == "DDE" || name.find("FORECAST.ETS") != name.npos) return false;
  const standard::StandardFunction* record = standard::find_function(name);
  return record == nullptr || record->varies == standard::Varies::no;
}

bool is_settled(const Sample& sample) {
  return std::ranges::none_of(kUnsettled, [&](const Unsettled& each) { return each.fits(sample); });
}

}  // namespace loftledger::differential
