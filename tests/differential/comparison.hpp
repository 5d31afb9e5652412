// The same formulas through the real office and through the engine.
#pragma once

#include <cstddef>
#include <filesystem>
#include <span>
#include <string>
#include <vector>

#include "tests/differential/generator.hpp"
#include "tests/differential/material.hpp"
#include "tests/support/office/office.hpp"

namespace loftledger::differential {

// What one sample's cells show, row by row of its span.
struct Answers {
  std::vector<Value> office;
  std::vector<Value> engine;
  bool office_failed = false;  // the office ended or hung over it
};

class Page;  // a document of formulas

class Comparison {
 public:
  Comparison(const Material& material, support::Office& office)
      : material_(material), office_(office) {}

  // One answer a sample.
  std::vector<Answers> run(const std::vector<Sample>& samples);
  const std::string& problem() const { return problem_; }

 private:
  // Those samples, so many in one document.
  void run(const std::vector<Sample>& samples, std::span<const std::size_t> which,
           std::size_t in_page, std::vector<Answers>& out);
  void read(const Page& page, const std::filesystem::path& file, const std::vector<Sample>& samples,
            std::vector<Answers>& out);

  const Material& material_;
  support::Office& office_;
  std::string problem_;
  int documents_ = 0;
};

// True where both show the same; numbers within the tolerance, relative.
bool agree(const Value& office, const Value& engine, double tolerance);

}  // namespace loftledger::differential
