#include "tests/differential/generator.hpp"

#include <algorithm>
#include <cmath>

#include "engine/formula/operators.hpp"
#include "tests/differential/settled.hpp"

namespace loftledger::differential {

using formula::Kind;
using formula::Operator;
using standard::Take;

namespace {

constexpr int kDepth = 3;

// How the record says the argument is taken; by value where there is no record.
Take take_of(const Drawn& function, std::size_t index) {
  if (function.record == nullptr || function.record->takes.empty()) return Take::value;
  const std::string_view takes = function.record->takes;
  return static_cast<Take>(takes[std::min(index, takes.size() - 1)]);
}

}  // namespace

TermPointer Generator::formula(std::size_t function) {
  const TermPointer made = call(material_.functions()[function], kDepth);
  // Now and then inside of an operation.
  if (!chance(6)) return made;
  const TermPointer other = expression(1);
  switch (pick(4)) {
    case 0:
      return operation_term(Kind::infix, Operator::plus, {made, other});
    case 1:
      return operation_term(Kind::infix, Operator::concatenate, {made, other});
    case 2:
      return operation_term(Kind::infix, Operator::equal, {other, made});
    default:
      return operation_term(Kind::prefix, Operator::minus, {made});
  }
}

TermPointer Generator::expression(int depth) {
  if (depth <= 0) return leaf();
  const std::size_t choice = pick(10);
  if (choice < 5) return call(one_of(material_.functions()), depth);
  if (choice < 7) return operation(depth);
  if (choice == 7 && chance(3)) return group_term(expression(depth - 1));
  return leaf();
}

TermPointer Generator::call(const Drawn& function, int depth) {
  std::vector<TermPointer> arguments;
  if (!function.calls.empty() && !chance(8)) {
    // A call from the tables with some of its arguments changed.
    arguments = one_of(function.calls);
    const std::size_t changes = chance(4) ? 2 : pick(2);
    for (std::size_t i = 0; i < changes && !arguments.empty(); ++i) {
      const std::size_t index = pick(arguments.size());
      arguments[index] = chance(2) ? changed(arguments[index]) : argument(function, index, depth);
    }
    // A wrong count only where the call is the whole formula, as it hides all other errors.
    if (depth == kDepth && chance(40)) {
      arguments.push_back(argument(function, arguments.size(), depth));
    }
    if (depth == kDepth && chance(40) && !arguments.empty()) arguments.pop_back();
  } else {
    std::size_t count = function.calls.empty() ? 1 : one_of(function.calls).size();
    if (function.record != nullptr) {
      const auto least = static_cast<std::size_t>(function.record->least);
      const std::size_t most =
          function.record->most < 0 ? least + 3 : static_cast<std::size_t>(function.record->most);
      count = depth == kDepth && chance(20) ? pick(most + 2) : least + pick(most - least + 1);
    }
    for (std::size_t i = 0; i < count; ++i) arguments.push_back(argument(function, i, depth));
  }
  // A single argument that is left out cannot be told from none.
  if (arguments.size() == 1 && arguments[0]->node.kind == Kind::missing) {
    arguments[0] = number();
  }
  return call_term(function.name, std::move(arguments));
}

TermPointer Generator::argument(const Drawn& function, std::size_t index, int depth) {
  const std::size_t choice = pick(20);
  if (choice == 0 && chance(3)) return missing_term();
  if (choice < 14 && !function.calls.empty()) {
    const std::vector<TermPointer>& known = one_of(function.calls);
    if (index < known.size()) return chance(3) ? changed(known[index]) : known[index];
  }
  const Take take = take_of(function, index);
  if ((take == Take::reference || take == Take::array) && choice < 18) {
    return chance(4) ? array() : reference();
  }
  return chance(2) ? leaf() : expression(depth - 1);
}

// Something near: another number, another kind of the same, a reference moved.
TermPointer Generator::changed(const TermPointer& term) {
  const formula::Node& node = term->node;
  switch (node.kind) {
    case Kind::number: {
      const double n = std::fabs(node.number) < 1e300 ? node.number : 1;
      const double near[] = {-n, n + 1, n - 1, n / 2, n * 10, n + 0.5, n * 1.1};
      const double chosen = near[pick(std::size(near))];
      // The office refuses a literal with fewer digits than a number has.
      const bool denormal = chosen != 0 && !std::isnormal(chosen);
      return number_term(denormal ? 0 : chosen);
    }
    case Kind::reference: {
      formula::Reference moved = term->reference;
      if (moved.whole_columns || moved.whole_rows) return term;
      formula::Corner& corner = chance(2) ? moved.first : moved.last;
      (chance(2) ? corner.row : corner.column) += chance(2) ? 1 : 0;
      if (!moved.range) moved.last = moved.first;
      moved.last.row = std::max(moved.first.row, moved.last.row);
      moved.last.column = std::max(moved.first.column, moved.last.column);
      return reference_term(moved);
    }
    case Kind::text:
      return chance(2) ? text_term(node.text + one_of(odd_texts()))
                       : text_term(one_of(odd_texts()));
    default:
      return leaf();
  }
}

TermPointer Generator::operation(int depth) {
  const auto& row = formula::kOperators[pick(formula::kOperators.size())];
  switch (row.op) {
    case Operator::crossing:
      return leaf();  // of labels, which stand for nothing here
    case Operator::joined:
    case Operator::intersection:
      return group_term(operation_term(Kind::infix, row.op, {reference(), reference()}));
    case Operator::range:
      return operation_term(Kind::infix, row.op, {area(1, 1), area(1, 1)});
    default:
      break;
  }
  if (row.place == formula::Place::prefix) {
    return operation_term(Kind::prefix, row.op, {expression(depth - 1)});
  }
  if (row.place == formula::Place::postfix) {
    return operation_term(Kind::postfix, row.op, {expression(depth - 1)});
  }
  return operation_term(Kind::infix, row.op, {expression(depth - 1), expression(depth - 1)});
}

TermPointer Generator::leaf() {
  constexpr Code kCodes[] = {Code::value,  Code::reference, Code::division,
                             Code::number, Code::name,      Code::not_available};
  const std::size_t choice = pick(20);
  if (choice < 6) return number();
  if (choice < 9) return text_term(one_of(odd_texts()));
  if (choice == 9) return call_term(chance(2) ? "TRUE" : "FALSE", {});
  if (choice == 10 && chance(6)) return error_term(kCodes[pick(std::size(kCodes))]);
  if (choice == 11) return array();
  return reference();
}

TermPointer Generator::number() {
  if (!chance(3)) return number_term(one_of(odd_numbers()));
  const double whole = static_cast<double>(pick(2000)) - 500;
  return number_term(chance(2) ? whole / 10 : static_cast<double>(pick(20)));
}

TermPointer Generator::array() {
  const std::int32_t rows = up_to(3);
  const std::int32_t columns = up_to(3);
  const bool texts = chance(4);
  std::vector<TermPointer> parts;
  for (std::int32_t i = 0; i < rows * columns; ++i) {
    parts.push_back(texts && chance(2) ? text_term(one_of(odd_texts())) : number());
  }
  return array_term(static_cast<std::uint32_t>(rows), static_cast<std::uint32_t>(columns),
                    std::move(parts));
}

TermPointer Generator::reference() {
  const std::size_t choice = pick(12);
  if (choice < 5) return area(1, 1);
  if (choice < 8) return area(chance(2) ? 12 : 1, chance(2) ? 4 : 1);
  if (choice == 8) return name_term(one_of(material_.names()));
  if (choice == 9) return area(6, 6);
  return area(12, 1);
}

TermPointer Generator::area(std::int32_t most_rows, std::int32_t most_columns) {
  const std::vector<Filled>& sheets = material_.sheets();
  // Half of them on the two sheets of all kinds, which are the last.
  const std::size_t own = sheets.size() - 1 - pick(2);
  const std::size_t which = chance(2) ? own : pick(sheets.size());
  const Filled& sheet = sheets[which];
  formula::Reference out;
  out.first_sheet.name = sheet.sheet;
  out.first_sheet.given = true;
  out.first_sheet.absolute = chance(2);
  out.first.row = static_cast<std::int32_t>(pick(static_cast<std::size_t>(sheet.rows) + 1));
  out.first.column = static_cast<std::int32_t>(pick(static_cast<std::size_t>(sheet.columns) + 1));
  out.first.row_absolute = chance(3);
  out.first.column_absolute = chance(3);
  out.last = out.first;
  if (most_rows == 1 && most_columns == 1) return reference_term(out);
  out.range = true;
  out.last.row += up_to(static_cast<std::size_t>(most_rows)) - 1;
  out.last.column += up_to(static_cast<std::size_t>(most_columns)) - 1;
  if (chance(30)) {
    out.whole_columns = true;
    out.first.row = 0;
    out.last.row = kMaxRows - 1;
    out.first.row_absolute = out.last.row_absolute = true;
  } else if (chance(60)) {
    out.whole_rows = true;
    out.first.column = 0;
    out.last.column = kMaxColumns - 1;
    out.first.column_absolute = out.last.column_absolute = true;
  } else if (chance(20) && which + 1 < sheets.size()) {
    out.last_sheet.name = sheets[which + 1].sheet;
    out.last_sheet.given = out.last_sheet.absolute = true;
  }
  return reference_term(out);
}

namespace {

Sample drawn(const Material& material, std::uint64_t seed, std::uint64_t function) {
  Generator generator(material, seed);
  Sample out;
  out.row = generator.up_to(kSampleRows) - 1;
  out.term = generator.formula(function % material.functions().size());
  if (generator.chance(8)) {
    out.matrix = true;
    out.rows = generator.up_to(3);
    out.columns = generator.up_to(3);
  } else if (generator.chance(12)) {
    out.rows = kRunRows;
    out.row -= out.row % kRunRows;
  }
  return out;
}

}  // namespace

Sample sample(const Material& material, std::uint64_t seed) {
  constexpr std::uint64_t kNextDraw = 1'000'000'007;
  Sample out = drawn(material, seed, seed);
  for (std::uint64_t again = 1; !is_settled(out); ++again) {
    out = drawn(material, seed + again * kNextDraw, seed + again);
  }
  out.seed = seed;
  // Not in step with the functions, which take turns.
  out.variant = seed / material.functions().size() % 3;
  return out;
}

}  // namespace loftledger::differential
