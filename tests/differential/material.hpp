// What random formulas are made of: the calls that the tables of tests/data/standard hold, with the
// cells that they read, and some cells of every kind.
#pragma once

#include <cstdint>
#include <filesystem>
#include <map>
#include <random>
#include <string>
#include <string_view>
#include <vector>

#include "engine/standard/call/call.hpp"
#include "tests/differential/term.hpp"
#include "tests/support/office/flat.hpp"

namespace loftledger::differential {

// A function to draw, and the calls of it that the tables hold. The four that are jumps of the
// interpreter have no record.
struct Drawn {
  std::string name;
  const standard::StandardFunction* record = nullptr;
  std::vector<std::vector<TermPointer>> calls;
};

struct Filled {
  std::string sheet;
  std::int32_t rows = 0;
  std::int32_t columns = 0;
};

class Material {
 public:
  // Reads the tables. What is wrong stands in problem().
  Material();

  const std::string& problem() const { return problem_; }
  const std::vector<Drawn>& functions() const { return functions_; }
  const Drawn* find(std::string_view name) const;
  // The sheets with data, in the order in which add_to writes them.
  const std::vector<Filled>& sheets() const { return sheets_; }
  const std::vector<std::string>& names() const { return names_; }
  // The sheets, those of the tables first, and the names; how texts match is told by the variant.
  void add_to(support::FlatDocument& document, std::size_t variant) const;

 private:
  struct Cell {
    std::int32_t row = 0;
    std::int32_t column = 0;
    Value value;
    std::string formula;
  };
  struct Sheet {
    std::string name;
    std::vector<Cell> cells;
  };
  void read_table(const std::filesystem::path& path);
  void read_call(const formula::Tree& tree, const formula::Node& node, const std::string& sheet);
  void add_kinds(support::FlatDocument& document) const;

  std::string problem_;
  std::vector<Drawn> functions_;
  std::map<std::string, std::size_t, std::less<>> index_;
  std::vector<Sheet> tables_;
  std::vector<Filled> sheets_;
  std::vector<std::string> names_;
};

// Values at the edges of what functions take.
const std::vector<double>& odd_numbers();
const std::vector<std::string>& odd_texts();

}  // namespace loftledger::differential
