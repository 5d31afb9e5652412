// Runs of formulas that are worked out together in loops, a block of rows at a time, so that what
// one writes is still close to the processor when the next one reads it; on as many threads as pay.
#pragma once

#include <cstdint>
#include <span>
#include <utility>
#include <vector>

#include "engine/calc/dependencies.hpp"

namespace loftledger::calc {

class Batch {
 public:
  Batch(sheet::Workbook& workbook, Dependencies& dependencies)
      : workbook_(workbook), dependencies_(dependencies) {}

  // Whether the node reads of the members only cells of its own row, so that it may join them.
  bool fits(const Node& node) const;
  // The dirty rows of the node join.
  void add(NodeId id, const ColumnProgram& program);

  struct Count {
    std::int64_t calculated = 0;  // cells, those by `single` left out
  };
  // Works out all members, which are done then and gone. A row that the loops cannot take is handed
  // to `single`, in the order in which it is needed.
  Count run(FunctionRef<void(Node& node, std::int32_t unit)> single);
  // The members go as they are.
  void drop() { members_.clear(); }

 private:
  struct Member {
    NodeId id;
    const ColumnProgram* program;
    std::int32_t first_row;
    std::int32_t end_row;
    sheet::Column* column;
  };
  // What one thread holds.
  struct Worker {
    ColumnProgram::Scratch scratch;
    std::vector<ColumnProgram::Room> rooms;  // by member
    std::int64_t calculated = 0;
    // Of the member at which a block stopped: its results, NaN where they are still to be found.
    std::span<const double> unfinished;
    // Blocks, and the members from which on they are still to be worked out.
    std::vector<std::pair<std::int32_t, std::size_t>> left;
  };
  using Single = FunctionRef<void(Node&, std::int32_t)>;

  void prepare(Worker& worker) const;
  // Works out a block of rows from that member on; where some of a member's rows must be worked out
  // by themselves it stops and says which one.
  std::size_t calculate_block(std::int32_t block, std::size_t member, Worker& worker) const;
  // A block whole: what calculate_block() leaves is worked out cell by cell.
  void finish_block(std::int32_t block, std::size_t member, Worker& worker, Single single);
  void calculate_blocks_together(std::int32_t first, std::int32_t end, std::size_t threads,
                                 Single single);

  sheet::Workbook& workbook_;
  Dependencies& dependencies_;
  std::vector<Member> members_;
  std::vector<Worker> workers_;
};

}  // namespace loftledger::calc
