#include "tests/differential/shrink.hpp"

#include "tests/differential/settled.hpp"

namespace loftledger::differential {

namespace {

constexpr int kRounds = 12;
constexpr std::size_t kMostParts = 40;

// The sample with one part less: a part replaced by one of its own parts or by something plain, a
// last argument dropped, a span or a run cut down to one cell.
std::vector<Sample> smaller(const Sample& sample) {
  std::vector<Sample> out;
  const auto add = [&](TermPointer term) {
    out.push_back(sample);
    out.back().term = std::move(term);
  };
  if (sample.rows > 1 || sample.columns > 1) {
    out.push_back(sample);
    out.back().rows = out.back().columns = 1;
  }
  if (sample.matrix) {
    out.push_back(sample);
    out.back().matrix = false;
    out.back().rows = out.back().columns = 1;
  }
  std::vector<TermPointer> parts;
  each_part(sample.term, [&](const TermPointer& part) { parts.push_back(part); });
  for (std::size_t i = 0; i < std::min(parts.size(), kMostParts); ++i) {
    const Term& part = *parts[i];
    const bool in_array = part.node.kind == formula::Kind::array;
    if (!in_array) {
      for (const TermPointer& inside : part.parts) add(replaced(sample.term, i, inside));
    }
    if (part.node.kind == formula::Kind::call && !part.parts.empty()) {
      std::vector<TermPointer> fewer(part.parts.begin(), part.parts.end() - 1);
      add(replaced(sample.term, i, call_term(part.node.text, std::move(fewer))));
    }
    if (i > 0 && size(part) > 1) {
      add(replaced(sample.term, i, number_term(1)));
      add(replaced(sample.term, i, text_term("a")));
      add(replaced(sample.term, i, array_term(1, 2, {number_term(1), number_term(2)})));
    }
    if (part.node.kind == formula::Kind::reference && part.reference.range) {
      formula::Reference cell = part.reference;
      cell.range = cell.whole_columns = cell.whole_rows = false;
      cell.last_sheet = {};
      cell.last = cell.first;
      add(replaced(sample.term, i, reference_term(std::move(cell))));
    }
    if (i > 0 && part.node.kind == formula::Kind::reference) {
      add(replaced(sample.term, i, number_term(1)));
    }
  }
  return out;
}

// What a person has to read.
std::size_t weight(const Sample& sample) {
  std::size_t sum = 0;
  each_part(sample.term, [&](const TermPointer& part) {
    sum += part->node.kind != formula::Kind::reference ? 2 : part->reference.range ? 4 : 3;
  });
  return sum + (sample.matrix ? 1 : 0) + static_cast<std::size_t>(sample.rows * sample.columns);
}

}  // namespace

void shrink(std::vector<Finding>& findings, Comparison& comparison, const Differs& differs) {
  for (int round = 0; round < kRounds; ++round) {
    std::vector<Sample> tries;
    std::vector<std::size_t> owners;
    for (std::size_t i = 0; i < findings.size(); ++i) {
      for (Sample& sample : smaller(findings[i].sample)) {
        if (weight(sample) >= weight(findings[i].sample) || !is_settled(sample)) continue;
        tries.push_back(std::move(sample));
        owners.push_back(i);
      }
    }
    if (tries.empty()) return;
    const std::vector<Answers> answers = comparison.run(tries);
    bool better = false;
    for (std::size_t i = 0; i < tries.size() && i < answers.size(); ++i) {
      if (!differs(tries[i], answers[i])) continue;
      Finding& finding = findings[owners[i]];
      if (weight(tries[i]) >= weight(finding.sample)) continue;
      finding = {tries[i], answers[i]};
      better = true;
    }
    if (!better) return;
  }
}

}  // namespace loftledger::differential
