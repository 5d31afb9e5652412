#include "engine/calc/columns.hpp"

#include <algorithm>
#include <cmath>

namespace loftledger::calc {

namespace {
// More registers than this would no longer stay close to the processor.
constexpr std::uint16_t kMostRegisters = 48;
}  // namespace

// Follows the stack machine's steps with register numbers in place of values.
class ColumnProgram::Builder {
 public:
  Builder(const Program& program, ColumnProgram& out) : program_(program), out_(out) {}

  bool build() {
    const auto end = static_cast<std::uint32_t>(program_.code.size());
    if (program_.dynamic || program_.is_volatile || !part(0, end) || kinds_.size() != 1) {
      return false;
    }
    out_.yields_truth_ = kinds_[0] == Kind::truth;
    return true;
  }

 private:
  // What a register holds; a spread stands for the cells of one range, argument of a function.
  enum class Kind : std::uint8_t { number, truth };

  // Steps from begin to end leave exactly one register more.
  bool part(std::uint32_t begin, std::uint32_t end) {
    const std::size_t floor = kinds_.size();
    for (std::uint32_t at = begin; at < end; ++at) {
      const Instruction& instruction = program_.code[at];
      if (instruction.array || kinds_.size() + 4 > kMostRegisters) return false;
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
          return kinds_.size() == floor + 1;
        default:
          return false;
      }
    }
    return kinds_.size() == floor + 1;
  }

  void push(Kind kind, Step step) {
    step.to = static_cast<std::uint16_t>(kinds_.size());
    kinds_.push_back(kind);
    widths_.push_back(1);
    out_.registers_ =
        std::max<std::uint16_t>(out_.registers_, static_cast<std::uint16_t>(kinds_.size()));
    out_.steps_.push_back(step);
  }
  void pop() {
    kinds_.pop_back();
    widths_.pop_back();
  }
  // Every register on top that is one value by itself.
  bool single() const { return !kinds_.empty() && widths_.back() == 1; }

  bool constant(const standard::Operand& operand) {
    if (operand.kind != standard::Operand::Kind::value || !operand.value.is_numeric()) return false;
    out_.numbers_.push_back(operand.value.number());
    push(operand.value.is_boolean() ? Kind::truth : Kind::number,
         {.task = Task::constant, .index = static_cast<std::uint32_t>(out_.numbers_.size() - 1)});
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
    if (kinds_.size() + static_cast<std::size_t>(rows * columns) > kMostRegisters) return false;
    for (std::int32_t c = r.first_column; c <= r.last_column; ++c) {
      for (std::int32_t row = r.first_row; row <= r.last_row; ++row) {
        out_.places_.push_back(
            {r.first_sheet, row, c, r.first_row_absolute, r.first_column_absolute});
        push(Kind::number,
             {.task = Task::load, .index = static_cast<std::uint32_t>(out_.places_.size() - 1)});
      }
    }
    // A range counts as one argument of so many registers.
    const auto cells = static_cast<std::uint16_t>(rows * columns);
    widths_[widths_.size() - cells] = cells;
    for (std::size_t i = 1; i < cells; ++i) widths_[widths_.size() - i] = 0;
    return true;
  }

  bool unary(formula::Operator op) {
    if (!single()) return false;
    if (op == formula::Operator::plus) return true;
    if (op != formula::Operator::minus && op != formula::Operator::percent) return false;
    pop();
    push(Kind::number, {.task = op == formula::Operator::minus ? Task::negate : Task::percent});
    return true;
  }

  bool infix(formula::Operator op) {
    if (!standard::has_kernel(op) || !single()) return false;
    pop();
    if (!single()) return false;
    pop();
    const bool truth = op >= formula::Operator::equal && op <= formula::Operator::greater_equal;
    push(truth ? Kind::truth : Kind::number, {.task = Task::infix, .op = op});
    return true;
  }

  bool call(const Instruction& instruction) {
    const standard::FunctionKernel* kernel =
        standard::find_kernel(program_.functions[instruction.operand]->name);
    if (kernel == nullptr || instruction.count == 0) return false;
    std::size_t registers = 0;
    for (std::uint16_t i = 0; i < instruction.count; ++i) {
      // Registers of a range carry its width on the first of them.
      std::size_t cells = 0;
      while (widths_[widths_.size() - 1 - registers - cells] == 0) ++cells;
      registers += cells + 1;
    }
    const bool needs_values = program_.functions[instruction.operand]->takes.starts_with("v");
    if (needs_values && registers != instruction.count) return false;
    for (std::size_t i = 0; i < registers; ++i) pop();
    out_.kernels_.push_back(kernel);
    push(kernel->yields_truth ? Kind::truth : Kind::number,
         {.task = Task::function,
          .count = static_cast<std::uint16_t>(registers),
          .index = static_cast<std::uint32_t>(out_.kernels_.size() - 1)});
    return true;
  }

  bool condition(const Branches& branches) {
    if (branches.begins.size() != 2 || !single()) return false;
    if (!part(branches.begins[0], branches.begins[1]) || !single() ||
        !part(branches.begins[1], branches.end) || !single()) {
      return false;
    }
    const Kind no = kinds_.back();
    pop();
    const Kind yes = kinds_.back();
    pop();
    // A column of results is either numbers or truth values.
    if (yes != no) return false;
    pop();
    push(yes, {.task = Task::choose});
    return true;
  }

  const Program& program_;
  ColumnProgram& out_;
  std::vector<Kind> kinds_;
  std::vector<std::uint16_t> widths_;
};

std::unique_ptr<ColumnProgram> ColumnProgram::make(const Program& program) {
  auto out = std::make_unique<ColumnProgram>();
  if (!Builder(program, *out).build()) return nullptr;
  return out;
}

const double* ColumnProgram::load(const sheet::Workbook& workbook, const Place& place,
                                  CellAddress first, std::int32_t lanes, double* room) const {
  const std::int32_t sheet = place.sheet < 0 ? first.sheet : place.sheet;
  const std::int32_t index = place.column_absolute ? place.column : first.column + place.column;
  const std::int32_t row = place.row_absolute ? place.row : first.row + place.row;
  const std::int32_t rows = place.row_absolute ? 1 : lanes;
  if (index < 0 || index >= kMaxColumns || row < 0 || row + rows > kMaxRows) return nullptr;
  const sheet::Column* column = workbook.sheet(sheet).column(index);
  if (column == nullptr) return nullptr;
  const auto part_of = [&](std::int32_t from, std::int32_t count) -> const double* {
    const sheet::Page* page = column->page(from / sheet::kPageRows);
    if (page == nullptr) return nullptr;
    const auto start = static_cast<std::size_t>(from % sheet::kPageRows);
    const auto length = static_cast<std::size_t>(count);
    if (!page->all_numbers()) {
      for (const Value::Kind kind : page->kinds().subspan(start, length)) {
        if (kind != Value::Kind::number) return nullptr;
      }
    }
    return page->numbers().data() + start;
  };
  if (place.row_absolute) {
    const double* one = part_of(row, 1);
    if (one == nullptr) return nullptr;
    std::fill_n(room, lanes, *one);
    return room;
  }
  const std::int32_t in_page = std::min(lanes, sheet::kPageRows - row % sheet::kPageRows);
  const double* head = part_of(row, in_page);
  if (head == nullptr || in_page == lanes) return head;
  const double* tail = part_of(row + in_page, lanes - in_page);
  if (tail == nullptr) return nullptr;
  std::copy_n(head, in_page, room);
  std::copy_n(tail, lanes - in_page, room + in_page);
  return room;
}

const double* ColumnProgram::run(const sheet::Workbook& workbook, CellAddress first,
                                 std::int32_t lanes, Room& room) const {
  room.numbers.resize(std::size_t{registers_} * kLanes);
  room.registers.resize(registers_);
  const auto n = static_cast<std::size_t>(lanes);
  for (const Step& step : steps_) {
    double* out = room.numbers.data() + std::size_t{step.to} * kLanes;
    const double** registers = room.registers.data() + step.to;
    switch (step.task) {
      case Task::load:
        registers[0] = load(workbook, places_[step.index], first, lanes, out);
        if (registers[0] == nullptr) return nullptr;
        continue;
      case Task::constant:
        std::fill_n(out, n, numbers_[step.index]);
        break;
      case Task::infix:
        standard::run_kernel(step.op, registers[0], registers[1], out, n);
        break;
      case Task::negate:
        for (std::size_t i = 0; i < n; ++i) out[i] = 0 - registers[0][i];
        break;
      case Task::percent:
        for (std::size_t i = 0; i < n; ++i) out[i] = registers[0][i] / 100;
        break;
      case Task::function:
        kernels_[step.index]->kernel({registers, step.count}, out, n);
        break;
      case Task::choose:
        standard::choose_lanes(registers[0], registers[1], registers[2], out, n);
        break;
    }
    registers[0] = out;
  }
  const double* result = room.registers[0];
  int broken = 0;
  for (std::size_t i = 0; i < n; ++i) broken |= static_cast<int>(result[i] != result[i]);
  return broken != 0 ? nullptr : result;
}

}  // namespace loftledger::calc
