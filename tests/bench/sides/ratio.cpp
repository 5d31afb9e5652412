#include "tests/bench/sides/ratio.hpp"

#include <fmt/format.h>

#include <cstdio>
#include <fstream>
#include <string>

namespace loftledger::bench {

double peak_megabytes() {
  std::ifstream in("/proc/self/status");
  for (std::string line; std::getline(in, line);) {
    if (line.starts_with("VmHWM:")) return std::stod(line.substr(6)) / 1024;
  }
  return 0;
}

void print_ratio(const char* work, const char* reference, double reference_seconds,
                 const char* ours, double our_seconds, const char* to_reach) {
  fmt::print("{}\n  {:<44}{:>12.3f} ms\n  {:<44}{:>12.3f} ms\n  ratio {:.4g} (to reach: {})\n",
             work, reference, reference_seconds * 1e3, ours, our_seconds * 1e3,
             reference_seconds / our_seconds, to_reach);
  std::fflush(stdout);
}

}  // namespace loftledger::bench
