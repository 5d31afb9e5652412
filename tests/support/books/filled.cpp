#include "tests/support/books/filled.hpp"

#include <fmt/format.h>

#include "engine/base/number_text.hpp"
#include "engine/planning/catalogue.hpp"

namespace loftledger::support {

Filled::Filled(const std::string& path, const Markup& book)
    : book_(book), document_(ods::Document::open(path)) {
  if (!document_.ok()) {
    problem_ = document_.error().text();
    return;
  }
  calculator_.emplace(document_->workbook(), planning::catalogue(), calc::Surroundings{});
  calculator_->recalculate();
  book_.each_cell([&](CellAddress at, const MarkedCell& cell) {
    if (!book_.follows(cell.style, "Input")) return;
    const auto rule = book_.rules.find(cell.validation);
    if (rule == book_.rules.end()) {
      problem_ = book_.place_of(at) + " has no validation";
      return;
    }
    inputs_.emplace_back(at, &rule->second);
    delivered_.push_back(value(at));
  });
}

Value Filled::value(CellAddress at) const {
  return document_->workbook().sheet(at.sheet).get(at.row, at.column);
}

void Filled::set(CellAddress at, Value value) {
  calculator_->set(at, std::move(value));
  calculator_->update();
}

void Filled::shake(std::mt19937_64& random, bool gently) {
  std::uniform_real_distribution<double> chance(0, 1);
  for (std::size_t i = 0; i < inputs_.size(); ++i) {
    const bool keep = gently && chance(random) < 0.85;
    calculator_->set(inputs_[i].first, keep ? delivered_[i] : inputs_[i].second->draw(random));
  }
  calculator_->update();
}

std::string Filled::first_error() const {
  for (const calc::CellError& error : calculator_->errors()) {
    return fmt::format("{} shows {}: {}", book_.place_of(error.cell), shown(error.error.code),
                       error.error.text());
  }
  return {};
}

std::string Filled::shown_inputs() const {
  std::string out;
  for (const auto& [at, rule] : inputs_) {
    const Value v = value(at);
    out += fmt::format(" {}={}", book_.place_of(at),
                       v.is_text()    ? std::string(v.text())
                       : v.is_empty() ? std::string("nothing")
                                      : number_text(v.number()));
  }
  return out;
}

}  // namespace loftledger::support
