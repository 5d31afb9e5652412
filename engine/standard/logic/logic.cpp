// Logical functions that are plain calls; IF, IFERROR, IFNA and CHOOSE are jumps.
#include "engine/standard/logic/functions.hpp"
#include "engine/standard/values/arithmetic.hpp"

namespace loftledger::standard {

namespace {

// Counts the true and the false among the values; texts in cells are passed over, other texts are
// errors.
struct Tally {
  std::size_t trues = 0;
  std::size_t falses = 0;
  void add(bool truth) { ++(truth ? trues : falses); }
};

Tally tally(Call& call) {
  Tally out;
  for (std::size_t i = 0; i < call.count(); ++i) {
    if (call[i].is_error()) call.fail(call[i].value);
  }
  // The last argument first: of errors in several cells, that is the one that shows.
  for (std::size_t i = call.count(); i-- > 0 && !call.failed();) {
    const Operand& operand = call[i];
    if (operand.kind == Operand::Kind::matrix) {
      for (const Value& value : operand.matrix->cells()) {
        if (value.is_error()) call.fail(value);
        if (value.is_text()) call.fail(Code::argument);
        out.add(value.number() != 0);
      }
    } else if (operand.kind == Operand::Kind::value && operand.value.is_empty()) {
      out.add(false);  // what a lookup found in an empty cell
    } else {
      call.numbers(i, [&](double number) {
        out.add(number != 0);
        return true;
      });
    }
  }
  if (out.trues + out.falses == 0) call.fail(Code::value);
  return out;
}

Operand truth_or_failure(const Call& call, bool truth) {
  return call.failed() ? call.failure() : Operand::truth(truth);
}

Operand all_true(Call& call) { return truth_or_failure(call, tally(call).falses == 0); }
Operand any_true(Call& call) { return truth_or_failure(call, tally(call).trues > 0); }
Operand odd_trues(Call& call) { return truth_or_failure(call, tally(call).trues % 2 == 1); }

Operand negated(Call& call) {
  const bool truth = call.truth(0);
  return truth_or_failure(call, !truth);
}

Operand yes(Call&) { return Operand::truth(true); }
Operand no(Call&) { return Operand::truth(false); }

// What the chosen branch gives: a reference stays one, and what is left out stays so.
Operand branch(const Call& call, std::size_t index) { return call[index]; }

Operand first_true(Call& call) {
  if (call.count() == 1) {
    const bool truth = call.truth(0);
    if (call.failed()) return call.failure();
    if (truth) return Error(Code::missing_argument, "IFS: the condition has no value beside it");
  }
  for (std::size_t i = 0; i + 1 < call.count(); i += 2) {
    const bool truth = call.truth(i);
    if (call.failed()) return call.failure();
    if (truth) return branch(call, i + 1);
  }
  return Error(Code::not_available, "IFS: no condition is TRUE");
}

// Compares as SWITCH does: looking for a number, a candidate is read as one (an empty cell is 0);
// looking for a text, it is taken as it shows, whatever the case of its letters. An empty cell
// looks for the empty text.
bool same_case(const Value& sought, const Value& candidate, const sheet::Settings& settings) {
  if (sought.is_numeric()) {
    const Value number = to_number(candidate, settings);
    return number.is_numeric() && nearly_equal(sought.number(), number.number());
  }
  sheet::Settings relaxed = settings;
  relaxed.case_sensitive = false;
  return compare(Value(to_text(sought)), Value(to_text(candidate)), relaxed) == 0;
}

// An argument left out between separators is the number 0, and beside a text the empty text.
Value case_value(Call& call, std::size_t index, const Value& otherwise) {
  if (!call.given(index)) return otherwise;
  return single(call[index], call.cells(), call.here());
}

Operand matching_case(Call& call) {
  const Value sought = case_value(call, 0, Value(0.0));
  if (sought.is_error()) call.fail(sought);
  Value unfit;  // the last candidate's error, or that of a text beside a number
  if (call.failed()) return call.failure();
  std::size_t i = 1;
  for (; i + 1 < call.count(); i += 2) {
    const Value candidate = case_value(call, i, sought.is_numeric() ? Value(0.0) : Value(""));
    unfit = sought.is_numeric() ? to_number(candidate, call.settings()) : candidate;
    // What cannot be read is 0 for the office, and found where 0 or an empty cell is sought.
    const bool of_nothing =
        sought.is_empty() ? !call[i].from_cell : sought.is_numeric() && sought.number() == 0;
    if (unfit.is_error() && of_nothing) return unfit;
    if (!candidate.is_error() && same_case(sought, candidate, call.settings())) {
      return branch(call, i + 1);
    }
  }
  if (i < call.count()) return branch(call, i);
  if (unfit.is_error()) return unfit;
  return Error(Code::not_available, "SWITCH: no case equals the value, and there is no default");
}

constexpr StandardFunction kFunctions[] = {
    {"AND", all_true, 1, -1, "r", Group::small},
    meeting_errors({"COM.MICROSOFT.IFS", first_true, 0, -1, "e"}),
    meeting_errors({"COM.MICROSOFT.SWITCH", matching_case, 3, -1, "e"}),
    {"FALSE", no, 0, 0, "", Group::small},
    {"NOT", negated, 1, 1, "v", Group::small},
    {"OR", any_true, 1, -1, "r", Group::small},
    {"TRUE", yes, 0, 0, "", Group::small},
    {"XOR", odd_trues, 1, -1, "r", Group::large},
};

}  // namespace

StandardFunctions logic_functions() { return kFunctions; }

}  // namespace loftledger::standard
