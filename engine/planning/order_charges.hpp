// Price and freight tables as users write them, read into steps.
#pragma once

#include <optional>
#include <vector>

#include "engine/catalogue/describe.hpp"
#include "engine/planning/lot_sizes.hpp"

namespace loftledger::planning {

// A price table has two columns, "from cases" and "price a case" (all units: the price holds for
// the whole order); a single number is one price for every quantity. A freight table has "from
// cases", "charge an order" and, where wanted, "charge a case". A first row of words is passed over
// as a heading, and so are empty rows. Both begin with the smallest order that is sold or carried;
// 0 means 1. Without a table nothing is charged. The indexes are those of the arguments.
Result<std::vector<ChargeStep>> read_charges(const std::optional<catalogue::Table>& prices,
                                             int price_index,
                                             const std::optional<catalogue::Table>& freight,
                                             int freight_index);

}  // namespace loftledger::planning
