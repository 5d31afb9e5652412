// The planning functions that there are, as one that is handed on: whoever calculates gets it from
// whoever knows them all.
#pragma once

#include <span>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

#include "engine/catalogue/function.hpp"

namespace loftledger::catalogue {

class Catalogue {
 public:
  // Of no functions.
  Catalogue() = default;
  // The functions must outlive it.
  explicit Catalogue(std::vector<const Function*> functions);

  // In the order of the reference.
  std::span<const Function* const> functions() const { return functions_; }

  // By display name ("BODIESPERCASE"), id, or stored name ("LOFTLEDGER.PLANNING.BODIESPERCASE"),
  // without regard to case; nullptr where there is none.
  const Function* find(std::string_view name) const;

 private:
  std::vector<const Function*> functions_;
  std::unordered_map<std::string, const Function*> index_;
};

}  // namespace loftledger::catalogue
