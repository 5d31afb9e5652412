// How time and memory grow with the number of formula cells: each size in a process of its own, so
// that its memory is its own.
#include <fmt/format.h>

#include <cstdio>
#include <filesystem>
#include <string>

#include "engine/calc/calculator.hpp"
#include "engine/engine.hpp"
#include "engine/planning/catalogue.hpp"
#include "tests/bench/sides/big_book.hpp"
#include "tests/bench/sides/ratio.hpp"
#include "tests/support/system/files.hpp"
#include "tests/support/system/process.hpp"

namespace loftledger::bench {
namespace {

constexpr const char* kOneSize = "--cells";
constexpr std::int32_t kSizes[] = {1000, 10000, 100000, 1000000};
constexpr int kTimes = 30;
constexpr std::chrono::seconds kLimit{120};

int measure_here(std::int32_t cells) {
  const double before = peak_megabytes();
  sheet::Workbook workbook;
  const double filled = best_of(1, [&] { fill(workbook, cells / kFormulaColumns); });
  calc::Calculator calculator(workbook, planning::catalogue(), {});
  const double first = best_of(1, [&] { calculator.recalculate(); });
  const double again = best_of(kTimes, [&] { calculator.recalculate(); });
  const double megabytes = peak_megabytes() - before;
  // Changes the way programs make them.
  const support::TemporaryFolder folder;
  const std::filesystem::path file = folder.path() / "growth.fods";
  write_flat(file, cells / kFormulaColumns);
  Result<Book> book = Book::open(file, {});
  if (!book) {
    fmt::print("{}\n", book.error().text());
    return 1;
  }
  book->recalculate();
  double value = kFactor;
  bool refused = false;
  const auto change = [&](CellAddress cell) {
    return best_of(kTimes, [&] {
      refused = !book->set(cell, value += 0.001) || refused;
      book->update();
    });
  };
  const double all = change({0, 0, kFactorColumn});
  const double one = change({0, cells / kFormulaColumns / 2, 0});
  if (refused || book->calculated() != kFormulaColumns) {
    fmt::print("a change reached {} cells\n", book->calculated());
    return 1;
  }
  fmt::print("{:>9}{:>12.2f}{:>12.3f}{:>12.3f}{:>12.3f}{:>12.4f}{:>10.2f}{:>9.0f}\n", cells,
             filled * 1e3, first * 1e3, again * 1e3, all * 1e3, one * 1e3, megabytes,
             megabytes * 0x1p20 / cells);
  return 0;
}

int run() {
  fmt::print(
      "{:>9}{:>12}{:>12}{:>12}{:>12}{:>12}{:>10}{:>9}\n{:>9}{:>12}{:>12}{:>12}{:>12}{:>12}"
      "{:>10}{:>9}\n",
      "formula", "formulas", "first", "all", "changed:", "changed:", "memory", "bytes", "cells",
      "read, ms", "time, ms", "anew, ms", "all, ms", "8, ms", "MiB", "a cell");
  const std::string self = std::filesystem::read_symlink("/proc/self/exe");
  for (const std::int32_t size : kSizes) {
    const support::Finished done = support::run({self, kOneSize, std::to_string(size)}, kLimit);
    fmt::print("{}", done.output);
    std::fflush(stdout);
    if (!done.ok()) return 1;
  }
  return 0;
}

}  // namespace
}  // namespace loftledger::bench

int main(int count, char** words) {
  using namespace loftledger::bench;
  return count == 3 && std::string(words[1]) == kOneSize ? measure_here(std::stoi(words[2]))
                                                         : run();
}
