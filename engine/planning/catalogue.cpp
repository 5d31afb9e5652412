// The one list of areas, in the order of the reference. Functions do not register themselves: an
// explicit list has an order and does not vanish from a static library.
#include "engine/planning/catalogue.hpp"

#include <utility>
#include <vector>

#include "engine/planning/areas.hpp"

namespace loftledger::planning {

namespace {

using Area = Functions (*)();

constexpr Area kAreas[] = {
    fibre_functions,          firmness_functions,   shape_functions,
    yield_functions,          yield_book_functions, station_functions,
    quantity_functions,       freight_functions,    freight_weight_functions,
    freight_rate_functions,   pallet_functions,     money_functions,
    margin_functions,         price_functions,      opener_functions,
    stock_cost_functions,     order_functions,      order_quantity_functions,
    order_calendar_functions, season_functions,     event_functions,
    queue_functions,          preparing_functions,  day_functions,
    lifting_functions,        explaining_functions,
};

}  // namespace

const catalogue::Catalogue& catalogue() {
  static const auto* all = [] {
    std::vector<const catalogue::Function*> functions;
    for (const Area area : kAreas) {
      for (const catalogue::Function& function : area()) functions.push_back(&function);
    }
    return new catalogue::Catalogue(std::move(functions));
  }();
  return *all;
}

}  // namespace loftledger::planning
