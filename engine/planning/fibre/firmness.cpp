// Firmness: how much fibre a body takes when it is pressed, by van Wyk's law.
#include <fmt/format.h>

#include <array>
#include <cmath>

#include "engine/base/number_text.hpp"
#include "engine/catalogue/describe.hpp"
#include "engine/planning/areas.hpp"

namespace loftledger::planning {

using namespace catalogue;

namespace {

// Van Wyk: pressure = K E (φ³ − φ0³), φ being the share of the volume that is fibre, φ0 the same of
// the loose fibre. With densities, φ = density / fibre density. K E is what we call stiffness.
double cube(double x) { return x * x * x; }

constexpr std::string_view kVanWyk =
    "C. M. van Wyk, Note on the compressibility of wool, J. Text. Inst. 37 (1946) T285-T292";

// Texts that stand in more than one record, put together when compiled.
template <const std::string_view&... Parts>
struct Joined {
  static constexpr auto build() {
    std::array<char, (Parts.size() + ...)> out{};
    std::size_t at = 0;
    for (std::string_view part : {Parts...}) {
      for (char c : part) out[at++] = c;
    }
    return out;
  }
  static constexpr auto kChars = build();
  static constexpr std::string_view kText{kChars.data(), kChars.size()};
};

constexpr std::string_view kEqualFirmness =
    "At one firmness the pressure is the same, so fill³ − loose³ is the same before and after "
    "opening, and no stiffness is needed. This ties the loft factor to the gain: opening lowers "
    "the loose density by the loft, but the fill density only by what the loose part had in it. "
    "Bodies per case rise as fill density before over fill density after. It takes opening to "
    "leave the stiffness of the fibre as it was. ";
constexpr std::string_view kLimits =
    "Limits of the law: it fits a mass of fibres after several pressings, when each cycle repeats "
    "the one before; it does not hold at low pressure, nor for a mass that is packed unevenly, as "
    "fibre in clumps is; and its exponent of 3 is disputed (a letter of 2021 in the Textile "
    "Research Journal holds it to rest on an error). So use it between states that were tried, not "
    "far beyond them, and let a weighed trial decide.";

constexpr Parameter fibre_density_parameter() {
  return {.name = "fibre density",
          .text =
              "Density of the solid fibre, in kg/m³ where it has no unit; 1380 kg/m³ "
              "(polyester) where it is left out. Hollow fibre is lighter.",
          .rule = Rule::positive,
          .fallback = 1380.0};
}

Error above_solid(int argument, std::string_view name, double value, double solid) {
  return refuse(argument, fmt::format("{} is {} kg/m³, which is not below the fibre density of {}",
                                      name, plain_number(value), plain_number(solid)));
}

// --- FIRMDENSITY

Result<Density> firm_density(Density loose, Pressure pressure, Pressure stiffness, Density fibre) {
  if (loose.value >= fibre.value) return above_solid(0, "loose density", loose.value, fibre.value);
  const double share =
      std::cbrt(cube(loose.value / fibre.value) + pressure.value / stiffness.value);
  if (share >= 1) {
    return refuse(1, "the pressure is beyond the law: it would press the fibre solid");
  }
  return Density{share * fibre.value};
}

constexpr Parameter kFirmDensityParameters[] = {
    {.name = "loose density",
     .text = "Density of the loose fibre in its state, in kg/m³ where it has no unit.",
     .rule = Rule::positive},
    {.name = "pressure",
     .text = "Pressure between fibre and skin at the firmness that the shop wants.",
     .rule = Rule::not_negative},
    {.name = "stiffness",
     .text = "Stiffness of the fibre mass (K times E), from FIBRESTIFFNESS.",
     .rule = Rule::positive},
    fibre_density_parameter(),
};
constexpr Example kFirmDensityExamples[] = {
    {"=FIRMDENSITY(17.25;1176;121440000)", 31.2721995957},
    {"=FIRMDENSITY(\"17.25 kg/m³\";\"1.1760 kPa\";\"121.44 MPa\")", 31.2721995957},
    {"=FIRMDENSITY(17.25;0;121440000)", 17.25, "without pressure it stays loose"},
    {"=FIRMDENSITY(1500;1176;121440000)", Code::argument, "denser than the fibre itself"},
};
constexpr Function kFirmDensity =
    describe<firm_density>({.id = "firmDensity",
                            .name = "FIRMDENSITY",
                            .group = Group::fibre,
                            .summary = "Density to which a pressure presses loose fibre.",
                            .returns = "a density in kg/m³",
                            .source = kVanWyk,
                            .detail = kLimits},
                           kFirmDensityParameters, kFirmDensityExamples);

// --- FIBRESTIFFNESS

Result<Pressure> fibre_stiffness(Density loose, Density filled, Pressure pressure, Density fibre) {
  if (filled.value <= loose.value) {
    return refuse(1, fmt::format("filled density is {}; it must be more than the loose density, {}",
                                 plain_number(filled.value), plain_number(loose.value)));
  }
  if (filled.value >= fibre.value) {
    return above_solid(1, "filled density", filled.value, fibre.value);
  }
  return Pressure{pressure.value /
                  (cube(filled.value / fibre.value) - cube(loose.value / fibre.value))};
}

constexpr Parameter kFibreStiffnessParameters[] = {
    {.name = "loose density",
     .text = "Density of the loose fibre, in kg/m³ where it has no unit.",
     .rule = Rule::positive},
    {.name = "filled density",
     .text = "Density of the same fibre under the pressure, in kg/m³ where it has no unit.",
     .rule = Rule::positive},
    {.name = "pressure",
     .text = "Pressure of the press test: the load over the area of the plate.",
     .rule = Rule::positive},
    fibre_density_parameter(),
};
constexpr Example kFibreStiffnessExamples[] = {
    {"=FIBRESTIFFNESS(13.8;27.6;56)", 8000000.0},
    {"=FIBRESTIFFNESS(13.8;13.8;56)", Code::argument},
};
constexpr Function kFibreStiffness = describe<fibre_stiffness>(
    {.id = "fibreStiffness",
     .name = "FIBRESTIFFNESS",
     .group = Group::fibre,
     .summary = "Stiffness of a fibre mass from one press test, for FIRMDENSITY.",
     .returns = "a pressure in Pa: K times E of van Wyk's law, or the unit of a bare pressure",
     .source = kVanWyk,
     .detail = kLimits},
    kFibreStiffnessParameters, kFibreStiffnessExamples);

// --- OPENEDFILLDENSITY

Result<Density> opened_fill_density(Density loose_before, Density fill_before,
                                    Density loose_after) {
  if (fill_before.value < loose_before.value) {
    return refuse(1,
                  fmt::format("fill density before is {}; it cannot be less than the loose "
                              "density before, {}",
                              plain_number(fill_before.value), plain_number(loose_before.value)));
  }
  // As shares of the fill density, so that no cube is too large or too small for a number.
  const double scale = fill_before.value;
  if (loose_after.value == 0 && fill_before.value == loose_before.value) {
    return refuse(2,
                  "loose density after is 0, and before nothing was pressed (the fill density is "
                  "the loose density); give the loose density once opened");
  }
  const double pressed = 1 - cube(loose_before.value / scale);
  return Density{scale * std::cbrt(pressed + cube(loose_after.value / scale))};
}

constexpr Parameter kOpenedFillDensityParameters[] = {
    {.name = "loose density before",
     .text = "Loose density of the fibre as delivered.",
     .rule = Rule::positive},
    {.name = "fill density before",
     .text = "Fill density of bodies filled with it at the shop's firmness: fill mass over volume.",
     .rule = Rule::positive},
    {.name = "loose density after",
     .text = "Loose density once opened; 0 gives the limit that no opening can pass.",
     .rule = Rule::not_negative},
};
constexpr Example kOpenedFillDensityExamples[] = {
    {"=OPENEDFILLDENSITY(12;20;6)", 18.6510640596},
    {"=OPENEDFILLDENSITY(30;33;12)", 22.0117017637,
     "two fifths of the loose density, two thirds of the fill"},
    {"=OPENEDFILLDENSITY(30;33;0)", 20.7521892498, "the limit: no opening saves more"},
    {"=OPENEDFILLDENSITY(30;25;12)", Code::argument},
};
constexpr Function kOpenedFillDensity = describe<opened_fill_density>(
    {.id = "openedFillDensity",
     .name = "OPENEDFILLDENSITY",
     .group = Group::fibre,
     .summary =
         "Fill density at the same firmness once the fibre is opened, from one trial before.",
     .returns = "a density in kg/m³, or in the unit of bare densities",
     .source = kVanWyk,
     .detail = Joined<kEqualFirmness, kLimits>::kText},
    kOpenedFillDensityParameters, kOpenedFillDensityExamples);

constexpr Function kFunctions[] = {kFirmDensity, kFibreStiffness, kOpenedFillDensity};

}  // namespace

Functions firmness_functions() { return kFunctions; }

}  // namespace loftledger::planning
