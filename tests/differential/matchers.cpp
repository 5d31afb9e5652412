#include "tests/differential/matchers.hpp"

#include <algorithm>

namespace loftledger::differential {

bool any_part(const Sample& sample, const std::function<bool(const Term&)>& fits) {
  bool found = false;
  each_part(sample.term, [&](const TermPointer& part) { found = found || fits(*part); });
  return found;
}

bool any_call(const Sample& sample, const std::function<bool(const Term&)>& fits) {
  return any_part(sample, [&](const Term& part) {
    return part.node.kind == formula::Kind::call && fits(part);
  });
}

bool is_one_of(const Term& call, Names names) {
  return std::ranges::count(names, std::string_view(call.node.text)) > 0;
}

bool calls(const Sample& sample, Names names) {
  return any_call(sample, [&](const Term& call) { return is_one_of(call, names); });
}

bool takes(const Term& part, formula::Kind kind) {
  return std::ranges::any_of(
      part.parts, [kind](const TermPointer& argument) { return argument->node.kind == kind; });
}

const Term& ungrouped(const Term& term) {
  const Term* at = &term;
  while (at->node.kind == formula::Kind::group) at = at->parts[0].get();
  return *at;
}

}  // namespace loftledger::differential
