// The one list of areas, in the order of the reference. Functions do not register themselves: an
// explicit list has an order and does not vanish from a static library.
#include <string>
#include <unordered_map>
#include <vector>

#include "engine/planning/areas.hpp"

namespace loftledger::catalogue {

namespace {

using Area = planning::Functions (*)();

constexpr Area kAreas[] = {
    planning::fibre_functions,          planning::firmness_functions,
    planning::shape_functions,          planning::yield_functions,
    planning::yield_book_functions,     planning::station_functions,
    planning::quantity_functions,       planning::freight_functions,
    planning::freight_weight_functions, planning::freight_rate_functions,
    planning::pallet_functions,         planning::money_functions,
    planning::margin_functions,         planning::price_functions,
    planning::opener_functions,         planning::stock_cost_functions,
    planning::order_functions,          planning::order_quantity_functions,
    planning::order_calendar_functions, planning::season_functions,
    planning::event_functions,          planning::queue_functions,
    planning::preparing_functions,      planning::day_functions,
    planning::lifting_functions,        planning::explaining_functions,
};

}  // namespace

std::span<const Function* const> functions() {
  static const auto* all = [] {
    auto* built = new std::vector<const Function*>;
    for (const Area area : kAreas) {
      for (const Function& f : area()) built->push_back(&f);
    }
    return built;
  }();
  return *all;
}

const Function* find(std::string_view name) {
  static const auto* index = [] {
    auto* built = new std::unordered_map<std::string, const Function*>;
    for (const Function* f : functions()) {
      built->emplace(std::string(f->record.name), f);
      built->emplace(folded(f->record.id), f);
      built->emplace(stored_name(*f), f);
    }
    return built;
  }();
  const auto found = index->find(folded(name));
  return found == index->end() ? nullptr : found->second;
}

}  // namespace loftledger::catalogue
