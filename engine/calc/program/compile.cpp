#include <fmt/format.h>

#include <algorithm>

#include "engine/base/ascii.hpp"
#include "engine/calc/program/program.hpp"
#include "engine/formula/parse.hpp"
#include "engine/standard/registry.hpp"

namespace loftledger::calc {

namespace {

using formula::Kind;
using formula::Node;
using formula::NodeIndex;
using formula::Operator;
using standard::Operand;

// Names in names in names: deeper than this they are taken for a circle.
constexpr int kMaxNameDepth = 32;

struct Compiler {
  const sheet::Workbook& workbook;
  const catalogue::Catalogue& known;
  std::int32_t sheet;
  Program program;
  std::optional<Error> fatal;
  // How far arguments of the calls at hand reach, where they are plain references.
  std::vector<std::optional<RelativeArea>> extents = {};

  // Work that is still to be done, the next on top: a tree can be deeper than the C++ stack likes.
  struct Task {
    enum class Kind : std::uint8_t {
      visit,
      emit,
      fail,
      begin_branch,
      end_branches,
      jump_to_end,
      note_extent,  // the argument just compiled says how far another one is read
      read_on,      // that other one was just compiled
    } kind;
    NodeIndex node = formula::kNoNode;
    Instruction instruction;
    std::uint32_t branches = 0;
    bool array = false;
    standard::Role role = standard::Role::plain;
  };

  void fail(Error error) {
    if (!fatal) fatal = std::move(error);
  }

  void emit(Instruction instruction) { program.code.push_back(instruction); }

  void emit_constant(Operand operand) {
    program.constants.push_back(std::move(operand));
    emit({.step = Step::constant,
          .operand = static_cast<std::uint32_t>(program.constants.size() - 1)});
  }

  // The sheet's index, -1 for the formula's own, or nothing where there is none of that name.
  std::optional<std::int32_t> sheet_of(const formula::SheetPart& part, std::int32_t otherwise) {
    if (part.lost) return std::nullopt;
    if (!part.given) return otherwise;
    return workbook.find_sheet(part.name);
  }

  void other_document(const std::string& source) {
    emit_constant(
        Error(Code::reference,
              fmt::format("references to other documents ({}) are not followed", source)));
  }

  void reference(const formula::Reference& r, CellAddress base, bool in_name) {
    if (!r.source.empty()) {
      other_document(r.source);
      return;
    }
    const auto first_sheet = sheet_of(r.first_sheet, in_name ? -2 : -1);
    const auto last_sheet =
        r.last_sheet.given || r.last_sheet.lost ? sheet_of(r.last_sheet, -1) : first_sheet;
    if (!first_sheet || !last_sheet || r.first.lost || (r.range && r.last.lost)) {
      const bool unknown = r.first_sheet.given && !r.first_sheet.lost && !first_sheet;
      emit_constant(unknown ? Operand(Error(Code::reference, fmt::format("there is no sheet \"{}\"",
                                                                         r.first_sheet.name)))
                            : Operand(Code::reference));
      return;
    }
    RelativeArea area;
    // In a named expression a reference without a sheet means the sheet where the name was made.
    area.first_sheet = *first_sheet == -2 ? base.sheet : *first_sheet;
    area.last_sheet = *last_sheet == -2 ? base.sheet : *last_sheet;
    const formula::Corner& last = r.range ? r.last : r.first;
    const auto row = [&](const formula::Corner& c) {
      return c.row_absolute ? c.row : c.row - base.row;
    };
    const auto column = [&](const formula::Corner& c) {
      return c.column_absolute ? c.column : c.column - base.column;
    };
    area.first_row = row(r.first);
    area.last_row = row(last);
    area.first_column = column(r.first);
    area.last_column = column(last);
    area.first_row_absolute = r.first.row_absolute;
    area.last_row_absolute = last.row_absolute;
    area.first_column_absolute = r.first.column_absolute;
    area.last_column_absolute = last.column_absolute;
    if (r.whole_columns) {
      area.first_row = 0;
      area.last_row = kMaxRows - 1;
      area.first_row_absolute = area.last_row_absolute = true;
    }
    if (r.whole_rows) {
      area.first_column = 0;
      area.last_column = kMaxColumns - 1;
      area.first_column_absolute = area.last_column_absolute = true;
    }
    area.range = r.range;
    area.wraps = in_name;
    program.references.push_back(area);
    emit({.step = Step::reference,
          .operand = static_cast<std::uint32_t>(program.references.size() - 1)});
  }

  void array_constant(const formula::Tree& tree, const Node& node) {
    Matrix matrix(node.rows, node.columns);
    for (std::size_t i = 0; i < node.children.size(); ++i) {
      matrix.cells()[i] = constant_value(tree, node.children[i]);
    }
    emit_constant(std::move(matrix));
  }

  Value constant_value(const formula::Tree& tree, NodeIndex index) {
    double sign = 1;
    for (const Node* node = &tree.nodes[index];; node = &tree.nodes[node->children[0]]) {
      switch (node->kind) {
        case Kind::number:
          return sign * node->number;
        case Kind::text:
          return Value(std::string_view(node->text));
        case Kind::error:
        case Kind::call:
          fail(
              Error(Code::array_content, "an inline array holds numbers, texts and TRUE or FALSE"));
          return {};
        case Kind::name:
          return Value::boolean(ascii::upper(node->text) == "TRUE");
        case Kind::prefix:
          if (node->op == Operator::minus) sign = -sign;
          break;
        default:
          return {};
      }
    }
  }

  void run(const formula::Tree& tree, CellAddress base, bool array_mode, bool in_name, int depth) {
    std::vector<Task> tasks;
    tasks.push_back(
        {.kind = Task::Kind::visit, .node = tree.root, .instruction = {}, .array = array_mode});
    while (!tasks.empty() && !fatal) {
      const Task task = tasks.back();
      tasks.pop_back();
      switch (task.kind) {
        case Task::Kind::visit:
          visit(tree, tree.nodes[task.node], task.array, base, in_name, depth, tasks);
          break;
        case Task::Kind::emit:
          emit(task.instruction);
          break;
        case Task::Kind::fail:
          fail(program.constants[task.branches].value.error());
          break;
        case Task::Kind::begin_branch:
          program.branches[task.branches].begins.push_back(position());
          break;
        case Task::Kind::jump_to_end:
          emit({.step = Step::jump, .operand = task.branches});
          break;
        case Task::Kind::end_branches:
          program.branches[task.branches].end = position();
          break;
        case Task::Kind::note_extent:
          extents.push_back(last_extent());
          break;
        case Task::Kind::read_on:
          read_on(task.role);
          break;
      }
    }
  }

  std::uint32_t position() const { return static_cast<std::uint32_t>(program.code.size()); }

  void visit(const formula::Tree& tree, const Node& node, bool array, CellAddress base,
             bool in_name, int depth, std::vector<Task>& tasks) {
    const auto push_visit = [&](NodeIndex child, bool in_array) {
      tasks.push_back(
          {.kind = Task::Kind::visit, .node = child, .instruction = {}, .array = in_array});
    };
    const auto push_emit = [&](Instruction instruction) {
      tasks.push_back({.kind = Task::Kind::emit, .instruction = instruction});
    };
    switch (node.kind) {
      case Kind::number:
        emit_constant(node.number);
        return;
      case Kind::text:
        emit_constant(Operand::text(node.text));
        return;
      case Kind::error:
        emit_constant(node.code);
        return;
      case Kind::missing:
        emit({.step = Step::missing});
        return;
      case Kind::reference:
        reference(tree.references[node.reference], base, in_name);
        return;
      case Kind::array:
        array_constant(tree, node);
        return;
      case Kind::group:
        push_visit(node.children[0], array);
        return;
      case Kind::prefix:
      case Kind::postfix:
        push_emit({.step = node.kind == Kind::prefix ? Step::prefix : Step::postfix,
                   .op = node.op,
                   .array = array});
        push_visit(node.children[0], array);
        return;
      case Kind::infix:
        // What lies between two references is read as well.
        if (node.op == Operator::range) program.dynamic = program.is_volatile = true;
        push_emit({.step = Step::infix, .op = node.op, .array = array});
        push_visit(node.children[1], array);
        push_visit(node.children[0], array);
        return;
      case Kind::name:
        name(node, array, depth);
        return;
      case Kind::label:
        emit_constant(Error(
            Code::name,
            fmt::format("the label \"{}\" is not looked up; give the cells a name", node.text)));
        return;
      case Kind::call:
        call(node, array, tasks);
        return;
    }
  }

  void name(const Node& node, bool array, int depth) {
    const std::string plain = ascii::upper(node.text);
    if (node.sheet.empty() && (plain == "TRUE" || plain == "FALSE")) {
      emit_constant(Operand::truth(plain == "TRUE"));
      return;
    }
    if (!node.source.empty()) {
      other_document(node.source);
      return;
    }
    program.uses_names = true;
    std::int32_t from = sheet;
    if (!node.sheet.empty()) {
      const auto named = workbook.find_sheet(node.sheet);
      if (!named) {
        fail(Error(Code::reference, fmt::format("there is no sheet \"{}\"", node.sheet)));
        return;
      }
      from = *named;
    }
    const sheet::NamedExpression* found = workbook.find_name(node.text, from);
    if (found == nullptr) {
      fail(Error(Code::name, fmt::format("the name \"{}\" is not known", node.text)));
      return;
    }
    if (depth >= kMaxNameDepth) {
      fail(Error(
          Code::circular,
          fmt::format("the name \"{}\" stands for itself, directly or through others", node.text)));
      return;
    }
    const Result<formula::Tree> tree =
        formula::parse(found->expression, formula::Syntax::open_formula);
    if (!tree) {
      fail(Error(tree.error().code,
                 fmt::format("the name \"{}\": {}", node.text, tree.error().text())));
      return;
    }
    run(*tree, found->base, array, true, depth + 1);
  }

  // The office's parser itself refuses a wrong count for some functions, which ends the formula
  // even where the call would never be reached.
  static bool refused_by_parser(const standard::StandardFunction& f, const Node& node,
                                const Error& error) {
    if (f.body == nullptr) return error.code != Code::missing_argument || node.children.empty();
    return error.code == Code::brackets || (f.most == 1 && f.counting == standard::Counting::usual);
  }

  void call(const Node& node, bool array, std::vector<Task>& tasks) {
    const std::string plain = ascii::upper(node.text);
    const std::size_t count = node.children.size();
    const auto visit_later = [&](NodeIndex child, bool in_array) {
      tasks.push_back(
          {.kind = Task::Kind::visit, .node = child, .instruction = {}, .array = in_array});
    };
    if (const standard::StandardFunction* f = standard::find_function(plain)) {
      const auto error = standard::wrong_count(*f, node.children.size());
      if (error && refused_by_parser(*f, node, *error)) {
        // What is wrong inside of the arguments is met before, as far as they are read.
        program.constants.emplace_back(*error);
        tasks.push_back({.kind = Task::Kind::fail,
                         .instruction = {},
                         .branches = static_cast<std::uint32_t>(program.constants.size() - 1)});
        const std::size_t read = f->body == nullptr ? count : std::min<std::size_t>(count, 1);
        for (std::size_t i = read; i-- > 0;) visit_later(node.children[i], array);
        return;
      }
      if (f->meets_errors) ++program.meeting_errors;
      const auto call_later = [&](std::size_t arguments) {
        program.functions.push_back(f);
        tasks.push_back(
            {.kind = Task::Kind::emit,
             .instruction = {.step = Step::call,
                             .array = array,
                             .meets_errors = f->meets_errors,
                             .wrong_count = error && arguments == count,
                             .count = static_cast<std::uint16_t>(arguments),
                             .operand = static_cast<std::uint32_t>(program.functions.size() - 1)}});
      };
      const bool last_counts = f->counting == standard::Counting::last && count > 1;
      if (error && (f->body == nullptr || last_counts)) {
        // An error in an argument shows before the wrong count.
        program.constants.emplace_back(*error);
        tasks.push_back(
            {.kind = Task::Kind::emit,
             .instruction = {.step = Step::refuse,
                             .meets_errors = f->meets_errors,
                             .count = static_cast<std::uint16_t>(count),
                             .operand = static_cast<std::uint32_t>(program.constants.size() - 1)}});
        if (last_counts) call_later(1);
        for (std::size_t i = count; i-- > 0;) visit_later(node.children[i], array);
        return;
      }
      if (f->body == nullptr) {
        jump(f->role, node, array, tasks);
        return;
      }
      if (f->is_volatile) program.is_volatile = true;
      if (f->role == standard::Role::finds_cells) program.dynamic = program.is_volatile = true;
      call_later(count);
      const auto note = [&](Task::Kind kind) {
        tasks.push_back({.kind = kind, .instruction = {}, .role = f->role});
      };
      const bool reads_on = extent_argument(f->role).has_value() && count > 2;
      for (std::size_t i = count; i-- > 0;) {
        if (reads_on && i == *extent_argument(f->role)) note(Task::Kind::note_extent);
        if (reads_on && i == 2) note(Task::Kind::read_on);
        visit_later(node.children[i], array || standard::take_of(*f, i) == standard::Take::array);
      }
      return;
    }
    if (const catalogue::Function* f = known.find(plain)) {
      program.planning.push_back(f);
      tasks.push_back(
          {.kind = Task::Kind::emit,
           .instruction = {.step = Step::planning,
                           .array = array,
                           .count = static_cast<std::uint16_t>(count),
                           .operand = static_cast<std::uint32_t>(program.planning.size() - 1)}});
      for (std::size_t i = count; i-- > 0;) visit_later(node.children[i], array);
      return;
    }
    fail(Error(Code::name, fmt::format("{} is not a known function", plain)));
  }

  // Which argument says how far the third one is read, whatever its own end.
  static std::optional<std::size_t> extent_argument(standard::Role role) {
    if (role == standard::Role::lays_out) return 0;
    if (role == standard::Role::runs_on) return 1;
    return std::nullopt;
  }

  // The argument just compiled, where it is a reference and nothing else.
  std::optional<RelativeArea> last_reference() const {
    if (program.code.back().step != Step::reference) return std::nullopt;
    return program.references[program.code.back().operand];
  }

  // The same, or an array that stands in the formula, as if it lay on a sheet.
  std::optional<RelativeArea> last_extent() const {
    const Instruction& last = program.code.back();
    if (last.step != Step::constant) return last_reference();
    const Operand& constant = program.constants[last.operand];
    RelativeArea out;
    if (constant.kind == Operand::Kind::matrix) {
      out.last_row = static_cast<std::int32_t>(constant.matrix->rows()) - 1;
      out.last_column = static_cast<std::int32_t>(constant.matrix->columns()) - 1;
    }
    return out;
  }

  // Whether both have the same rows and columns, whatever the cell.
  static bool same_shape(const RelativeArea& a, const RelativeArea& b) {
    return a.first_row_absolute == b.first_row_absolute &&
           a.last_row_absolute == b.last_row_absolute &&
           a.first_column_absolute == b.first_column_absolute &&
           a.last_column_absolute == b.last_column_absolute &&
           a.last_row - a.first_row == b.last_row - b.first_row &&
           a.last_column - a.first_column == b.last_column - b.first_column;
  }

  // Whether it has as many rows and columns, in this order, in all cells.
  static bool same_everywhere(const RelativeArea& r) {
    const bool moves = !r.first_row_absolute || !r.first_column_absolute;
    return r.first_row_absolute == r.last_row_absolute &&
           r.first_column_absolute == r.last_column_absolute && r.first_row <= r.last_row &&
           r.first_column <= r.last_column && !(r.wraps && moves);
  }

  // The third argument is read from its first cell as far as another one reaches: so much belongs
  // to what the formula depends on.
  void read_on(standard::Role role) {
    const std::optional<RelativeArea> extent = extents.back();
    extents.pop_back();
    const Step step = program.code.back().step;
    if (step == Step::constant || step == Step::missing) return;
    std::optional<RelativeArea> read = last_reference();
    if (extent && read && same_shape(*extent, *read)) return;
    if (!extent || !read || !same_everywhere(*extent) || !same_everywhere(*read)) {
      // How far it reaches is known only when the formula runs.
      program.dynamic = program.is_volatile = true;
      return;
    }
    std::int32_t down = extent->last_row - extent->first_row;
    std::int32_t right = extent->last_column - extent->first_column;
    if (role == standard::Role::runs_on) {
      // Along its own line, by as much as the data are long.
      const std::int32_t length = std::max(down, right);
      const bool across = read->first_row == read->last_row;
      down = across ? 0 : length;
      right = across ? length : 0;
    }
    const auto last = [](std::int32_t first, std::int32_t more, bool absolute, std::int32_t size) {
      return absolute ? std::min(first + more, size - 1) : first + more;
    };
    const std::int32_t last_row = last(read->first_row, down, read->first_row_absolute, kMaxRows);
    const std::int32_t last_column =
        last(read->first_column, right, read->first_column_absolute, kMaxColumns);
    if (last_row <= read->last_row && last_column <= read->last_column) return;
    read->last_row = std::max(read->last_row, last_row);
    read->last_column = std::max(read->last_column, last_column);
    program.references.push_back(*read);
  }

  void jump(standard::Role role, const Node& node, bool array, std::vector<Task>& tasks) {
    const std::size_t count = node.children.size();
    const auto index = static_cast<std::uint32_t>(program.branches.size());
    program.branches.emplace_back();
    const auto later = [&](Task::Kind kind) {
      tasks.push_back({.kind = kind, .instruction = {}, .branches = index});
    };
    later(Task::Kind::end_branches);
    for (std::size_t i = count; i-- > 1;) {
      later(Task::Kind::jump_to_end);
      tasks.push_back(
          {.kind = Task::Kind::visit, .node = node.children[i], .instruction = {}, .array = array});
      later(Task::Kind::begin_branch);
    }
    const Step step = role == standard::Role::condition ? Step::condition
                      : role == standard::Role::choice  ? Step::choose
                                                        : Step::error_branch;
    tasks.push_back({.kind = Task::Kind::emit,
                     .instruction = {.step = step,
                                     .array = array,
                                     .only_missing = role == standard::Role::missing_branch,
                                     .meets_errors = step == Step::error_branch,
                                     .operand = index}});
    tasks.push_back(
        {.kind = Task::Kind::visit, .node = node.children[0], .instruction = {}, .array = array});
  }
};

Program finished(Compiler& compiler) {
  if (compiler.fatal) {
    Program failing;
    failing.uses_names = compiler.program.uses_names;
    failing.constants.emplace_back(std::move(*compiler.fatal));
    failing.code.push_back({.step = Step::fail, .operand = 0});
    return failing;
  }
  return std::move(compiler.program);
}

}  // namespace

std::optional<Area> placed(const RelativeArea& relative, CellAddress cell) {
  const auto place = [&](std::int32_t value, bool absolute, std::int32_t own, std::int32_t size,
                         std::int32_t& out) {
    std::int32_t at = absolute ? value : own + value;
    if (relative.wraps && !absolute) at = (at % size + size) % size;
    out = at;
    return at >= 0 && at < size;
  };
  Area area;
  if (!place(relative.first_row, relative.first_row_absolute, cell.row, kMaxRows, area.first_row) ||
      !place(relative.last_row, relative.last_row_absolute, cell.row, kMaxRows, area.last_row) ||
      !place(relative.first_column, relative.first_column_absolute, cell.column, kMaxColumns,
             area.first_column) ||
      !place(relative.last_column, relative.last_column_absolute, cell.column, kMaxColumns,
             area.last_column)) {
    return std::nullopt;
  }
  area.first_sheet = relative.first_sheet < 0 ? cell.sheet : relative.first_sheet;
  area.last_sheet = relative.last_sheet < 0 ? cell.sheet : relative.last_sheet;
  if (area.first_row > area.last_row) std::swap(area.first_row, area.last_row);
  if (area.first_column > area.last_column) std::swap(area.first_column, area.last_column);
  if (area.first_sheet > area.last_sheet) std::swap(area.first_sheet, area.last_sheet);
  return area;
}

Program compile(const sheet::Workbook& workbook, const catalogue::Catalogue& planning,
                const formula::Tree& tree, CellAddress base, std::int32_t sheet, bool array_mode) {
  Compiler compiler{workbook, planning, sheet, {}, {}};
  compiler.run(tree, base, array_mode, false, 0);
  return finished(compiler);
}

Program compile(const sheet::Workbook& workbook, const catalogue::Catalogue& planning,
                const sheet::Shape& shape, std::int32_t sheet, bool array_mode) {
  if (shape.syntax) {
    Compiler compiler{workbook, planning, sheet, {}, shape.syntax};
    return finished(compiler);
  }
  return compile(workbook, planning, shape.tree, shape.base, sheet, array_mode);
}

}  // namespace loftledger::calc
