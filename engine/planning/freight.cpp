// Freight: what it costs to bring fibre to the shop.
#include "engine/catalogue/describe.hpp"
#include "engine/planning/areas.hpp"

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
               "used. To compare loose fibre with packs, call it once with each count. ALLOCATE "
               "splits a charge so that the parts add up to the cent."},
    kLandedFreightPerUnitParameters, kLandedFreightPerUnitExamples);

constexpr Function kFunctions[] = {kLandedFreightPerUnit};

}  // namespace

Functions freight_functions() { return kFunctions; }

}  // namespace loftledger::planning
