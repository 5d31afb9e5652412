#include "engine/calc/batch.hpp"

#include <algorithm>
#include <thread>

#include "engine/calc/threads.hpp"

namespace loftledger::calc {

namespace {
// More runs than this no longer stay close to the processor together.
constexpr std::size_t kMostMembers = 64;
// Fewer cells than this are worked out before a second thread has begun.
constexpr std::int64_t kCellsForThreads = 200000;
constexpr std::size_t kMostThreads = 8;
// Blocks that a thread takes at a time: a page.
constexpr std::int32_t kBlocksAtOnce = sheet::kPageRows / kLanes;
}  // namespace

bool Batch::fits(const Node& node) const {
  if (members_.size() >= kMostMembers) return false;
  for (const RelativeArea& r : node.program->references) {
    const bool own_row = !r.wraps && !r.first_row_absolute && !r.last_row_absolute &&
                         r.first_row == 0 && r.last_row == 0;
    if (own_row) continue;
    const auto area = reach(node, r);
    if (!area) continue;
    for (const Member& member : members_) {
      if (area->meets(dependencies_.node(member.id).dirty_area())) return false;
    }
  }
  return true;
}

void Batch::add(NodeId id, const ColumnProgram& program) {
  const Node& node = dependencies_.node(id);
  members_.push_back({id, &program, node.first_row + node.dirty_first,
                      node.first_row + node.dirty_end,
                      &workbook_.sheet(node.sheet).column_to_write(node.column)});
}

Batch::Count Batch::run(Single single) {
  Count count;
  if (members_.empty()) return count;
  std::int32_t first = kMaxRows;
  std::int32_t end = 0;
  std::int64_t cells = 0;
  for (const Member& member : members_) {
    first = std::min(first, member.first_row);
    end = std::max(end, member.end_row);
    cells += member.end_row - member.first_row;
    // Threads find every page in its place.
    for (std::int32_t page = member.first_row / sheet::kPageRows;
         page <= (member.end_row - 1) / sheet::kPageRows; ++page) {
      member.column->page_to_write(page);
    }
  }
  const std::int32_t first_block = first / kLanes;
  const std::int32_t end_block = (end - 1) / kLanes + 1;
  const std::size_t threads =
      cells < kCellsForThreads
          ? 1
          : std::clamp<std::size_t>(std::thread::hardware_concurrency(), 1, kMostThreads);
  if (workers_.size() < threads) workers_.resize(threads);
  for (std::size_t i = 0; i < threads; ++i) prepare(workers_[i]);
  if (threads == 1) {
    for (std::int32_t block = first_block; block < end_block; ++block) {
      finish_block(block, 0, workers_[0], single);
    }
  } else {
    calculate_blocks_together(first_block, end_block, threads, single);
  }
  for (std::size_t i = 0; i < threads; ++i) count.calculated += workers_[i].calculated;
  for (const Member& member : members_) dependencies_.node(member.id).set_all(State::done);
  members_.clear();
  return count;
}

void Batch::prepare(Worker& worker) const {
  // What an end before its time left behind counts no more.
  worker.calculated = 0;
  worker.left.clear();
  worker.rooms.resize(std::max(worker.rooms.size(), members_.size()));
  for (std::size_t i = 0; i < members_.size(); ++i) {
    const Node& node = dependencies_.node(members_[i].id);
    members_[i].program->prepare(workbook_, {node.sheet, node.first_row, node.column},
                                 worker.rooms[i], worker.scratch);
  }
}

std::size_t Batch::calculate_block(std::int32_t block, std::size_t from, Worker& worker) const {
  for (std::size_t i = from; i < members_.size(); ++i) {
    const Member& member = members_[i];
    const std::int32_t row = std::max(block * kLanes, member.first_row);
    const std::int32_t lanes = std::min((block + 1) * kLanes, member.end_row) - row;
    if (lanes <= 0) continue;
    const Node& node = dependencies_.node(member.id);
    const std::span<double> out =
        member.column->page_to_write(row / sheet::kPageRows)
            .block_to_write(
                row % sheet::kPageRows, lanes,
                member.program->yields_truth() ? Value::Kind::boolean : Value::Kind::number);
    const bool all = member.program->run(workbook_, {node.sheet, row, node.column}, worker.rooms[i],
                                         worker.scratch, out);
    if (!all) {
      worker.unfinished = out;
      return i;
    }
    worker.calculated += lanes;
  }
  return members_.size();
}

void Batch::finish_block(std::int32_t block, std::size_t from, Worker& worker, Single single) {
  for (std::size_t i = calculate_block(block, from, worker); i < members_.size();
       i = calculate_block(block, i + 1, worker)) {
    const Member& member = members_[i];
    Node& node = dependencies_.node(member.id);
    const std::int32_t first = std::max(block * kLanes, member.first_row) - node.first_row;
    for (std::size_t lane = 0; lane < worker.unfinished.size(); ++lane) {
      if (worker.unfinished[lane] == worker.unfinished[lane]) {
        ++worker.calculated;
      } else {
        single(node, first + static_cast<std::int32_t>(lane));
      }
    }
  }
}

void Batch::calculate_blocks_together(std::int32_t first, std::int32_t end, std::size_t threads,
                                      Single single) {
  // Blocks need nothing of each other, so that it does not matter who works out which. What needs
  // the machine for single cells is left for this thread.
  share_out(first, end, kBlocksAtOnce, threads,
            [&](std::size_t worker, std::int32_t begin, std::int32_t stop) {
              Worker& own = workers_[worker];
              for (std::int32_t block = begin; block < stop; ++block) {
                const std::size_t member = calculate_block(block, 0, own);
                if (member < members_.size()) own.left.emplace_back(block, member);
              }
            });
  std::vector<std::pair<std::int32_t, std::size_t>> left;
  for (std::size_t i = 0; i < threads; ++i) {
    left.insert(left.end(), workers_[i].left.begin(), workers_[i].left.end());
    workers_[i].left.clear();
  }
  std::sort(left.begin(), left.end());
  for (const auto& [block, member] : left) finish_block(block, member, workers_[0], single);
}

}  // namespace loftledger::calc
