// A starter workbook at work in the engine, whose inputs are set by their validations' rules.
#pragma once

#include <optional>
#include <random>
#include <string>
#include <utility>
#include <vector>

#include "engine/calc/calculator.hpp"
#include "engine/ods/document.hpp"
#include "tests/support/books/markup.hpp"

namespace loftledger::support {

class Filled {
 public:
  using Input = std::pair<CellAddress, const InputRule*>;

  // Opens and calculates the book; problem() says what went wrong.
  Filled(const std::string& path, const Markup& book);

  const std::string& problem() const { return problem_; }
  Value value(CellAddress at) const;
  void set(CellAddress at, Value value);
  // Every input to something that its rule allows; where it is done gently, most of them to what
  // the book came with, so that each also meets plausible others.
  void shake(std::mt19937_64& random, bool gently);
  // The first cell in error and its sentence; empty where there is none.
  std::string first_error() const;
  const std::vector<Input>& inputs() const { return inputs_; }
  std::string shown_inputs() const;
  ods::Document& document() { return *document_; }

 private:
  const Markup& book_;
  Result<ods::Document> document_;
  std::string problem_;
  std::optional<calc::Calculator> calculator_;
  std::vector<Input> inputs_;
  std::vector<Value> delivered_;
};

}  // namespace loftledger::support
