// Freight: what it costs to bring fibre to the shop, and who carries how much of it.
#include <fmt/format.h>

#include <cmath>

#include "engine/base/decimal.hpp"
#include "engine/base/number_text.hpp"
#include "engine/base/quantity.hpp"
#include "engine/catalogue/describe.hpp"
#include "engine/planning/areas.hpp"
#include "engine/planning/common/apportion.hpp"

namespace loftledger::planning {

using namespace catalogue;

namespace {

// --- LANDEDFREIGHTPERUNIT

Result<Money> landed_freight_per_unit(Money freight, Count cases, Count units_per_case,
                                      Money other) {
  return Money{(freight.value + other.value) / (cases.value * units_per_case.value)};
}

constexpr Parameter kLandedFreightPerUnitParameters[] = {
    {.name = "freight charge",
     .text = "What the carrier charges for the whole shipment.",
     .rule = Rule::not_negative},
    {.name = "cases", .text = "Cases in the shipment.", .rule = Rule::positive},
    {.name = "units per case",
     .text = "Bodies that a case fills, in the state in which it will be used (as delivered or "
             "opened), or packs in a case.",
     .rule = Rule::positive},
    {.name = "other charges",
     .text = "Charges of the shipment beside the freight: lift gate, storage, handling.",
     .rule = Rule::not_negative,
     .fallback = 0.0},
};
constexpr Example kLandedFreightPerUnitExamples[] = {
    {"=LANDEDFREIGHTPERUNIT(118;5;157;6.5)", 124.5 / 785, "five cases, opened"},
    {"=LANDEDFREIGHTPERUNIT(118;5;105;6.5)", 124.5 / 525, "the same cases as delivered"},
    {"=LANDEDFREIGHTPERUNIT(118;0;157)", Code::argument},
};
constexpr Function kLandedFreightPerUnit = describe<landed_freight_per_unit>(
    {.id = "landedFreightPerUnit",
     .name = "LANDEDFREIGHTPERUNIT",
     .group = Group::freight,
     .summary = "Freight and its extra charges that one body (or one pack) of a shipment carries.",
     .returns = "an amount for one unit, not rounded",
     .source = "cost of purchase includes transport and handling: IAS 2, paragraphs 10 and 11",
     .detail = "Opening fibre does not change what its freight costs; it spreads the same charge "
               "over more bodies. So take the bodies per case of the state in which the fibre is "
               "used. To compare loose fibre with packs, call it once with each count. Fibre is "
               "light, so the charge itself mostly follows the size of the case (DIMWEIGHT). "
               "ALLOCATE splits a charge so that the parts add up to the cent."},
    kLandedFreightPerUnitParameters, kLandedFreightPerUnitExamples);

// --- FREIGHTCHARGE

Result<Money> freight_charge(Money base, Ratio surcharge,
                             const std::optional<Series<Money>>& accessorials, Ratio discount,
                             Money coin) {
  const Decimal one = Decimal::whole(1);
  Decimal charge = Decimal::seen(base.value) * (one - Decimal::seen(discount.value)) *
                   (one + Decimal::seen(surcharge.value));
  if (accessorials) {
    for (std::size_t i = 0; i < accessorials->values.size(); ++i) {
      const double each = accessorials->values[i].value_or(0);
      if (each < 0) {
        return refuse(2, fmt::format("accessorials in cell {} is {}; it must be 0 or more", i + 1,
                                     plain_number(each)));
      }
      charge = charge + Decimal::seen(each);
    }
  }
  return Money{round_to(charge, coin.value)};
}

constexpr Parameter kFreightChargeParameters[] = {
    {.name = "base charge",
     .text = "The carrier's charge for the transport itself.",
     .rule = Rule::not_negative},
    {.name = "surcharge rate",
     .text = "Fuel and other surcharges, as a share of the discounted base charge.",
     .rule = Rule::share_below_one},
    {.name = "accessorials",
     .text = "Extra charges that carry no surcharge: lift gate, inside delivery, appointment; one "
             "amount or a range."},
    {.name = "discount rate",
     .text = "The shop's discount on the base charge.",
     .rule = Rule::share_below_one,
     .fallback = 0.0},
    {.name = "smallest coin",
     .text = "The charge is rounded to a multiple of this, once; 0 leaves it unrounded.",
     .rule = Rule::not_negative,
     .fallback = 0.0},
};
constexpr Example kFreightChargeExamples[] = {
    {"=FREIGHTCHARGE(118;18.5%;{12;7.5})", 159.33},
    {"=FREIGHTCHARGE(118;18.5%;;25%;0.01)", 104.87},
    {"=FREIGHTCHARGE(118;-5%)", Code::argument},
};
constexpr Function kFreightCharge = describe<freight_charge>(
    {.id = "freightCharge",
     .name = "FREIGHTCHARGE",
     .group = Group::freight,
     .summary = "What a shipment costs: base charge less discount, plus surcharge and "
                "accessorials.",
     .returns = "an amount, rounded once to the smallest coin where one is given",
     .source = "definition: base x (1 - discount) x (1 + surcharge) + accessorials",
     .detail = "An accessorial is a carrier's extra charge for extra service. The base charge "
               "comes from a table (FREIGHTFROMTABLE, FREIGHTBYRATE) or from a quote."},
    kFreightChargeParameters, kFreightChargeExamples);

// --- ALLOCATE

std::string place_in(const Matrix& m, std::size_t index) {
  return fmt::format("row {}, column {}", index / m.columns() + 1, index % m.columns() + 1);
}

// The weights of a basis: bare numbers, or quantities of one dimension in the first one's unit.
Result<std::vector<double>> basis_weights(const Matrix& basis) {
  std::vector<double> weights;
  weights.reserve(basis.size());
  const Unit* unit = nullptr;
  bool bare = false;
  for (std::size_t i = 0; i < basis.size(); ++i) {
    const Value& cell = basis.cells()[i];
    double weight = cell.number();
    if (cell.is_text()) {
      const Result<Measured> read = parse_quantity(cell.text());
      if (!read) {
        return refuse(1, fmt::format("basis in {} is \"{}\": {}", place_in(basis, i), cell.text(),
                                     read.error().text()));
      }
      if (unit == nullptr) unit = read->unit;
      if (read->unit != nullptr && read->unit->dimension != unit->dimension) {
        return refuse(1,
                      fmt::format("basis in {} is \"{}\", {}, beside {}; all must be of one kind",
                                  place_in(basis, i), cell.text(), info(read->unit->dimension).name,
                                  info(unit->dimension).name));
      }
      weight = read->unit == nullptr ? read->value : convert(read->value, *read->unit, *unit);
      bare = bare || (read->unit == nullptr && weight != 0);
    } else {
      bare = bare || weight != 0;
    }
    if (bare && unit != nullptr) {
      return refuse(1,
                    "basis has bare numbers beside quantities with a unit; give all of them a "
                    "unit or none");
    }
    if (!std::isfinite(weight) || weight < 0) {
      return refuse(1, fmt::format("basis in {} is {}; it must be 0 or more", place_in(basis, i),
                                   plain_number(weight)));
    }
    weights.push_back(weight);
  }
  return weights;
}

Result<Matrix> allocate(Money total, const Table& basis, Money coin) {
  const Result<std::vector<double>> weights = basis_weights(basis.cells);
  if (!weights) return weights.error();
  const Decimal amount = Decimal::seen(total.value);
  const Decimal size = Decimal::seen(coin.value);
  const std::optional<std::int64_t> coins = amount.steps(size, Rounding::nearest);
  if (!coins) {
    return refuse(0, fmt::format("total is {}, too many coins of {} to count exactly",
                                 plain_number(total.value), plain_number(coin.value)));
  }
  if ((amount - Decimal::whole(*coins) * size).sign() != 0) {
    return refuse(0, fmt::format("total is {}, which is no whole number of coins of {}; round it "
                                 "first (ROUNDTOCOIN)",
                                 plain_number(total.value), plain_number(coin.value)));
  }
  bool any = false;
  for (double weight : *weights) any = any || weight > 0;
  if (!any && *coins != 0) {
    return refuse(1, fmt::format("basis is 0 everywhere; there is nothing to split {} by",
                                 plain_number(total.value)));
  }
  const std::vector<std::int64_t> parts = apportion(*coins, *weights);
  Matrix out(basis.cells.rows(), basis.cells.columns());
  for (std::size_t i = 0; i < parts.size(); ++i) {
    out.cells()[i] = (Decimal::whole(parts[i]) * size).number();
  }
  return out;
}

constexpr Parameter kAllocateParameters[] = {
    {.name = "total", .text = "Amount to split; a credit is negative."},
    {.name = "basis",
     .text = "What to split by, one cell a part: masses, volumes, values or counts, all of one "
             "kind; an empty cell counts as 0."},
    {.name = "smallest coin",
     .text = "The parts are multiples of this.",
     .rule = Rule::positive,
     .fallback = 0.01},
};
constexpr Example kAllocateExamples[] = {
    {"=ALLOCATE(100;{1|1|1})", 33.34, "33.34, 33.33, 33.33"},
    {"=ALLOCATE(123.45;{\"12.5 kg\";\"30 kg\";\"7250 g\"})", 31.02, "31.02, 74.44, 17.99"},
    {"=ALLOCATE(100;{0;0})", Code::argument},
};
constexpr Function kAllocate = describe<allocate>(
    {.id = "allocate",
     .name = "ALLOCATE",
     .group = Group::freight,
     .summary = "Splits an amount by weight or value so that the parts add up to it exactly.",
     .returns =
         "an array in the shape of the basis: fill a range of that shape as a matrix formula",
     .source = "method of largest remainders (Hamilton)",
     .detail =
         "Every part is its exact share rounded down to the coin; the coins left over go to "
         "the parts with the largest remainders, and among equal ones to the first. "
         "Negative totals are split like positive ones. A part with weight 0 gets nothing. "
         "Freight of fibre is best split by what the carrier billed, so mostly by volume. Fill a "
         "column where the basis is a column: along a row, the office would repeat the first "
         "part."},
    kAllocateParameters, kAllocateExamples);

// --- BREAKEVENCASES

Result<Count> break_even_cases(Money parcel, Money pallet, Money pallet_per_case) {
  const Decimal saving = Decimal::seen(parcel.value) - Decimal::seen(pallet_per_case.value);
  if (saving.sign() <= 0) {
    return refuse(0, fmt::format("parcel charge per case is {}, no more than the pallet charge per "
                                 "case, {}; a pallet never pays",
                                 plain_number(parcel.value), plain_number(pallet_per_case.value)));
  }
  const auto cases = Decimal::seen(pallet.value).steps(saving, Rounding::up);
  if (!cases) return refuse(1, "pallet charge is too large beside what a case saves");
  return Count{static_cast<double>(*cases)};
}

constexpr Parameter kBreakEvenCasesParameters[] = {
    {.name = "parcel charge per case",
     .text = "What one case costs as a parcel.",
     .rule = Rule::positive},
    {.name = "pallet charge",
     .text = "What a pallet costs, however many cases stand on it.",
     .rule = Rule::positive},
    {.name = "pallet charge per case",
     .text = "What each case on the pallet costs on top.",
     .rule = Rule::not_negative,
     .fallback = 0.0},
};
constexpr Example kBreakEvenCasesExamples[] = {
    {"=BREAKEVENCASES(24.9;180;2.4)", 8.0},
    {"=BREAKEVENCASES(20;180)", 9.0, "as dear as nine parcels"},
    {"=BREAKEVENCASES(20;180;20)", Code::argument},
};
constexpr Function kBreakEvenCases = describe<break_even_cases>(
    {.id = "breakEvenCases",
     .name = "BREAKEVENCASES",
     .group = Group::freight,
     .summary = "Cases from which a pallet costs no more than sending them as parcels.",
     .returns = "a whole number of cases, rounded up",
     .source = "definition: pallet charge over the saving a case",
     .detail = "See that the cases fit on the pallet (CASESPERPALLET), and that the shop has room "
               "and a use for them."},
    kBreakEvenCasesParameters, kBreakEvenCasesExamples);

constexpr Function kFunctions[] = {kLandedFreightPerUnit, kFreightCharge, kAllocate,
                                   kBreakEvenCases};

}  // namespace

Functions freight_functions() { return kFunctions; }

}  // namespace loftledger::planning
