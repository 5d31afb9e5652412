// The areas of the trade; each file gives the span of its functions, and catalogue.cpp lists them.
#pragma once

#include <span>

#include "engine/catalogue/function.hpp"

namespace loftledger::planning {

using Functions = std::span<const catalogue::Function>;

Functions fibre_functions();
Functions firmness_functions();
Functions shape_functions();
Functions yield_functions();
Functions yield_book_functions();
Functions station_functions();
Functions quantity_functions();
Functions freight_functions();
Functions freight_weight_functions();
Functions freight_rate_functions();
Functions pallet_functions();
Functions money_functions();
Functions margin_functions();
Functions price_functions();
Functions opener_functions();
Functions stock_cost_functions();
Functions order_functions();
Functions order_quantity_functions();
Functions order_calendar_functions();
Functions season_functions();
Functions event_functions();
Functions queue_functions();
Functions preparing_functions();
Functions day_functions();
Functions lifting_functions();
Functions explaining_functions();

}  // namespace loftledger::planning
