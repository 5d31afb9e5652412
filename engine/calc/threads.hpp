// Work shared out among threads.
#pragma once

#include <atomic>
#include <cstddef>
#include <cstdint>
#include <exception>
#include <new>
#include <system_error>
#include <thread>
#include <vector>

namespace loftledger::calc {

// Hands out the numbers from `first` to before `end`, some at a time, to so many workers, this
// thread among them: work(worker, begin, end). It does not matter who gets what. Where fewer
// threads are to be had, those that run take all. An exception ends the handing out; it is thrown
// here once all threads have ended (of several, that of the first worker).
template <class Work>
void share_out(std::int32_t first, std::int32_t end, std::int32_t at_once, std::size_t workers,
               const Work& work) {
  std::atomic<std::int32_t> next = first;
  std::vector<std::exception_ptr> thrown(workers);
  const auto take = [&](std::size_t worker) noexcept {
    try {
      for (;;) {
        const std::int32_t begin = next.fetch_add(at_once, std::memory_order_relaxed);
        if (begin >= end) return;
        work(worker, begin, begin + at_once < end ? begin + at_once : end);
      }
    } catch (...) {
      thrown[worker] = std::current_exception();
      next.store(end, std::memory_order_relaxed);
    }
  };
  {
    std::vector<std::jthread> others;
    try {
      others.reserve(workers);
      for (std::size_t i = 1; i < workers; ++i) others.emplace_back([&take, i] { take(i); });
    } catch (const std::system_error&) {
      // No more threads are to be had.
    } catch (const std::bad_alloc&) {
      // Nor memory for one.
    }
    take(0);
  }
  for (const std::exception_ptr& each : thrown) {
    if (each) std::rethrow_exception(each);
  }
}

}  // namespace loftledger::calc
