// The functions of each area; registry.cpp puts them into one list.
#pragma once

#include <span>

#include "engine/standard/call/call.hpp"

namespace loftledger::standard {

using StandardFunctions = std::span<const StandardFunction>;

StandardFunctions bessel_functions();
StandardFunctions code_functions();
StandardFunctions complex_functions();
StandardFunctions conditional_functions();
StandardFunctions correlation_functions();
StandardFunctions database_functions();
StandardFunctions date_functions();
StandardFunctions day_count_functions();
StandardFunctions depreciation_functions();
StandardFunctions discrete_functions();
StandardFunctions distribution_functions();
StandardFunctions financial_functions();
StandardFunctions forecast_functions();
StandardFunctions hypothesis_functions();
StandardFunctions information_functions();
StandardFunctions integer_functions();
StandardFunctions jump_functions();
StandardFunctions logic_functions();
StandardFunctions lookup_functions();
StandardFunctions math_functions();
StandardFunctions matrix_functions();
StandardFunctions numeral_functions();
StandardFunctions odd_first_functions();
StandardFunctions office_functions();
StandardFunctions radix_functions();
StandardFunctions rank_functions();
StandardFunctions reference_functions();
StandardFunctions regression_functions();
StandardFunctions rounding_functions();
StandardFunctions security_functions();
StandardFunctions statistics_functions();
StandardFunctions sum_functions();
StandardFunctions text_functions();
StandardFunctions total_functions();
StandardFunctions unit_functions();
StandardFunctions what_if_functions();

}  // namespace loftledger::standard
