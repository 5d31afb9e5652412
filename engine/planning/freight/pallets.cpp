// Pallets: how many cases one holds.
#include <fmt/format.h>

#include <algorithm>

#include "engine/base/number_text.hpp"
#include "engine/catalogue/describe.hpp"
#include "engine/planning/areas.hpp"
#include "engine/planning/freight/pallet_layer.hpp"

namespace loftledger::planning {

using namespace catalogue;

namespace {

constexpr std::string_view kStackingCaution =
    "Keep within the load rating of the pallet and the stacking strength of the cartons; wrap the "
    "load, and keep to the carrier's and the warehouse's rules for height and for handling.";
constexpr int kMostCasesInLayer = 100000;

struct Load {
  int in_layer = 0;
  int layers = 0;
  int on_top = 0;  // cases in the top layer
  int cases = 0;
  double height = 0;
  bool mass_limits = false;
};

struct Box {
  double length;
  double width;
  double height;
};

Result<Load> load_pallet(const Box& box, double pallet_length, double pallet_width,
                         double height_limit, const std::optional<Mass>& case_mass,
                         const std::optional<Mass>& mass_limit) {
  if (case_mass.has_value() != mass_limit.has_value()) {
    return refuse(case_mass ? 7 : 6,
                  case_mass ? "case mass is given, but the mass limit is missing; give "
                              "both or neither"
                            : "mass limit is given, but the case mass is missing; give "
                              "both or neither");
  }
  if (pallet_length * pallet_width > kMostCasesInLayer * box.length * box.width) {
    return refuse(
        0, fmt::format("case length {} and width {} are too small beside a pallet of {} by {}",
                       plain_number(box.length), plain_number(box.width),
                       plain_number(pallet_length), plain_number(pallet_width)));
  }
  Load load;
  load.in_layer = cases_in_layer(pallet_length, pallet_width, box.length, box.width);
  if (load.in_layer == 0) {
    return refuse(0, fmt::format("case length {} and width {} do not fit on a pallet of {} by {}",
                                 plain_number(box.length), plain_number(box.width),
                                 plain_number(pallet_length), plain_number(pallet_width)));
  }
  load.layers = whole_times(height_limit, box.height);
  if (load.layers == 0) {
    return refuse(5, fmt::format("height limit is {}, less than the case height, {}",
                                 plain_number(height_limit), plain_number(box.height)));
  }
  const std::int64_t by_height = std::int64_t{load.in_layer} * load.layers;
  std::int64_t cases = by_height;
  if (case_mass) {
    const int by_mass = whole_times(mass_limit->value, case_mass->value);
    if (by_mass == 0) {
      return refuse(7,
                    fmt::format("mass limit is {}, less than the case mass, {}",
                                plain_number(mass_limit->value), plain_number(case_mass->value)));
    }
    load.mass_limits = by_mass < by_height;
    cases = std::min<std::int64_t>(by_height, by_mass);
  }
  if (cases > kMostCasesInLayer) {
    return refuse(5, fmt::format("height limit is {}, so a pallet would hold {} cases; see that "
                                 "sizes and units are right",
                                 plain_number(height_limit), cases));
  }
  load.cases = static_cast<int>(cases);
  load.layers = (load.cases + load.in_layer - 1) / load.in_layer;
  load.on_top = load.cases - (load.layers - 1) * load.in_layer;
  load.height = load.layers * box.height;
  return load;
}

constexpr Parameter kPalletParameters[] = {
    {.name = "case length", .text = "Outer length of the case.", .rule = Rule::positive},
    {.name = "case width", .text = "Outer width of the case.", .rule = Rule::positive},
    {.name = "case height",
     .text = "Outer height of the case as it stands on the pallet.",
     .rule = Rule::positive},
    {.name = "pallet length", .text = "Usable length of the pallet.", .rule = Rule::positive},
    {.name = "pallet width", .text = "Usable width of the pallet.", .rule = Rule::positive},
    {.name = "height limit",
     .text = "Highest stack of cases that is allowed, without the pallet itself.",
     .rule = Rule::positive},
    {.name = "case mass",
     .text = "Gross mass of a case; needed where a mass limit is given.",
     .rule = Rule::positive,
     .unit = "kg"},
    {.name = "mass limit",
     .text = "Greatest load of the pallet; needed where a case mass is given.",
     .rule = Rule::positive,
     .unit = "kg"},
};

// --- CASESPERPALLET

Result<Count> cases_per_pallet(Length l, Length w, Length h, Length pallet_length,
                               Length pallet_width, Length height_limit,
                               std::optional<Mass> case_mass, std::optional<Mass> mass_limit) {
  const auto load = load_pallet({l.value, w.value, h.value}, pallet_length.value,
                                pallet_width.value, height_limit.value, case_mass, mass_limit);
  if (!load) return load.error();
  return Count{static_cast<double>(load->cases)};
}

constexpr Example kCasesPerPalletExamples[] = {
    {"=CASESPERPALLET(60;40;40;120;100;160)", 20.0, "five in a layer, in two blocks"},
    {"=CASESPERPALLET(\"24 in\";\"18 in\";\"18 in\";\"48 in\";\"40 in\";\"72 in\";\"22 lb\";"
     "\"300 lb\")",
     13.0, "the mass limit leaves one case in the fourth layer"},
    {"=CASESPERPALLET(130;110;40;120;100;160)", Code::argument, "larger than the pallet"},
};
constexpr Function kCasesPerPallet = describe<cases_per_pallet>(
    {.id = "casesPerPallet",
     .name = "CASESPERPALLET",
     .group = Group::freight,
     .summary = "Cases that stand on a pallet: the best layer, and as many layers as height and "
                "mass allow.",
     .returns = "a whole number of cases",
     .source = "five-block recursion for the pallet loading problem: Morabito and Morales, Journal "
               "of the Operational Research Society 49, 1998; Martins and Dell, European Journal "
               "of Operational Research 184, 2008 (both from memory)",
     .detail = "All cases stand upright, either way round, edges parallel to the pallet's, none "
               "over its edge. A layer is never worse than the best mixed pattern of two blocks, "
               "and mostly the best there is. Where the mass limit allows it, the top layer is "
               "filled in part. Fibre is light: the height limit is mostly reached first, and "
               "packed density decides what a pallet carries.",
     .caution = kStackingCaution},
    kPalletParameters, kCasesPerPalletExamples);

// --- PALLETPLAN

Result<Matrix> pallet_plan(Length l, Length w, Length h, Length pallet_length, Length pallet_width,
                           Length height_limit, std::optional<Mass> case_mass,
                           std::optional<Mass> mass_limit) {
  const auto load = load_pallet({l.value, w.value, h.value}, pallet_length.value,
                                pallet_width.value, height_limit.value, case_mass, mass_limit);
  if (!load) return load.error();
  const double used = load->in_layer * l.value * w.value;
  const std::pair<std::string_view, Value> lines[] = {
      {"cases a layer", Value(static_cast<double>(load->in_layer))},
      {"layers", Value(static_cast<double>(load->layers))},
      {"cases in the top layer", Value(static_cast<double>(load->on_top))},
      {"cases", Value(static_cast<double>(load->cases))},
      {"height of the stack", Value(load->height)},
      {"mass of the load", case_mass ? Value(load->cases * case_mass->value) : Value("not given")},
      {"share of the pallet covered", Value(used / (pallet_length.value * pallet_width.value))},
      {"limited by", Value(load->mass_limits ? "mass" : "height")},
  };
  Matrix out(std::size(lines), 2);
  for (std::size_t i = 0; i < std::size(lines); ++i) {
    out.at(i, 0) = Value(lines[i].first);
    out.at(i, 1) = lines[i].second;
  }
  return out;
}

constexpr Example kPalletPlanExamples[] = {
    {"=PALLETPLAN(60;40;40;120;100;160)", "cases a layer", "eight lines of name and value"},
    {"=PALLETPLAN(60;40;40;120;100;30)", Code::argument, "lower than one case"},
};
constexpr Function kPalletPlan = describe<pallet_plan>(
    {.id = "palletPlan",
     .name = "PALLETPLAN",
     .group = Group::freight,
     .summary = "How a pallet is loaded: cases a layer, layers, height, mass, and what limits it.",
     .returns = "an array of 8 rows and 2 columns, name and value; height in cm and mass in kg, or "
                "the unit of bare numbers",
     .source = "as CASESPERPALLET",
     .detail = "The lines: cases a layer, layers, cases in the top layer, cases, height of the "
               "stack, mass of the load, share of the pallet covered, and whether height or mass "
               "limits the count.",
     .caution = kStackingCaution},
    kPalletParameters, kPalletPlanExamples);

constexpr Function kFunctions[] = {kCasesPerPallet, kPalletPlan};

}  // namespace

Functions pallet_functions() { return kFunctions; }

}  // namespace loftledger::planning
