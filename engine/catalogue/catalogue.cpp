#include "engine/catalogue/catalogue.hpp"

#include <utility>

namespace loftledger::catalogue {

Catalogue::Catalogue(std::vector<const Function*> functions) : functions_(std::move(functions)) {
  for (const Function* function : functions_) {
    index_.emplace(std::string(function->record.name), function);
    index_.emplace(folded(function->record.id), function);
    index_.emplace(stored_name(*function), function);
  }
}

const Function* Catalogue::find(std::string_view name) const {
  const auto found = index_.find(folded(name));
  return found == index_.end() ? nullptr : found->second;
}

}  // namespace loftledger::catalogue
