// Fibre: bulk, fill and yield.
#include "engine/catalogue/describe.hpp"
#include "engine/planning/areas.hpp"

namespace loftledger::planning {

using namespace catalogue;

namespace {

// --- LOFTFACTOR

Result<Number> loft_factor(Volume packed, Volume opened) {
  return Number{opened.value / packed.value};
}

constexpr Parameter kLoftFactorParameters[] = {
    {.name = "packed volume",
     .text = "Volume of the fibre as it stands packed in the case.",
     .rule = Rule::positive},
    {.name = "opened volume",
     .text = "Volume of the same mass of fibre once it is opened and lies loose.",
     .rule = Rule::positive},
};
constexpr Example kLoftFactorExamples[] = {
    {"=LOFTFACTOR(\"96 L\";\"750 L\")", 7.8125},
    {"=LOFTFACTOR(2;15)", 7.5},
    {"=LOFTFACTOR(0;15)", Code::argument},
};
constexpr Function kLoftFactor = describe<loft_factor>(
    {.id = "loftFactor",
     .name = "LOFTFACTOR",
     .group = Group::fibre,
     .summary = "How many times its packed volume a fibre takes up once it is opened.",
     .returns = "opened volume over packed volume of the same mass, a plain number",
     .source = "definition",
     .detail = "A loft factor is not a gain in bodies: a body is pressed to a firmness, so a case "
               "fills far fewer extra bodies than its loft suggests. OPENINGGAIN measures that."},
    kLoftFactorParameters, kLoftFactorExamples);

// --- BODIESPERCASE

Result<Count> bodies_per_case(Mass case_mass, Mass fill_mass, Ratio loss) {
  return Count{case_mass.value * (1 - loss.value) / fill_mass.value};
}

constexpr Parameter kBodiesPerCaseParameters[] = {
    {.name = "case mass", .text = "Net mass of fibre in one case.", .rule = Rule::positive},
    {.name = "fill mass", .text = "Mean mass of fibre in one body.", .rule = Rule::positive},
    {.name = "loss",
     .text = "Share of the fibre that ends up in no body: spilt, swept up, left in the machine.",
     .rule = Rule::share_below_one,
     .fallback = 0.0},
};
constexpr Example kBodiesPerCaseExamples[] = {
    {"=BODIESPERCASE(\"10 kg\";\"160 g\";4%)", 60.0},
    {"=BODIESPERCASE(9;0.15)", 60.0},
    {"=BODIESPERCASE(10;\"160 g\")", Code::argument, "a bare number beside a mass with a unit"},
};
constexpr Function kBodiesPerCase = describe<bodies_per_case>(
    {.id = "bodiesPerCase",
     .name = "BODIESPERCASE",
     .group = Group::fibre,
     .summary = "Bodies that a case fills on average, over many cases.",
     .returns = "a count, not rounded: a part-used case carries over into the next",
     .source = "mass balance"},
    kBodiesPerCaseParameters, kBodiesPerCaseExamples);

constexpr Function kFunctions[] = {kLoftFactor, kBodiesPerCase};

}  // namespace

Functions fibre_functions() { return kFunctions; }

}  // namespace loftledger::planning
