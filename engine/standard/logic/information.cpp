// Information functions: what kind of value or cell something is, and where (OpenFormula 6.13).
#include <cmath>

#include "engine/standard/logic/functions.hpp"
#include "engine/standard/values/arithmetic.hpp"
#include "engine/standard/values/collation.hpp"

namespace loftledger::standard {

namespace {

// The argument's value, an error included: an error is what most of these ask about.
Value peek(Call& call, std::size_t index = 0) {
  return single(call[index], call.cells(), call.here());
}

Operand is_error(Call& call) { return Operand::truth(peek(call).is_error()); }
Operand is_other_error(Call& call) {
  const Value value = peek(call);
  return Operand::truth(value.is_error() && value.code() != Code::not_available);
}
Operand is_not_available(Call& call) {
  return Operand::truth(peek(call).code() == Code::not_available);
}
Operand is_number(Call& call) { return Operand::truth(peek(call).is_numeric()); }
Operand is_text(Call& call) { return Operand::truth(peek(call).is_text()); }
Operand is_no_text(Call& call) { return Operand::truth(!peek(call).is_text()); }
Operand is_logical(Call& call) { return Operand::truth(peek(call).is_boolean()); }
Operand is_reference(Call& call) { return Operand::truth(call[0].is_reference()); }

// The one cell that a reference names, by intersection where it names more.
std::optional<CellAddress> cell_of(const Call& call, std::size_t index) {
  if (call[index].kind != Operand::Kind::area) return std::nullopt;
  return intersection(call[index].area, call.here());
}

// A cell with a formula is not blank, whatever the formula gives.
Operand is_blank(Call& call) {
  const Operand& operand = call[0];
  if (!operand.is_reference() && operand.kind != Operand::Kind::matrix) {
    return Operand::truth(operand.value.is_empty());
  }
  if (!call.array_mode()) {
    const auto cell = cell_of(call, 0);
    const bool has_formula = cell && call.cells().is_formula(*cell);
    return Operand::truth(peek(call).is_empty() && !has_formula);
  }
  Matrix out = call.matrix(0);
  const CellAddress first = operand.is_reference() ? operand.area.first() : CellAddress{};
  for (std::size_t r = 0; r < out.rows(); ++r) {
    for (std::size_t c = 0; c < out.columns(); ++c) {
      bool blank = out.at(r, c).is_empty();
      if (blank && operand.is_reference()) {
        blank = !call.cells().is_formula({first.sheet, first.row + static_cast<std::int32_t>(r),
                                          first.column + static_cast<std::int32_t>(c)});
      }
      out.at(r, c) = Value::boolean(blank);
    }
  }
  return out;
}

// Asks about each cell of a reference in array mode, else about its one cell.
Operand about_cells(Call& call, FunctionRef<Value(CellAddress)> ask, Value otherwise) {
  const Operand& operand = call[0];
  if (call.array_mode() && operand.kind == Operand::Kind::area && !operand.area.single()) {
    const Area& area = operand.area;
    Matrix out(static_cast<std::size_t>(area.rows()), static_cast<std::size_t>(area.columns()));
    for (std::size_t r = 0; r < out.rows(); ++r) {
      for (std::size_t c = 0; c < out.columns(); ++c) {
        out.at(r, c) = ask({area.first_sheet, area.first_row + static_cast<std::int32_t>(r),
                            area.first_column + static_cast<std::int32_t>(c)});
      }
    }
    return out;
  }
  if (const auto cell = cell_of(call, 0)) return ask(*cell);
  return otherwise;
}

Operand is_formula(Call& call) {
  return about_cells(
      call, [&](CellAddress a) { return Value::boolean(call.cells().is_formula(a)); },
      Value::boolean(false));
}

Operand formula(Call& call) {
  const bool reference = call[0].kind == Operand::Kind::area;
  return about_cells(
      call,
      [&](CellAddress a) {
        if (!call.cells().is_formula(a)) return Value(Code::not_available);
        return Value(call.cells().formula_text(a));
      },
      Value(reference ? Code::value : Code::not_available));
}

// The whole part, of a number alone: a text or an empty cell is refused.
Operand is_multiple_of_two(Call& call, bool even) {
  const Value value = call.scalar(0);
  if (call.failed()) return call.failure();
  if (!value.is_numeric()) {
    return Error(Code::parameters, std::string(call.name()) + ": takes a number", 0);
  }
  const double whole = floor_as_seen(std::fabs(value.number()));
  return Operand::truth((std::fmod(whole, 2) == 0) == even);
}
Operand is_even(Call& call) { return is_multiple_of_two(call, true); }
Operand is_odd(Call& call) { return is_multiple_of_two(call, false); }

Operand not_available(Call&) { return Code::not_available; }

Operand number_of(Call& call) { return call.finish(call.scalar(0).number()); }

Operand type(Call& call) {
  constexpr double kNumber = 1;
  constexpr double kText = 2;
  constexpr double kFormula = 8;
  constexpr double kError = 16;
  constexpr double kArray = 64;
  if (call[0].kind == Operand::Kind::matrix) return kArray;
  // The office passes several areas over without looking at what stands in them.
  if (call[0].kind == Operand::Kind::areas) return call.array_mode() ? kError : kNumber;
  const auto cell = cell_of(call, 0);
  if (call[0].is_reference() && !cell)
    return Operand(call.array_mode() ? Operand(kArray) : Operand(Code::value));
  const Value value = peek(call);
  if (value.is_error()) return kError;
  if (cell && call.cells().is_formula(*cell)) return kFormula;
  return value.is_text() ? kText : kNumber;
}

Operand error_number(Call& call) {
  switch (peek(call).code()) {
    case Code::division:
      return 2.0;
    case Code::value:
      return 3.0;
    case Code::reference:
      return 4.0;
    case Code::name:
      return 5.0;
    case Code::number:
      return 6.0;
    case Code::not_available:
      return 7.0;
    default:
      return Code::not_available;
  }
}

Operand error_code(Call& call) {
  const Value value = peek(call);
  if (!value.is_error()) return Error(Code::not_available, "ERRORTYPE: there is no error");
  return static_cast<double>(value.code());
}

// --- Sheets

Operand sheet(Call& call) {
  if (call.count() == 0) return call.here().sheet + 1.0;
  if (call[0].kind == Operand::Kind::area) return call[0].area.first_sheet + 1.0;
  const Value name = call.scalar(0);
  if (call.failed()) return call.failure();
  if (!name.is_text() || call[0].kind == Operand::Kind::matrix) return Code::parameters;
  const auto found = call.cells().find_sheet(name.text());
  if (!found) {
    return Error(Code::argument, "SHEET: there is no sheet \"" + std::string(name.text()) + "\"");
  }
  return *found + 1.0;
}

Operand sheets(Call& call) {
  if (call.count() == 0) return static_cast<double>(call.cells().sheets());
  std::int64_t sum = 0;
  for (std::size_t i = 0; i < call.count(); ++i) {
    if (call[i].is_error()) return call[i];
    if (call[i].kind != Operand::Kind::area) return Code::parameters;
    sum += call[i].area.sheets();
  }
  return static_cast<double>(sum);
}

// --- CELL

std::string absolute_cell(CellAddress a) {
  return "$" + column_letters(a.column) + "$" + std::to_string(a.row + 1);
}

Operand cell(Call& call) {
  const std::string what = upper_case(call.text(0));
  if (call.failed()) return call.failure();
  CellAddress at = call.here();
  if (call.count() > 1) {
    if (call[1].kind != Operand::Kind::area) return Code::parameters;
    at = call[1].area.first();
  }
  Cells& cells = call.cells();
  const Value value = cells.at(at);
  if (what == "COL") return at.column + 1.0;
  if (what == "ROW") return at.row + 1.0;
  if (what == "SHEET") return at.sheet + 1.0;
  if (what == "ADDRESS") {
    const bool other = at.sheet != call.here().sheet;
    const std::string sheet_part =
        other ? "$" + quoted_sheet(cells.sheet_name(at.sheet)) + "." : std::string();
    return Operand::text(sheet_part + absolute_cell(at));
  }
  if (what == "COORD") {
    return Operand::text("$" + column_letters(at.sheet) + ":$" + column_letters(at.column) + "$" +
                         std::to_string(at.row + 1));
  }
  if (what == "CONTENTS") return value.is_empty() ? Operand(0.0) : Operand(value);
  if (what == "TYPE")
    return Operand::text(value.is_text() ? "l" : counted_at(cells, at).is_empty() ? "b" : "v");
  if (what == "PREFIX") return Operand::text(value.is_text() ? "'" : "");
  constexpr std::string_view kLooks[] = {"FORMAT",  "COLOR", "PARENTHESES",
                                         "PROTECT", "WIDTH", "FILENAME"};
  for (std::string_view look : kLooks) {
    if (what == look) {
      return Error(Code::not_available,
                   "CELL: how a cell looks and which file it is in are not known here", 0);
    }
  }
  return Error(Code::argument, "CELL: \"" + what + "\" is no kind of information", 0);
}

// --- INFO

Operand info(Call& call) {
  const std::string what = upper_case(call.text(0));
  if (call.failed()) return call.failure();
  if (what == "NUMFILE") return 1.0;
  if (what == "RECALC") return Operand::text("Automatic");
#if defined(_WIN32)
  if (what == "SYSTEM") return Operand::text("WNT");
#elif defined(__APPLE__)
  if (what == "SYSTEM") return Operand::text("MACOSX");
#else
  if (what == "SYSTEM") return Operand::text("LINUX");
#endif
  constexpr std::string_view kUnknown[] = {"OSVERSION", "RELEASE", "DIRECTORY", "ORIGIN",
                                           "MEMAVAIL",  "MEMUSED", "TOTMEM"};
  for (std::string_view each : kUnknown) {
    if (what == each) return Error(Code::not_available, "INFO: this is not known here", 0);
  }
  return Error(Code::argument, "INFO: \"" + what + "\" is no kind of information", 0);
}

// The style of a cell is none of a calculation's business; its value is 0, as in the office.
Operand style(Call& call) {
  for (const std::size_t name : {std::size_t{0}, std::size_t{2}}) call.text(name);
  call.number(1, 0.0);
  return call.finish(0);
}

constexpr StandardFunction kFunctions[] = {
    {"CELL", cell, 1, 2, "vr", Group::office, true, 1, Counting::usual, Varies::by_program,
     "what a cell looks like (width, format, color, parentheses, protect) and the file name are "
     "#N/A"},
    meeting_errors({"ERROR.TYPE", error_number, 1, 1, "e", Group::large}),
    {"FORMULA", formula, 1, 1, "r", Group::large},
    {"INFO", info, 1, 1, "v", Group::large, false, 1, Counting::usual, Varies::by_program,
     "osversion and release are #N/A"},
    meeting_errors({"ISBLANK", is_blank, 1, 1, "r", Group::small}),
    meeting_errors({"ISERR", is_other_error, 1, 1, "e", Group::small}),
    meeting_errors({"ISERROR", is_error, 1, 1, "e", Group::small}),
    {"ISEVEN", is_even, 1, 1, "v", Group::medium},
    meeting_errors({"ISFORMULA", is_formula, 1, 1, "r", Group::large}),
    meeting_errors({"ISLOGICAL", is_logical, 1, 1, "e", Group::small}),
    meeting_errors({"ISNA", is_not_available, 1, 1, "e", Group::small}),
    meeting_errors({"ISNONTEXT", is_no_text, 1, 1, "e", Group::small}),
    meeting_errors({"ISNUMBER", is_number, 1, 1, "e", Group::small}),
    {"ISODD", is_odd, 1, 1, "v", Group::medium},
    meeting_errors({"ISREF", is_reference, 1, 1, "r", Group::large}),
    meeting_errors({"ISTEXT", is_text, 1, 1, "e", Group::small}),
    meeting_errors({"N", number_of, 1, 1, "v", Group::small}),
    {"NA", not_available, 0, 0, "", Group::small},
    meeting_errors({"ORG.OPENOFFICE.ERRORTYPE", error_code, 1, 1, "e"}),
    {"ORG.OPENOFFICE.STYLE", style, 1, 3, "v"},
    {"SHEET", sheet, 0, 1, "r", Group::large, false, 1, Counting::at_call},
    {"SHEETS", sheets, 0, -1, "r", Group::large},
    meeting_errors({"TYPE", type, 1, 1, "p", Group::medium}),
};

}  // namespace

StandardFunctions information_functions() { return kFunctions; }

}  // namespace loftledger::standard
