// Both sides of a ratio, measured in one run.
#pragma once

#include <algorithm>
#include <chrono>
#include <limits>

namespace loftledger::bench {

// The best of several times, in seconds: what other programs on the machine add is left out.
template <class Work>
double best_of(int times, Work work) {
  double best = std::numeric_limits<double>::infinity();
  for (int i = 0; i < times; ++i) {
    const auto start = std::chrono::steady_clock::now();
    work();
    const std::chrono::duration<double> taken = std::chrono::steady_clock::now() - start;
    best = std::min(best, taken.count());
  }
  return best;
}

// The most memory that this program has held at once so far, in MiB; what the process held before
// it became this program does not count.
double peak_megabytes();

// One line of the table: what, both sides, and how many times faster the second is.
void print_ratio(const char* work, const char* reference, double reference_seconds,
                 const char* ours, double our_seconds, const char* to_reach);

}  // namespace loftledger::bench
