#include "tests/differential/settled.hpp"

#include <algorithm>
#include <string>

#include "engine/base/ascii.hpp"
#include "engine/standard/registry.hpp"
#include "tests/differential/matchers.hpp"

namespace loftledger::differential {

using formula::Kind;

namespace {

bool is_database(const Term& call) {
  return is_one_of(call, {"DAVERAGE", "DCOUNT", "DCOUNTA", "DGET", "DMAX", "DMIN", "DPRODUCT",
                          "DSTDEV", "DSTDEVP", "DSUM", "DVAR", "DVARP"});
}
bool counts_one_by_one(const Term& call) {
  return is_one_of(call, {"NEGBINOMDIST", "COM.MICROSOFT.NEGBINOM.DIST", "CRITBINOM",
                          "COM.MICROSOFT.BINOM.INV"});
}
constexpr double kMany = 1e6;

// These go over a reference cell by cell, and over the cells in use only; most others make an
// array of all of them first.
bool reads_lines(const Term& call) {
  return is_one_of(
      call, {"AVERAGE",    "AVERAGEA", "COLUMNS",   "COUNT",  "COUNTA",  "COUNTBLANK", "COUNTIF",
             "DEVSQ",      "HLOOKUP",  "INDEX",     "MATCH",  "MAX",     "MAXA",       "MIN",
             "MINA",       "PRODUCT",  "ROWS",      "SHEETS", "STDEV",   "STDEVA",     "STDEVP",
             "STDEVPA",    "SUM",      "SUMIF",     "SUMSQ",  "VAR",     "VARA",       "VARP",
             "VARPA",      "VLOOKUP",  "AND",       "OR",     "SUMIFS",  "COUNTIFS",   "LOOKUP",
             "AVERAGEIFS", "ISBLANK",  "AVERAGEIF", "XOR",    "SUBTOTAL"});
}

bool is_lines(const Term& part) {
  return part.node.kind == Kind::reference &&
         (part.reference.whole_columns || part.reference.whole_rows ||
          part.reference.last_sheet.given);
}

bool by_function(const Sample& sample) {
  return any_call(sample, [](const Term& call) { return !is_settled(call.node.text); });
}

bool many_trials(const Sample& sample) {
  return any_call(sample, [](const Term& call) {
    if (!counts_one_by_one(call)) return false;
    const std::size_t counts = std::min<std::size_t>(call.parts.size(), 2);
    return !std::all_of(call.parts.begin(),
                        call.parts.begin() + static_cast<std::ptrdiff_t>(counts),
                        [](const TermPointer& count) {
                          return count->node.kind == Kind::number && count->node.number < kMany;
                        });
  });
}

bool database_in_array(const Sample& sample) {
  return any_call(sample, [](const Term& call) {
    if (!is_database(call) || call.parts.empty()) return false;
    const Kind kind = call.parts[0]->node.kind;
    return kind != Kind::reference && kind != Kind::name && kind != Kind::number &&
           kind != Kind::text && kind != Kind::missing;
  });
}

// A regression that the office does more than once over the same numbers.
bool regression_in_place(const Sample& sample) {
  const bool run = !sample.matrix && sample.rows > 1;
  return any_call(sample, [&](const Term& call) {
    if (!is_one_of(call, {"LINEST", "LOGEST", "TREND", "GROWTH"})) return false;
    if (run && takes(call, Kind::array)) return true;
    for (std::size_t i = 2; i < call.parts.size(); ++i) {
      const Term& option = ungrouped(*call.parts[i]);
      const bool range = option.node.kind == Kind::name ||
                         (option.node.kind == Kind::reference && option.reference.range);
      if (option.node.kind == Kind::array || (range && sample.matrix)) return true;
    }
    return false;
  });
}

bool whole_lines(const Sample& sample) {
  if (sample.matrix) return any_part(sample, is_lines);
  if (is_lines(*sample.term)) return true;
  return any_part(sample, [](const Term& part) {
    const bool reads = part.node.kind == Kind::call && reads_lines(part);
    return !reads && std::ranges::any_of(
                         part.parts, [](const TermPointer& inside) { return is_lines(*inside); });
  });
}

struct Unsettled {
  const char* name;
  const char* why;
  bool (*fits)(const Sample& sample);
};

constexpr Unsettled kUnsettled[] = {
    {"varying function",
     "Its answer depends on the clock, on chance, on what another program says or on where the "
     "document lies.",
     by_function},
    {"many trials",
     "The office counts trials and failures one by one; how many a cell asks for is not seen here.",
     many_trials},
    {"database in an array", "The office ends where a field lies beyond an array.",
     database_in_array},
    {"regression in place",
     "The office changes the numbers of a regression while it works, so that the next one over the "
     "same constants, in another row or for another element of an option, has others.",
     regression_in_place},
    {"whole lines",
     "The office comes to no end of some functions over whole rows, whole columns or several "
     "sheets, and of operations over them.",
     whole_lines},
};

}  // namespace

bool is_settled(std::string_view typed) {
  const std::string name = ascii::upper(typed);
  // The office looks for intervals of forecasts by trials, or without end.
  if (name == "DDE" || name.find("FORECAST.ETS") != name.npos) return false;
  const standard::StandardFunction* record = standard::find_function(name);
  return record == nullptr || record->varies == standard::Varies::no;
}

bool is_settled(const Sample& sample) {
  return std::ranges::none_of(kUnsettled, [&](const Unsettled& each) { return each.fits(sample); });
}

}  // namespace loftledger::differential
