#include "engine/calc/program/columns.hpp"

#include <algorithm>
#include <limits>

namespace loftledger::calc {

namespace {
// More than this would no longer stay close to the processor.
constexpr std::size_t kMostRegisters = 256;
constexpr std::size_t kMostBlocks = 48;
}  // namespace

// Follows the stack machine's steps with register numbers in place of values.
class ColumnProgram::Builder {
 public:
  Builder(const Program& program, ColumnProgram& out) : program_(program), out_(out) {}

  bool build() {
    const auto end = static_cast<std::uint32_t>(program_.code.size());
    if (program_.dynamic || program_.is_volatile || !part(0, end) || stack_.size() != 1 ||
        !single()) {
      return false;
    }
    out_.result_ = stack_[0].registers[0];
    needs_number(out_.result_);
    out_.yields_truth_ = stack_[0].truth;
    return true;
  }

 private:
  // A value on the stack: one register, or those of a range's cells.
  struct Entry {
    std::vector<Register> registers;
    bool truth = false;
  };

  // Steps from begin to end leave exactly one value more.
  bool part(std::uint32_t begin, std::uint32_t end) {
    const std::size_t floor = stack_.size();
    for (std::uint32_t at = begin; at < end; ++at) {
      const Instruction& instruction = program_.code[at];
      if (instruction.array || out_.registers_ > kMostRegisters || out_.blocks_ > kMostBlocks) {
        return false;
      }
      switch (instruction.step) {
        case calc::Step::constant:
          if (!constant(program_.constants[instruction.operand])) return false;
          break;
        case calc::Step::reference:
          if (!reference(program_.references[instruction.operand])) return false;
          break;
        case calc::Step::prefix:
        case calc::Step::postfix:
          if (!unary(instruction.op)) return false;
          break;
        case calc::Step::infix:
          if (!infix(instruction.op)) return false;
          break;
        case calc::Step::call:
          if (!call(instruction)) return false;
          break;
        case calc::Step::condition: {
          const Branches& branches = program_.branches[instruction.operand];
          if (!condition(branches)) return false;
          at = branches.end - 1;
          break;
        }
        case calc::Step::jump:
          // The end of a branch.
          return stack_.size() == floor + 1;
        default:
          return false;
      }
    }
    return stack_.size() == floor + 1;
  }

  Register new_register() {
    block_of_.push_back(kNoBlock);
    return out_.registers_++;
  }
  std::uint16_t new_block() {
    if (free_.empty()) return out_.blocks_++;
    const std::uint16_t block = free_.back();
    free_.pop_back();
    return block;
  }

  // The value on top is one number.
  bool single() const { return !stack_.empty() && stack_.back().registers.size() == 1; }

  // The cell of the register is handed on as it is: a truth value must stay one.
  void needs_number(Register used) {
    restrict_place(used, [](Place& place) { place.truth_counts = place.blank_counts = false; });
  }
  // An empty cell is passed over where the register is used, not taken for 0.
  void needs_content(Register used) {
    restrict_place(used, [](Place& place) { place.blank_counts = false; });
  }
  template <class Restrict>
  void restrict_place(Register used, Restrict restrict) {
    for (std::vector<Place>* places : {&out_.fixed_, &out_.places_}) {
      for (Place& place : *places) {
        if (place.to == used) restrict(place);
      }
    }
  }

  void push(Register to, bool truth) { stack_.push_back({{to}, truth}); }

  // A step that takes the top `values` from the stack and puts its result there. Its block is free
  // for others once the result has been used, never for the step that uses it.
  void push_step(Step step, std::size_t values, bool truth, bool last_first = false) {
    step.begin = static_cast<std::uint32_t>(out_.operands_.size());
    const std::size_t floor = stack_.size() - values;
    for (std::size_t i = 0; i < values; ++i) {
      const Entry& entry = stack_[last_first ? stack_.size() - 1 - i : floor + i];
      out_.operands_.insert(out_.operands_.end(), entry.registers.begin(), entry.registers.end());
    }
    step.count = static_cast<std::uint32_t>(out_.operands_.size()) - step.begin;
    stack_.resize(floor);
    step.to = new_register();
    step.block = new_block();
    block_of_[step.to] = step.block;
    for (std::uint32_t i = 0; i < step.count; ++i) {
      const std::uint16_t used = block_of_[out_.operands_[step.begin + i]];
      if (used != kNoBlock) free_.push_back(used);
    }
    out_.steps_.push_back(step);
    push(step.to, truth);
  }

  bool constant(const standard::Operand& operand) {
    if (operand.kind != standard::Operand::Kind::value || !operand.value.is_numeric()) return false;
    const Register to = new_register();
    out_.constants_.push_back({to, operand.value.number()});
    push(to, operand.value.is_boolean());
    return true;
  }

  bool reference(const RelativeArea& r) {
    if (r.wraps || r.first_sheet != r.last_sheet || r.first_row_absolute != r.last_row_absolute ||
        r.first_column_absolute != r.last_column_absolute) {
      return false;
    }
    const std::int64_t rows = std::int64_t{r.last_row} - r.first_row + 1;
    const std::int64_t columns = std::int64_t{r.last_column} - r.first_column + 1;
    constexpr std::int64_t kMostCells = 16;
    if (rows < 1 || columns < 1 || rows * columns > kMostCells) return false;
    Entry entry;
    for (std::int32_t c = r.first_column; c <= r.last_column; ++c) {
      for (std::int32_t row = r.first_row; row <= r.last_row; ++row) {
        entry.registers.push_back(place({.sheet = r.first_sheet,
                                         .row = row,
                                         .column = c,
                                         .row_absolute = r.first_row_absolute,
                                         .column_absolute = r.first_column_absolute}));
      }
    }
    stack_.push_back(std::move(entry));
    return true;
  }

  // The register of a cell, which is read once however often the formula names it.
  Register place(Place place) {
    std::vector<Place>& places = place.row_absolute ? out_.fixed_ : out_.places_;
    const auto found = std::find_if(places.begin(), places.end(),
                                    [&](const Place& held) { return held.same_cell(place); });
    if (found != places.end()) return found->to;
    place.to = new_register();
    if (!place.row_absolute) place.block = out_.blocks_++;
    places.push_back(place);
    return place.to;
  }

  bool unary(formula::Operator op) {
    if (!single()) return false;
    if (op == formula::Operator::plus) return true;
    if (op != formula::Operator::minus && op != formula::Operator::percent) return false;
    push_step({.task = Task::unary, .op = op}, 1, false);
    return true;
  }

  bool infix(formula::Operator op) {
    if (!standard::has_kernel(op) || stack_.size() < 2 || !single() ||
        stack_[stack_.size() - 2].registers.size() != 1) {
      return false;
    }
    const bool truth = op >= formula::Operator::equal && op <= formula::Operator::greater_equal;
    push_step({.task = Task::infix, .op = op}, 2, truth);
    return true;
  }

  bool call(const Instruction& instruction) {
    const standard::StandardFunction& function = *program_.functions[instruction.operand];
    const standard::FunctionKernel* kernel = standard::find_kernel(function.name);
    if (kernel == nullptr || instruction.count == 0 || stack_.size() < instruction.count) {
      return false;
    }
    const auto arguments = std::span(stack_).last(instruction.count);
    const bool needs_values = function.takes.starts_with("v");
    for (const Entry& argument : arguments) {
      if (needs_values && argument.registers.size() != 1) return false;
      // A sum alone does not care whether it passes over a cell or adds 0.
      if (needs_values || kernel->name == "SUM") continue;
      for (const Register used : argument.registers) needs_content(used);
    }
    // As in the office, functions over lists of numbers take their last argument first.
    push_step({.task = Task::function, .kernel = kernel->kernel}, instruction.count,
              kernel->yields_truth, !needs_values);
    return true;
  }

  bool condition(const Branches& branches) {
    if (branches.begins.size() != 2 || !single()) return false;
    if (!part(branches.begins[0], branches.begins[1]) || !single()) return false;
    const bool yes = stack_.back().truth;
    if (!part(branches.begins[1], branches.end) || !single()) return false;
    const bool no = stack_.back().truth;
    // A column of results is either numbers or truth values.
    if (yes != no) return false;
    for (const Entry& arm : std::span(stack_).last(2)) needs_number(arm.registers[0]);
    push_step({.task = Task::choose}, 3, yes);
    return true;
  }

  static constexpr std::uint16_t kNoBlock = 0xFFFF;

  const Program& program_;
  ColumnProgram& out_;
  std::vector<Entry> stack_;
  std::vector<std::uint16_t> block_of_;  // of results that are used once, by register
  std::vector<std::uint16_t> free_;
};

std::unique_ptr<ColumnProgram> ColumnProgram::make(const Program& program) {
  auto out = std::make_unique<ColumnProgram>();
  if (!Builder(program, *out).build()) return nullptr;
  return out;
}

namespace {

constexpr double kNone = std::numeric_limits<double>::quiet_NaN();

// The numbers of some rows of a page, where all of them are numbers.
const double* numbers_side_by_side(const sheet::Page& page, std::size_t start, std::size_t rows) {
  if (!page.all_numbers()) {
    for (const Value::Kind kind : page.kinds().subspan(start, rows)) {
      if (kind != Value::Kind::number) return nullptr;
    }
  }
  return page.numbers().data() + start;
}

}  // namespace

const double* ColumnProgram::load(const sheet::Workbook& workbook, const Place& place,
                                  CellAddress first, std::span<double> copy) {
  const std::int32_t sheet = place.sheet < 0 ? first.sheet : place.sheet;
  const std::int32_t index = place.column_absolute ? place.column : first.column + place.column;
  const std::int32_t row = place.row_absolute ? place.row : first.row + place.row;
  const auto lanes = static_cast<std::int32_t>(copy.size());
  if (index < 0 || index >= kMaxColumns || row < 0 || row + lanes > kMaxRows) {
    std::fill(copy.begin(), copy.end(), kNone);
    return copy.data();
  }
  const sheet::Column* column = workbook.sheet(sheet).column(index);
  for (std::int32_t done = 0; done < lanes;) {
    const std::int32_t start = (row + done) % sheet::kPageRows;
    const std::int32_t rows = std::min(lanes - done, sheet::kPageRows - start);
    const auto part = copy.subspan(static_cast<std::size_t>(done), static_cast<std::size_t>(rows));
    const sheet::Page* page =
        column == nullptr ? nullptr : column->page((row + done) / sheet::kPageRows);
    done += rows;
    if (page == nullptr) {
      std::fill(part.begin(), part.end(), place.blank_counts ? 0 : kNone);
      continue;
    }
    const auto at = static_cast<std::size_t>(start);
    if (const double* numbers = numbers_side_by_side(*page, at, part.size())) {
      if (rows == lanes) return numbers;
      std::copy_n(numbers, rows, part.data());
      continue;
    }
    for (std::size_t i = 0; i < part.size(); ++i) {
      const Value::Kind kind = page->kinds()[at + i];
      const bool counts = kind == Value::Kind::number ||
                          (kind == Value::Kind::boolean && place.truth_counts) ||
                          (kind == Value::Kind::empty && place.blank_counts);
      // An empty cell holds 0, a truth value 1 or 0.
      part[i] = counts ? page->numbers()[at + i] : kNone;
    }
  }
  return copy.data();
}

void ColumnProgram::prepare(const sheet::Workbook& workbook, CellAddress any, Room& room,
                            Scratch& scratch) const {
  const std::size_t needed = std::size_t{blocks_} * kLanes;
  if (scratch.numbers.size() < needed) scratch.numbers.resize(needed);
  room.fixed.resize((constants_.size() + fixed_.size()) * kLanes);
  room.registers.resize(registers_);
  double* at = room.fixed.data();
  const auto fill = [&](Register to, double number) {
    std::fill_n(at, kLanes, number);
    room.registers[to] = {at, true};
    at += kLanes;
  };
  for (const Constant& constant : constants_) fill(constant.to, constant.number);
  for (const Place& place : fixed_) {
    double one = 0;
    fill(place.to, *load(workbook, place, any, {&one, 1}));
  }
}

bool ColumnProgram::run(const sheet::Workbook& workbook, CellAddress first, Room& room,
                        Scratch& scratch, std::span<double> out) const {
  const std::size_t n = out.size();
  const auto block = [&](std::uint16_t index) {
    return scratch.numbers.data() + std::size_t{index} * kLanes;
  };
  for (const Place& place : places_) {
    room.registers[place.to] = {load(workbook, place, first, {block(place.block), n}), false};
  }
  for (const Step& step : steps_) {
    double* to = step.to == result_ ? out.data() : block(step.block);
    scratch.arguments.clear();
    for (std::uint32_t i = 0; i < step.count; ++i) {
      scratch.arguments.push_back(room.registers[operands_[step.begin + i]]);
    }
    const std::span<const standard::Lanes> from = scratch.arguments;
    switch (step.task) {
      case Task::infix:
        standard::run_kernel(step.op, from[0], from[1], to, n);
        break;
      case Task::unary:
        standard::run_kernel(step.op, from[0], to, n);
        break;
      case Task::function:
        step.kernel(from, to, n);
        break;
      case Task::choose:
        standard::choose_lanes(from[0], from[1], from[2], to, n);
        break;
    }
    room.registers[step.to] = {to, false};
  }
  if (steps_.empty()) std::copy_n(room.registers[result_].numbers, n, out.data());
  return standard::all_numbers(out.data(), n);
}

}  // namespace loftledger::calc
