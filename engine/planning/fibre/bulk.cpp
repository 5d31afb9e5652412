// Fibre: bulk, fill and the room that it takes.
#include <fmt/format.h>

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
    {"=LOFTFACTOR(2;15)", 7.5, "bare numbers share a unit, here cubic feet"},
    {"=LOFTFACTOR(0;15)", Code::argument},
};
constexpr Function kLoftFactor = describe<loft_factor>(
    {.id = "loftFactor",
     .name = "LOFTFACTOR",
     .group = Group::fibre,
     .summary = "How many times its packed volume a fibre takes up once it is opened.",
     .returns = "opened volume over packed volume of the same mass, a plain number",
     .source = "definition",
     .detail =
         "A loft factor is not a gain in bodies. A body is pressed to a firmness, and pressed "
         "fibre keeps little of its loft, so a case fills far fewer extra bodies than its "
         "loft suggests. OPENINGGAIN measures the gain, and OPENEDFILLDENSITY shows how it "
         "follows from the loose densities."},
    kLoftFactorParameters, kLoftFactorExamples);

// --- BULKDENSITY

Result<Density> bulk_density(Mass mass, Volume volume) {
  return Density{mass.value / volume.value};
}

constexpr Parameter kBulkDensityParameters[] = {
    {.name = "mass", .text = "Net mass of the fibre.", .rule = Rule::positive},
    {.name = "volume",
     .text = "Volume that it takes up: of the case, of a bucket filled without pressing, or of a "
             "filled body.",
     .rule = Rule::positive},
};
constexpr Example kBulkDensityExamples[] = {
    {"=BULKDENSITY(\"9 kg\";\"96 L\")", 93.75},
    {"=BULKDENSITY(240;20)", 12.0, "grams and litres"},
    {"=BULKDENSITY(\"9 kg\";96)", Code::argument, "a bare number beside a quantity with a unit"},
    {"=BULKDENSITY(9;0)", Code::argument},
};
constexpr Function kBulkDensity = describe<bulk_density>(
    {.id = "bulkDensity",
     .name = "BULKDENSITY",
     .group = Group::fibre,
     .summary = "Mass of fibre in each unit of the volume that it takes up.",
     .returns = "a density in kg/m³, the same number as g/L; from bare pounds and cubic feet, "
                "in lb/ft³",
     .source = "definition",
     .detail =
         "Bulk depends on how the fibre lies. For a loose density, open the fibre as for "
         "use, let it fall into a vessel of known volume without pressing, level it and weigh "
         "it; do so several times and take the mean. There is a published test of that kind "
         "for down (EN 12130) and for wool, but none for loose polyester fill.",
     .linked_units = true},
    kBulkDensityParameters, kBulkDensityExamples);

// --- FILLMASS

Result<Mass> fill_mass(Volume body, Density fill) { return Mass{body.value * fill.value}; }

constexpr Parameter kFillMassParameters[] = {
    {.name = "body volume",
     .text = "Volume of the filled body; BODYVOLUME and the shapes estimate it.",
     .rule = Rule::positive},
    {.name = "fill density",
     .text = "Mass of fibre in each unit of volume at the firmness that the shop wants.",
     .rule = Rule::positive},
};
constexpr Example kFillMassExamples[] = {
    {"=FILLMASS(\"2.5 L\";\"22 kg/m³\")", 55.0},
    {"=FILLMASS(2.5;22)", 55.0, "litres and g/L give grams"},
    {"=FILLMASS(\"2.5 L\";22)", Code::argument, "a bare number beside a quantity with a unit"},
    {"=FILLMASS(2.5;-22)", Code::argument},
};
constexpr Function kFillMass = describe<fill_mass>(
    {.id = "fillMass",
     .name = "FILLMASS",
     .group = Group::fibre,
     .summary = "Mass of fibre that a body takes at the firmness that the shop wants.",
     .returns = "a mass in g; from bare cubic feet and lb/ft³, in lb",
     .source = "definition",
     .detail = "An estimate before a trial. Weighed bodies settle it: fill some, weigh each, and "
               "give the weighings to BODIESPROMISED.",
     .linked_units = true},
    kFillMassParameters, kFillMassExamples);

// --- BLENDDENSITY

Result<Density> blend_density(const Series<Mass>& masses, const Series<Density>& densities) {
  if (masses.values.size() != densities.values.size()) {
    return refuse(1, fmt::format("densities has {} and masses has {}; they are read side by "
                                 "side and must have as many",
                                 counted(densities.values.size(), "cell"), masses.values.size()));
  }
  double mass = 0;
  double volume = 0;
  for (std::size_t i = 0; i < masses.values.size(); ++i) {
    const std::optional<double>& m = masses.values[i];
    const std::optional<double>& density = densities.values[i];
    if (!m || *m == 0) continue;
    if (!density) {
      return refuse(1, fmt::format("densities is empty in place {}, where there is a mass", i + 1));
    }
    mass += *m;
    volume += *m / *density;
  }
  if (mass == 0) return refuse(0, "masses has no mass in it");
  return Density{mass / volume};
}

constexpr Parameter kBlendDensityParameters[] = {
    {.name = "masses",
     .text = "Mass of each fibre in the blend, or its share: a range.",
     .rule = Rule::not_negative},
    {.name = "densities",
     .text = "Density of each fibre, in the same order and all in the same state: a range.",
     .rule = Rule::positive},
};
constexpr Example kBlendDensityExamples[] = {
    {"=BLENDDENSITY({3;1};{12;20})", 40.0 / 3},
    {"=BLENDDENSITY({\"3 kg\";\"500 g\"};{12;20})", 3500.0 / 275},
    {"=BLENDDENSITY({3;1};{12})", Code::argument},
    {"=BLENDDENSITY({0;0};{12;20})", Code::argument},
};
constexpr Function kBlendDensity = describe<blend_density>(
    {.id = "blendDensity",
     .name = "BLENDDENSITY",
     .group = Group::fibre,
     .summary = "Density of a blend, when each fibre keeps the volume that it takes by itself.",
     .returns = "a density in kg/m³, or in the unit of bare densities",
     .source = "mean of the volumes per mass, weighted by mass",
     .detail = "Fine and coarse fibres settle into each other, so a real blend may be denser: a "
               "weighed trial of the blend is better than this estimate."},
    kBlendDensityParameters, kBlendDensityExamples);

// --- HOPPERBODIES

Result<Count> hopper_bodies(Volume hopper, Density loose, Mass fill, Ratio unusable) {
  return Count{hopper.value * loose.value * (1 - unusable.value) / fill.value};
}

constexpr Parameter kHopperBodiesParameters[] = {
    {.name = "hopper volume",
     .text = "Volume up to which the machine's maker lets the hopper be filled.",
     .rule = Rule::positive},
    {.name = "loose density",
     .text = "Loose density of the fibre as it lies in the hopper.",
     .rule = Rule::positive},
    {.name = "fill mass", .text = "Mean mass of fibre in one body.", .rule = Rule::positive},
    {.name = "unusable share",
     .text = "Share of the hopper's content that cannot be drawn out: the heel.",
     .rule = Rule::share_below_one,
     .fallback = 0.0},
};
constexpr Example kHopperBodiesExamples[] = {
    {"=HOPPERBODIES(\"200 L\";\"12 kg/m³\";\"60 g\";10%)", 36.0},
    {"=HOPPERBODIES(200;12;60)", 40.0, "litres, g/L and grams"},
    {"=HOPPERBODIES(200;12;60;100%)", Code::argument},
    {"=HOPPERBODIES(200;12;\"60 g\")", Code::argument,
     "bare numbers beside a quantity with a unit"},
};
constexpr Function kHopperBodies = describe<hopper_bodies>(
    {.id = "hopperBodies",
     .name = "HOPPERBODIES",
     .group = Group::fibre,
     .summary = "Bodies that one filling of a machine's hopper serves.",
     .returns = "a count, not rounded",
     .source = "mass balance",
     .detail = "Opened fibre fills a hopper with less mass than fibre as delivered, so the hopper "
               "needs filling more often although the case lasts longer. REFILLMINUTES tells how "
               "often.",
     .caution = "Never reach into a hopper while the machine is not switched off and isolated. "
                "Fill no higher than the maker allows. Keep to the machine maker's manual and to "
                "local codes.",
     .linked_units = true},
    kHopperBodiesParameters, kHopperBodiesExamples);

// --- STORAGEVOLUME

Result<Volume> storage_volume(Count cases, Volume case_volume, Ratio opened,
                              std::optional<Number> loft) {
  if (opened.value > 0 && !loft) {
    return refuse(3,
                  fmt::format("needs the loft factor (argument 4), since a share of {} is opened",
                              opened.value));
  }
  const double swollen = loft ? loft->value : 1;
  return Volume{cases.value * case_volume.value * (1 - opened.value + opened.value * swollen)};
}

constexpr Parameter kStorageVolumeParameters[] = {
    {.name = "cases", .text = "Cases to be kept.", .rule = Rule::not_negative},
    {.name = "case volume", .text = "Outer volume of one case.", .rule = Rule::positive},
    {.name = "opened share",
     .text = "Share of the cases whose fibre is opened and lies loose.",
     .rule = Rule::share,
     .fallback = 0.0},
    {.name = "loft factor",
     .text = "Opened volume over packed volume; needed where a share is opened.",
     .rule = Rule::positive},
};
constexpr Example kStorageVolumeExamples[] = {
    {"=STORAGEVOLUME(12;\"96 L\")", 1152.0},
    {"=STORAGEVOLUME(10;\"100 L\";20%;8)", 2400.0, "two of ten cases opened more than double it"},
    {"=STORAGEVOLUME(10;\"100 L\";20%)", Code::argument},
    {"=STORAGEVOLUME(-1;\"100 L\")", Code::argument},
};
constexpr Function kStorageVolume = describe<storage_volume>(
    {.id = "storageVolume",
     .name = "STORAGEVOLUME",
     .group = Group::fibre,
     .summary = "Room that cases and opened fibre take up.",
     .returns = "a volume in L, or in the unit of a bare case volume; without gangways",
     .source = "definition",
     .detail = "Fibre that is opened before it is needed costs room: with a loft factor of 8, one "
               "opened case takes the room of eight.",
     .caution =
         "Stack cases stably and keep exits, sprinklers and heaters clear: loose fibre burns. "
         "Ask the fire authority or the landlord what may be kept where."},
    kStorageVolumeParameters, kStorageVolumeExamples);

constexpr Function kFunctions[] = {kLoftFactor,   kBulkDensity,  kFillMass,
                                   kBlendDensity, kHopperBodies, kStorageVolume};

}  // namespace

Functions fibre_functions() { return kFunctions; }

}  // namespace loftledger::planning
