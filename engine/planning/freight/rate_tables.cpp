// Freight from a carrier's tables: prices by weight band, and rates by weight break.
#include <fmt/format.h>

#include <algorithm>
#include <limits>

#include "engine/base/number_text.hpp"
#include "engine/catalogue/describe.hpp"
#include "engine/planning/areas.hpp"

namespace loftledger::planning {

using namespace catalogue;

namespace {

constexpr Parameter kWeight = {
    .name = "weight",
    .text = "Billable weight of the shipment (BILLABLEWEIGHT), in the unit of the table.",
    .rule = Rule::positive,
    .unit = "kg"};
constexpr Parameter kMinimum = {.name = "minimum charge",
                                .text = "The least that the carrier charges.",
                                .rule = Rule::not_negative,
                                .fallback = 0.0};
constexpr Parameter kDeficit = {
    .name = "deficit weight",
    .text = "TRUE where the carrier bills a heavier weight at its cheaper rate if that costs less.",
    .fallback = 0.0};

// A weight that was computed may lie a last bit above the row that it belongs to.
constexpr double kForgiven = 1 + 1e-12;

Error bad_row(const TableRow& row, std::string sentence) {
  return refuse(0, fmt::format("rate table in row {}: {}", row.number, sentence));
}

// --- FREIGHTFROMTABLE

struct Band {
  double above;  // the weight at which the band starts
  double up_to;
  double price;
  double per_extra;
};

Result<std::vector<Band>> read_bands(const std::vector<TableRow>& rows) {
  std::vector<Band> bands;
  double above = 0;
  for (std::size_t i = 0; i < rows.size(); ++i) {
    const TableRow& row = rows[i];
    const auto& [up_to, price, extra] = std::tie(row.cells[0], row.cells[1], row.cells[2]);
    if (!up_to && i + 1 < rows.size()) {
      return bad_row(row, "the upper weight is missing; only the last row may go without");
    }
    if (up_to && *up_to <= above) {
      return bad_row(row, fmt::format("the upper weight must be more than {}, so that the weights "
                                      "rise from row to row",
                                      plain_number(above)));
    }
    if (!price) return bad_row(row, "the price is missing");
    if (*price < 0) {
      return bad_row(row,
                     fmt::format("the price is {}; it must be 0 or more", plain_number(*price)));
    }
    if (extra && *extra < 0) {
      return bad_row(row, fmt::format("the price per extra unit is {}; it must be 0 or more",
                                      plain_number(*extra)));
    }
    const double limit = up_to.value_or(std::numeric_limits<double>::infinity());
    bands.push_back({above, limit, *price, extra.value_or(0)});
    above = limit;
  }
  return bands;
}

Result<Money> freight_from_table(const Columns<Mass, Money, Money>& table, Mass weight,
                                 Money minimum, bool deficit, std::optional<Mass> extra_unit) {
  const auto bands = read_bands(table.rows);
  if (!bands) return bands.error();
  const bool extras =
      std::any_of(bands->begin(), bands->end(), [](const Band& b) { return b.per_extra > 0; });
  if (extras && !extra_unit) {
    return refuse(4,
                  "extra unit is missing, but the rate table has prices per extra unit; give "
                  "the weight that they are for: 1, or \"1 lb\" beside weights with units");
  }
  const auto band = std::find_if(bands->begin(), bands->end(), [&](const Band& b) {
    return weight.value <= b.up_to * kForgiven;
  });
  if (band == bands->end()) {
    return refuse(1, fmt::format("weight is {}, above the last upper weight of the rate table, {}; "
                                 "add a row, or leave the last upper weight empty for no limit",
                                 plain_number(weight.value), plain_number(bands->back().up_to)));
  }
  const double more = (weight.value - band->above) / (extras ? extra_unit->value : 1);
  double charge = band->price + band->per_extra * more;
  if (deficit) {
    for (auto heavier = band + 1; heavier != bands->end(); ++heavier) {
      charge = std::min(charge, heavier->price);
    }
  }
  return Money{std::max(charge, minimum.value)};
}

constexpr Parameter kFreightFromTableParameters[] = {
    {.name = "rate table",
     .text =
         "Two or three columns, lightest row first: upper weight of the row, its price, and "
         "where the carrier has one, the price of each extra unit of weight above the row before. "
         "The last upper weight may be empty: no limit.",
     .unit = "kg"},
    kWeight,
    kMinimum,
    kDeficit,
    {.name = "extra unit",
     .text = "Weight that one price per extra unit is for: 1, or \"1 lb\" beside weights with "
             "units; needed where the table has such prices.",
     .rule = Rule::positive,
     .unit = "kg"},
};
constexpr Example kFreightFromTableExamples[] = {
    {"=FREIGHTFROMTABLE({10;9.8|20;14.2|30;17.9};19.5)", 14.2},
    {"=FREIGHTFROMTABLE({\"20 lb\";14.2;0|\"150 lb\";14.2;0.45};\"42 lb\";0;FALSE;\"1 lb\")", 24.1,
     "the first 20 lb, and 22 more at 0.45"},
    {"=FREIGHTFROMTABLE({10;9.8|10;14.2};9)", Code::argument, "weights that do not rise"},
};
constexpr Function kFreightFromTable = describe<freight_from_table>(
    {.id = "freightFromTable",
     .name = "FREIGHTFROMTABLE",
     .group = Group::freight,
     .summary = "Freight from a carrier's price table by weight, as it stands in the sheet.",
     .returns = "an amount, not rounded",
     .source = "definition: price of the weight's row, plus the extra units",
     .detail = "The weight belongs to the first row whose upper weight it does not exceed. Round "
               "it up first where the carrier does (BILLABLEWEIGHT): fibre is light, so that is "
               "usually the dimensional weight. With deficit weight, a dearer row is passed over "
               "for a heavier one that costs less; the charge is never more for it. For rates "
               "that apply to the whole weight, take FREIGHTBYRATE."},
    kFreightFromTableParameters, kFreightFromTableExamples);

// --- FREIGHTBYRATE

struct Break {
  double from;
  double rate;
};

Result<std::vector<Break>> read_breaks(const std::vector<TableRow>& rows) {
  std::vector<Break> breaks;
  for (const TableRow& row : rows) {
    // The table starts at 0 where its first weight is left out.
    if (!row.cells[0] && !breaks.empty()) return bad_row(row, "the weight is missing");
    const double from = row.cells[0].value_or(0);
    if (from < 0) {
      return bad_row(row,
                     fmt::format("the weight is {}; it must be 0 or more", plain_number(from)));
    }
    if (!breaks.empty() && from <= breaks.back().from) {
      return bad_row(row, fmt::format("the weight must be more than {}, so that the weights rise "
                                      "from row to row",
                                      plain_number(breaks.back().from)));
    }
    if (!row.cells[1]) return bad_row(row, "the rate is missing");
    if (*row.cells[1] < 0) {
      return bad_row(
          row, fmt::format("the rate is {}; it must be 0 or more", plain_number(*row.cells[1])));
    }
    breaks.push_back({from, *row.cells[1]});
  }
  return breaks;
}

Result<Money> freight_by_rate(const Columns<Mass, Money>& table, Mass weight, Mass rate_weight,
                              Money minimum, bool deficit) {
  const auto breaks = read_breaks(table.rows);
  if (!breaks) return breaks.error();
  auto next = std::find_if(breaks->begin(), breaks->end(),
                           [&](const Break& b) { return b.from > weight.value * kForgiven; });
  if (next == breaks->begin()) {
    return refuse(1, fmt::format("weight is {}, below the first weight of the rate table, {}",
                                 plain_number(weight.value), plain_number(next->from)));
  }
  double charge = weight.value / rate_weight.value * std::prev(next)->rate;
  for (; deficit && next != breaks->end(); ++next) {
    charge = std::min(charge, next->from / rate_weight.value * next->rate);
  }
  return Money{std::max(charge, minimum.value)};
}

constexpr Parameter kFreightByRateParameters[] = {
    {.name = "rate table",
     .text = "Two columns, lightest row first: the weight from which the rate holds, and the rate "
             "for each unit of the whole weight.",
     .unit = "kg"},
    kWeight,
    {.name = "rate weight",
     .text = "Weight that one rate is for: 1, or 100 where rates are per hundredweight (\"100 lb\" "
             "beside weights with units).",
     .rule = Rule::positive,
     .unit = "kg"},
    kMinimum,
    kDeficit,
};
constexpr Example kFreightByRateExamples[] = {
    {"=FREIGHTBYRATE({0;62|500;54|1000;47};460;100)", 285.2},
    {"=FREIGHTBYRATE({0;62|500;54|1000;47};460;100;0;TRUE)", 270.0,
     "billed as 500, which costs less"},
    {"=FREIGHTBYRATE({100;62|500;54};80;100)", Code::argument, "below the first weight"},
};
constexpr Function kFreightByRate = describe<freight_by_rate>(
    {.id = "freightByRate",
     .name = "FREIGHTBYRATE",
     .group = Group::freight,
     .summary = "Freight at a rate for the whole weight that falls at weight breaks.",
     .returns = "an amount, not rounded",
     .source = "definition: weight times the rate of its break; deficit weight as in common "
               "motor freight tariffs",
     .detail = "With deficit weight, the shipment is billed at the least weight of a heavier break "
               "where that costs less, so the charge is never more for it. The rate may depend on "
               "the class: fibre is light, so packed density decides it (DENSITYCLASS). Weights "
               "in the table and the weight all have units, or none has."},
    kFreightByRateParameters, kFreightByRateExamples);

constexpr Function kFunctions[] = {kFreightFromTable, kFreightByRate};

}  // namespace

Functions freight_rate_functions() { return kFunctions; }

}  // namespace loftledger::planning
