// Explaining: why a cell shows an error.
#include "engine/catalogue/describe.hpp"
#include "engine/planning/areas.hpp"

namespace loftledger::planning {

using namespace catalogue;

namespace {

// --- REASON

Result<std::string> reason(const CellState& cell) {
  if (!cell.is_error) return std::string();
  if (cell.sentence.empty()) return std::string("the cell shows an error");
  return cell.sentence;
}

constexpr Parameter kReasonParameters[] = {
    {.name = "cell", .text = "The cell to look at: a reference to one cell."},
};
constexpr Example kReasonExamples[] = {
    {"=REASON(A1)", std::string_view(""), "an empty cell is fine"},
    {"=REASON(A1)", std::string_view(""), "so is a cell with a result", "=LOFTFACTOR(2;15)"},
    {"=REASON(A1)", std::string_view("LOFTFACTOR: packed volume is 0; it must be more than 0"),
     "the sentence of the error", "=LOFTFACTOR(0;15)"},
    {"=REASON(5)", Code::parameters, "a number is no cell"},
};
constexpr Function kReason = describe<reason>(
    {.id = "reason",
     .name = "REASON",
     .group = Group::explaining,
     .summary = "Why a cell shows an error: what is wrong, and with which argument.",
     .returns = "a text; empty where the cell is fine",
     .source = "definition"},
    kReasonParameters, kReasonExamples);

constexpr Function kFunctions[] = {kReason};

}  // namespace

Functions explaining_functions() { return kFunctions; }

}  // namespace loftledger::planning
