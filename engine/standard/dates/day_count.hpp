// Counting days as bonds and YEARFRAC do: the bases of OpenFormula 4.11.7.
#pragma once

#include <cstdint>
#include <optional>

namespace loftledger::standard {

// How days and years are counted, numbered as the functions take it.
enum class Basis : std::uint8_t {
  american,    // months of 30 days, as in the USA (30/360)
  actual,      // actual days in actual years
  actual_360,  // actual days in years of 360
  actual_365,  // actual days in years of 365
  european     // months of 30 days, as in Europe (30E/360)
};

// The basis of that number; nothing where there is none.
std::optional<Basis> basis_of(double number);

// Whether months have 30 days.
constexpr bool counts_thirties(Basis basis) {
  return basis == Basis::american || basis == Basis::european;
}

// The days in a year of the basis, where that is the same for all years: not for actual years.
constexpr double days_in_year(Basis basis) { return basis == Basis::actual_365 ? 365 : 360; }

// The days from the earlier day to the later one as the basis counts them.
std::int64_t days_between(std::int64_t first, std::int64_t last, Basis basis);

// The same where months of 30 days leave every date as it stands, but for what an American February
// is short of; and actual years are as long as the first (how the office counts accrued interest).
double accrued_years(std::int64_t first, std::int64_t last, Basis basis);

// Days in months of 30 as DAYS360 counts them for the USA: once the first date has become a 30th,
// the 31st follows it, and no other end of February does.
std::int64_t days_360(std::int64_t first, std::int64_t last);

// The time between two days in years, without regard to which is the earlier.
double share_of_year(std::int64_t a, std::int64_t b, Basis basis);

}  // namespace loftledger::standard
