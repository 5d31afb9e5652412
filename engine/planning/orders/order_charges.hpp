// Price and freight tables as users write them, read into steps.
#pragma once

#include <optional>
#include <vector>

#include "engine/catalogue/describe.hpp"
#include "engine/planning/orders/lot_sizing.hpp"

namespace loftledger::planning {

// "from cases" and "price a case" (all units: the price holds for the whole order); a single number
// is one price for every quantity.
using PriceTable = catalogue::Columns<Count, Money>;
// "from cases", "charge an order" and, where there is one, "charge a case".
using FreightTable = catalogue::Columns<Count, Money, Money>;

// Both tables begin with the smallest order that is sold or carried; 0 means 1. Without a table
// nothing is charged. The indexes are those of the arguments.
Result<std::vector<ChargeStep>> read_charges(const std::optional<PriceTable>& prices,
                                             int price_index,
                                             const std::optional<FreightTable>& freight,
                                             int freight_index);

}  // namespace loftledger::planning
