// The part of the calculator that works out runs of formulas in loops, on as many threads as pay.
#include <algorithm>
#include <atomic>
#include <system_error>
#include <thread>
#include <utility>

#include "engine/calc/calculator.hpp"

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

bool Calculator::fits_batch(const Node& node) const {
  if (batch_.size() >= kMostMembers) return false;
  for (const RelativeArea& r : node.program->references) {
    const bool own_row = !r.wraps && !r.first_row_absolute && !r.last_row_absolute &&
                         r.first_row == 0 && r.last_row == 0;
    if (own_row) continue;
    const auto area = reach(node, r);
    if (!area) continue;
    for (const Member& member : batch_) {
      const Node& other = nodes_[member.id];
      if (area->first_sheet <= other.sheet && other.sheet <= area->last_sheet &&
          area->first_column <= other.column && other.column <= area->last_column &&
          area->first_row < member.end_row && member.first_row <= area->last_row) {
        return false;
      }
    }
  }
  return true;
}

void Calculator::calculate_batch() {
  if (batch_.empty()) return;
  checking_ = false;
  stop_ = false;
  std::int32_t first = kMaxRows;
  std::int32_t end = 0;
  std::int64_t cells = 0;
  for (const Member& member : batch_) {
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
      finish_block(block, 0, workers_[0]);
    }
  } else {
    calculate_blocks_together(first_block, end_block, threads);
  }
  for (std::size_t i = 0; i < threads; ++i) {
    in_loops_ += workers_[i].calculated;
    calculated_ += std::exchange(workers_[i].calculated, 0);
  }
  for (const Member& member : batch_) nodes_[member.id].set_all(State::done);
  batch_.clear();
}

void Calculator::prepare(Worker& worker) const {
  worker.rooms.resize(std::max(worker.rooms.size(), batch_.size()));
  for (std::size_t i = 0; i < batch_.size(); ++i) {
    const Node& node = nodes_[batch_[i].id];
    batch_[i].program->prepare(workbook_, {node.sheet, node.first_row, node.column},
                               worker.rooms[i], worker.scratch);
  }
}

std::size_t Calculator::calculate_block(std::int32_t block, std::size_t from,
                                        Worker& worker) const {
  for (std::size_t i = from; i < batch_.size(); ++i) {
    const Member& member = batch_[i];
    const std::int32_t row = std::max(block * kLanes, member.first_row);
    const std::int32_t lanes = std::min((block + 1) * kLanes, member.end_row) - row;
    if (lanes <= 0) continue;
    const Node& node = nodes_[member.id];
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
  return batch_.size();
}

void Calculator::finish_block(std::int32_t block, std::size_t from, Worker& worker) {
  for (std::size_t i = calculate_block(block, from, worker); i < batch_.size();
       i = calculate_block(block, i + 1, worker)) {
    const Member& member = batch_[i];
    Node& node = nodes_[member.id];
    const std::int32_t first = std::max(block * kLanes, member.first_row) - node.first_row;
    for (std::size_t lane = 0; lane < worker.unfinished.size(); ++lane) {
      if (worker.unfinished[lane] == worker.unfinished[lane]) {
        ++worker.calculated;
      } else {
        compute(node, first + static_cast<std::int32_t>(lane));
      }
    }
  }
}

void Calculator::calculate_blocks_together(std::int32_t first, std::int32_t end,
                                           std::size_t threads) {
  // Blocks need nothing of each other, so that it does not matter who works out which. What needs
  // the machine for single cells is left for this thread.
  std::atomic<std::int32_t> next = first;
  const auto work = [&](Worker& worker) {
    for (;;) {
      const std::int32_t begin = next.fetch_add(kBlocksAtOnce, std::memory_order_relaxed);
      if (begin >= end) return;
      for (std::int32_t block = begin; block < std::min(begin + kBlocksAtOnce, end); ++block) {
        const std::size_t member = calculate_block(block, 0, worker);
        if (member < batch_.size()) worker.left.emplace_back(block, member);
      }
    }
  };
  {
    std::vector<std::jthread> others;
    try {
      for (std::size_t i = 1; i < threads; ++i) {
        others.emplace_back([&work, &worker = workers_[i]] { work(worker); });
      }
    } catch (const std::system_error&) {
      // No more threads are to be had: those that run take all blocks.
    }
    work(workers_[0]);
  }
  std::vector<std::pair<std::int32_t, std::size_t>> left;
  for (std::size_t i = 0; i < threads; ++i) {
    left.insert(left.end(), workers_[i].left.begin(), workers_[i].left.end());
    workers_[i].left.clear();
  }
  std::sort(left.begin(), left.end());
  for (const auto& [block, member] : left) finish_block(block, member, workers_[0]);
}

}  // namespace loftledger::calc
