// Fibre: bulk, fill and yield.
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
     .source = "mass balance; for the whole bodies of a single case: Cox, Renewal Theory (1962)",
     .detail = "This is the mean over many cases, for costs and orders. One case taken by itself "
               "fills about half a whole body fewer, since what is left at its end is too little "
               "for one more; and bodies differ. For a count that a single case reaches with a "
               "stated confidence, use BODIESPROMISED."},
    kBodiesPerCaseParameters, kBodiesPerCaseExamples);

// --- OPENINGGAIN

Result<Ratio> opening_gain(Interval<Count> delivered, Interval<Count> opened,
                           std::string_view end) {
  if (end == "low") return Ratio{opened.low / delivered.high - 1};
  if (end == "high") return Ratio{opened.high / delivered.low - 1};
  if (end == "middle") {
    return Ratio{(opened.low + opened.high) / (delivered.low + delivered.high) - 1};
  }
  return refuse(2, fmt::format("end is \"{}\"; it must be low, middle or high", end));
}

constexpr Parameter kOpeningGainParameters[] = {
    {.name = "bodies as delivered",
     .text = "Bodies that a case fills as delivered: a number, or a range such as \"40 to 48\".",
     .rule = Rule::positive},
    {.name = "bodies opened",
     .text = "Bodies that the same case fills once its fibre is opened: a number or a range.",
     .rule = Rule::positive},
    {.name = "end",
     .text = "Which end of the gain: \"low\", \"middle\" or \"high\"; it matters for ranges only.",
     .fallback = std::string_view("middle")},
};
constexpr Example kOpeningGainExamples[] = {
    {"=OPENINGGAIN(44;66)", 0.5},
    {"=OPENINGGAIN(\"40 to 48\";\"60 to 72\")", 0.5},
    {"=OPENINGGAIN(\"40 to 48\";\"60 to 72\";\"low\")", 0.25},
    {"=OPENINGGAIN(0;66)", Code::argument},
};
constexpr Function kOpeningGain = describe<opening_gain>(
    {.id = "openingGain",
     .name = "OPENINGGAIN",
     .group = Group::fibre,
     .summary = "The share by which opening raises the bodies that a case fills.",
     .returns = "a share: 0.5 is half as many bodies again; below 0 where opening loses",
     .source = "definition",
     .detail = "From ranges, the middle compares the middles of both; the low end is the lowest "
               "count opened over the highest as delivered, less one, and the high end the "
               "reverse."},
    kOpeningGainParameters, kOpeningGainExamples);

constexpr Function kFunctions[] = {kLoftFactor, kBodiesPerCase, kOpeningGain};

}  // namespace

Functions fibre_functions() { return kFunctions; }

}  // namespace loftledger::planning
