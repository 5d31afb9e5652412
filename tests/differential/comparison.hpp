// The same formulas through the real office and through the engine.
#pragma once

#include <chrono>
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
};

class Page;  // a document of formulas

class Comparison {
 public:
  Comparison(const Material& material, support::Office& office)
      : material_(material), office_(office) {}

  // One answer a sample; none at all, and a problem, where the office fails to give them. They
  // share documents, or stand in one each: what the office shows may depend on its neighbours.
  enum class Documents { shared, own };
  std::vector<Answers> run(const std::vector<Sample>& samples,
                           Documents documents = Documents::shared);
  const std::string& problem() const { return problem_; }

 private:
  // Those samples, so many in one document.
  std::vector<Page> pages(const std::vector<Sample>& samples, std::span<const std::size_t> which,
                          std::size_t in_page);
  // One start of the office.
  support::Office::Converted converted(std::span<const Page> pages, std::chrono::seconds limit);
  // What the office has no answer to, of those samples.
  std::string culprit(const std::vector<Sample>& samples, std::vector<std::size_t> inside);
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
