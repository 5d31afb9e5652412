// What a carrier weighs: gross and dimensional weight, packed density and its class.
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "engine/base/decimal.hpp"
#include "engine/base/number_text.hpp"
#include "engine/base/units_in_si.hpp"
#include "engine/catalogue/describe.hpp"
#include "engine/planning/areas.hpp"
#include "engine/planning/common/words.hpp"

namespace loftledger::planning {

using namespace catalogue;

namespace {

// A step in centimetres may stand for an inch, so the last bits of the conversion must not lift a
// size over its step.
double stepped(double value, double step, Rounding rounding) {
  if (step == 0) return value;
  return round_to(Decimal::seen(value, Decimal::kMeasuredDigits), step, rounding);
}

constexpr Parameter kLength = {
    .name = "length",
    .text =
        "Longest outer edge of the packed case, where it bulges most; a bare number is in the "
        "unit of the divisor (cm for 5000, inches for 139).",
    .rule = Rule::positive};
constexpr Parameter kWidth = {
    .name = "width", .text = "Second outer edge of the packed case.", .rule = Rule::positive};
constexpr Parameter kHeight = {
    .name = "height", .text = "Third outer edge of the packed case.", .rule = Rule::positive};

// --- DIMWEIGHT

Result<Mass> dim_weight(Length length, Length width, Length height, SpecificVolume divisor,
                        Length dimension_step, std::string_view dimension_rounding,
                        Mass weight_step) {
  constexpr std::string_view kWords[] = {"up", "nearest"};
  const auto choice = word_index(5, "dimension rounding", dimension_rounding, kWords);
  if (!choice) return choice.error();
  const Rounding rounding = *choice == 0 ? Rounding::up : Rounding::nearest;
  double volume = 1;
  for (double edge : {length.value, width.value, height.value}) {
    volume *= stepped(edge, dimension_step.value, rounding);
  }
  if (volume == 0) {
    return refuse(4, fmt::format("dimension step is {}; it rounds an edge of the case to 0",
                                 plain_number(dimension_step.value)));
  }
  return Mass{stepped(volume / divisor.value, weight_step.value, Rounding::up)};
}

constexpr Parameter kDimWeightParameters[] = {
    kLength,
    kWidth,
    kHeight,
    {.name = "divisor",
     .text = "The carrier's dimensional divisor, such as \"139 in3/lb\", 5000 or 6000; a bare "
             "number is in cm³/kg, or in in³/lb where the edges are bare inches.",
     .rule = Rule::positive},
    {.name = "dimension step",
     .text = "Each edge is rounded to a multiple of this before it counts: 1 for whole bare "
             "numbers, \"1 in\", \"1 cm\"; 0 leaves the edges as they are.",
     .rule = Rule::not_negative,
     .fallback = 0.0},
    {.name = "dimension rounding",
     .text = "\"up\" or \"nearest\" (halves go up): how the carrier rounds each edge.",
     .fallback = "up"},
    {.name = "weight step",
     .text = "The weight is rounded up to a multiple of this: 1, \"1 lb\", \"0.5 kg\"; 0 leaves it "
             "as it is.",
     .rule = Rule::not_negative,
     .unit = "kg",
     .fallback = 0.0},
};
constexpr Example kDimWeightExamples[] = {
    {"=DIMWEIGHT(60;40;40;5000)", 19.2, "centimetres and cm³/kg give kilograms"},
    {"=DIMWEIGHT(\"23.5 in\";\"18 in\";\"18 in\";\"139 in3/lb\";\"1 in\";\"up\";\"1 lb\")",
     56 * 0.45359237, "56 lb: 24 x 18 x 18 in, over 139"},
    {"=DIMWEIGHT(\"60 cm\";\"40 cm\";\"40 cm\";\"6000 cm3/kg\";0;\"up\";\"0.5 kg\")", 16.0},
    {"=DIMWEIGHT(\"24 in\";\"18 in\";\"18 in\";139)", Code::argument,
     "a bare divisor beside edges with a unit"},
};
constexpr Function kDimWeight = describe<dim_weight>(
    {.id = "dimWeight",
     .name = "DIMWEIGHT",
     .group = Group::freight,
     .summary = "Dimensional weight of a case: the weight that a carrier bills for its size.",
     .returns = "kg where the arguments have units; with bare numbers only, the weight unit of the "
                "divisor (139 and inches give pounds)",
     .source = "carriers' dimensional weight rule: volume of the rounded edges over the divisor, "
               "rounded up to the step",
     .detail = "Fibre is light, so the dimensional weight usually rules, and the packed density "
               "decides the freight: see RULINGWEIGHT and DIVISORDENSITY. Divisors in use are 139 "
               "and 166 in³/lb, 366 in³/kg, and 5000 and 6000 cm³/kg. Carriers differ in how they "
               "round each edge and the result; take both from the carrier's own terms. Units are "
               "given for all arguments or for none.",
     .unit = "kg",
     .linked_units = true},
    kDimWeightParameters, kDimWeightExamples);

// --- BILLABLEWEIGHT

Result<Mass> billable_weight(Mass gross, Mass dimensional, Mass step, Mass minimum) {
  const double weight = std::max({gross.value, dimensional.value, minimum.value});
  return Mass{stepped(weight, step.value, Rounding::up)};
}

constexpr Parameter kGross = {.name = "gross weight",
                              .text = "What the packed case weighs on the scale.",
                              .rule = Rule::positive,
                              .unit = "kg"};
constexpr Parameter kDimensional = {.name = "dimensional weight",
                                    .text = "What the carrier bills for its size (DIMWEIGHT).",
                                    .rule = Rule::positive,
                                    .unit = "kg"};

constexpr Parameter kBillableWeightParameters[] = {
    kGross,
    kDimensional,
    {.name = "step",
     .text = "The weight is rounded up to a multiple of this: 1, \"1 lb\", \"0.5 kg\"; 0 leaves it "
             "as it is.",
     .rule = Rule::not_negative,
     .unit = "kg",
     .fallback = 0.0},
    {.name = "minimum weight",
     .text = "The least weight that the carrier bills for one case.",
     .rule = Rule::not_negative,
     .unit = "kg",
     .fallback = 0.0},
};
constexpr Example kBillableWeightExamples[] = {
    {"=BILLABLEWEIGHT(9.4;19.2;0.5)", 19.5, "the size rules, in half kilos"},
    {"=BILLABLEWEIGHT(\"260 kg\";\"210 kg\")", 260.0},
    {"=BILLABLEWEIGHT(0;19.2)", Code::argument},
};
constexpr Function kBillableWeight = describe<billable_weight>(
    {.id = "billableWeight",
     .name = "BILLABLEWEIGHT",
     .group = Group::freight,
     .summary = "Weight that the carrier bills: the greater of gross and dimensional weight.",
     .returns = "kg where the arguments have units, else the unit of the bare numbers",
     .source = "carriers' billing rule: the greater weight, rounded up to the step",
     .detail = "Fibre is light, so the dimensional weight usually rules; RULINGWEIGHT says which "
               "of the two does. While it does, a heavier case of the same size costs no more to "
               "send: packed density decides the freight a body.",
     .unit = "kg"},
    kBillableWeightParameters, kBillableWeightExamples);

// --- RULINGWEIGHT

Result<std::string> ruling_weight(Mass gross, Mass dimensional) {
  const Decimal difference = Decimal::seen(gross.value, Decimal::kMeasuredDigits) -
                             Decimal::seen(dimensional.value, Decimal::kMeasuredDigits);
  switch (difference.sign()) {
    case 1:
      return std::string("gross weight");
    case -1:
      return std::string("dimensional weight");
    default:
      return std::string("both alike");
  }
}

constexpr Parameter kRulingWeightParameters[] = {kGross, kDimensional};
constexpr Example kRulingWeightExamples[] = {
    {"=RULINGWEIGHT(9.4;19.2)", "dimensional weight"},
    {"=RULINGWEIGHT(\"22 kg\";\"19.2 kg\")", "gross weight"},
    {"=RULINGWEIGHT(9.4;-1)", Code::argument},
};
constexpr Function kRulingWeight = describe<ruling_weight>(
    {.id = "rulingWeight",
     .name = "RULINGWEIGHT",
     .group = Group::freight,
     .summary = "Which weight the carrier bills: the gross weight or the dimensional weight.",
     .returns = "\"gross weight\", \"dimensional weight\" or \"both alike\"",
     .source = "carriers' billing rule: the greater weight counts",
     .detail = "Fibre is light, so the dimensional weight usually rules. Where it does, fibre that "
               "is pressed tighter into the same case travels free; where the gross weight rules, "
               "a smaller case saves nothing."},
    kRulingWeightParameters, kRulingWeightExamples);

// --- DIVISORDENSITY

constexpr double kCubicCentimetresPerCubicMetre = 1e6;

// Divisors in use lie from 3000 to 7000 cm³/kg; those in in³/lb and in³/kg far below 1000.
constexpr double kLeastDivisor = 1000;
constexpr double kMostDivisor = 20000;

Result<Density> divisor_density(SpecificVolume divisor) {
  return Density{kCubicCentimetresPerCubicMetre / divisor.value};
}

constexpr Parameter kDivisorDensityParameters[] = {
    {.name = "divisor",
     .text = "The carrier's dimensional divisor; a bare number is in cm³/kg, so give the unit of "
             "any other: \"139 in3/lb\". Bare numbers are from 1,000 to 20,000.",
     .rule = Rule::positive,
     .bare = {.least = kLeastDivisor,
              .most = kMostDivisor,
              .advice = "write \"139 in3/lb\" for cubic inches a pound, \"366 in3/kg\" for cubic "
                        "inches a kilogram"}},
};
constexpr Example kDivisorDensityExamples[] = {
    {"=DIVISORDENSITY(5000)", 200.0},
    {"=DIVISORDENSITY(\"139 in3/lb\")", 0.45359237e6 / (139 * 16.387064)},
    {"=DIVISORDENSITY(0)", Code::argument},
};
constexpr Function kDivisorDensity = describe<divisor_density>(
    {.id = "divisorDensity",
     .name = "DIVISORDENSITY",
     .group = Group::freight,
     .summary = "Packed density at which a case's gross and dimensional weight are the same.",
     .returns = "kg/m³",
     .source = "definition: the inverse of the divisor",
     .detail = "A case that is packed less densely is billed by its size. Loose fibre lies far "
               "below every divisor in use (8 to 15 times), so its freight falls in step with the "
               "volume that packing saves. Compare with PACKEDDENSITY."},
    kDivisorDensityParameters, kDivisorDensityExamples);

// --- PACKEDDENSITY

constexpr double kMostPacked = 1000;  // kg/m³: fibre bales stay below half of it

Result<Density> packed_density(Mass gross, Length length, Length width, Length height) {
  const double density =
      gross.value * kCubicCentimetresPerCubicMetre / (length.value * width.value * height.value);
  if (density > kMostPacked) {
    return refuse(0, fmt::format("gross weight, length, width and height make {:.0f} kg/m³, denser "
                                 "than water; numbers without a unit are in kg and cm: write them "
                                 "with their units, such as \"30 lb\" and \"24 in\"",
                                 density));
  }
  return Density{density};
}

constexpr Parameter kPackedDensityParameters[] = {
    {.name = "gross weight",
     .text = "What the packed case (or the loaded pallet) weighs; a bare number is in kg. "
             "More than 1,000 kg/m³ is refused.",
     .rule = Rule::positive,
     .unit = "kg"},
    {.name = "length",
     .text = "Longest outer edge; a bare number is in cm.",
     .rule = Rule::positive},
    {.name = "width", .text = "Second outer edge, likewise.", .rule = Rule::positive},
    {.name = "height",
     .text = "Third outer edge, likewise; of a pallet, with the pallet itself.",
     .rule = Rule::positive},
};
constexpr Example kPackedDensityExamples[] = {
    {"=PACKEDDENSITY(9.4;60;40;40)", 9.4 / 0.096},
    {"=PACKEDDENSITY(\"30 lb\";\"24 in\";\"24 in\";\"36 in\")",
     30 * 0.45359237 / (20736 * 16.387064e-6), "2.5 lb/ft³"},
    {"=PACKEDDENSITY(\"30 lb\";24;24;36)", Code::argument, "bare edges beside a unit"},
};
constexpr Function kPackedDensity = describe<packed_density>(
    {.id = "packedDensity",
     .name = "PACKEDDENSITY",
     .group = Group::freight,
     .summary = "Density of a packed case or a loaded pallet, which decides its freight.",
     .returns = "kg/m³",
     .source = "definition: gross weight over outer volume",
     .detail = "Fibre is light, so its packed density decides the freight: below DIVISORDENSITY a "
               "parcel is billed by its size, and DENSITYCLASS rates a pallet by this figure. "
               "Units are given for all arguments or for none.",
     .linked_units = true},
    kPackedDensityParameters, kPackedDensityExamples);

// --- DENSITYCLASS

// From that density upwards (lb/ft³), the class of the older scale and of the newer one.
struct DensityStep {
  double from;
  double class_of_11;
  double class_of_13;
};
constexpr std::array<DensityStep, 13> kDensityScale = {{
    {0, 400, 400},
    {1, 300, 300},
    {2, 250, 250},
    {4, 175, 175},
    {6, 125, 125},
    {8, 100, 100},
    {10, 92.5, 92.5},
    {12, 85, 85},
    {15, 70, 70},
    {22.5, 65, 65},
    {30, 60, 60},
    {35, 60, 55},
    {50, 60, 50},
}};
// kg/m³
constexpr auto kPoundPerCubicFoot = static_cast<double>(si::kPound / si::cubed(si::kFoot));

Result<Number> density_class(Density density, Count steps) {
  const bool newer = steps.value == 13;
  if (!newer && steps.value != 11) {
    return refuse(1, fmt::format("steps of the scale is {}; it must be 13 (from 19 July 2025) or "
                                 "11 (before)",
                                 plain_number(steps.value)));
  }
  const Decimal pounds =
      Decimal::seen(density.value / kPoundPerCubicFoot, Decimal::kMeasuredDigits);
  double found = 0;
  for (const DensityStep& step : kDensityScale) {
    if ((pounds - Decimal::seen(step.from)).sign() < 0) break;
    found = newer ? step.class_of_13 : step.class_of_11;
  }
  return Number{found};
}

constexpr Parameter kDensityClassParameters[] = {
    {.name = "density",
     .text =
         "Density of the shipment as it travels (PACKEDDENSITY); a bare number is in kg/m³, from "
         "16 to 1,000.",
     .rule = Rule::positive,
     .bare = {.least = 16,
              .most = kMostPacked,
              .advice = "write \"2.5 lb/ft3\" for pounds a cubic foot, or \"12 kg/m3\""}},
    {.name = "steps of the scale",
     .text = "Which edition: 13 for the scale in force from 19 July 2025, 11 for the one before.",
     .rule = Rule::whole_positive},
};
constexpr Example kDensityClassExamples[] = {
    {"=DENSITYCLASS(\"2.5 lb/ft3\";13)", 250.0},
    {"=DENSITYCLASS(\"12 lb/ft3\";13)", 85.0, "a boundary belongs to the denser step"},
    {"=DENSITYCLASS(93.75;13)", 175.0},
    {"=DENSITYCLASS(93.75;12)", Code::argument},
};
constexpr Function kDensityClass = describe<density_class>(
    {.id = "densityClass",
     .name = "DENSITYCLASS",
     .group = Group::freight,
     .summary = "Freight class of a shipment that is rated by its density.",
     .returns = "the class, from 400 (under 1 lb/ft³) down to 50",
     .source = "density scale of the National Motor Freight Classification: 11 steps before 19 "
               "July 2025, 13 steps from then on (docket 2025-1)",
     .detail = "A higher class costs more for the same weight. Fibre is light, so packed density "
               "decides the class: the same fibre pressed to twice the density may drop two "
               "classes. The scale holds for goods that are rated by density; the carrier's "
               "tariff says whether yours are."},
    kDensityClassParameters, kDensityClassExamples);

constexpr Function kFunctions[] = {
    kDimWeight, kBillableWeight, kRulingWeight, kDivisorDensity, kPackedDensity, kDensityClass,
};

}  // namespace

Functions freight_weight_functions() { return kFunctions; }

}  // namespace loftledger::planning
