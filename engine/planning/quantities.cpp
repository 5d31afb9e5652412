// Quantities: texts with units to numbers.
#include <fmt/format.h>

#include "engine/base/quantity.hpp"
#include "engine/catalogue/describe.hpp"
#include "engine/planning/areas.hpp"

namespace loftledger::planning {

using namespace catalogue;

namespace {

// --- QUANTITY

Result<Marks> marks_of(std::string_view text) {
  if (text.empty()) return Marks::either;
  if (text == "." || text == "point") return Marks::decimal_point;
  if (text == "," || text == "comma") return Marks::decimal_comma;
  return refuse(2, fmt::format("decimal mark is {}; it must be \".\" or \",\"", quoted(text)));
}

// With an empty unit, a plain number or a share is due: "1 1/4", "4 %".
Result<Number> plain_quantity(const Measured& read, std::string_view text) {
  if (read.unit == nullptr) return Number{read.value};
  if (read.unit->dimension == Dimension::ratio) {
    return Number{static_cast<double>(read.value * read.unit->size)};
  }
  return refuse(0, fmt::format("text is {}, with a unit; no unit is asked for", quoted(text)));
}

Result<Number> quantity(std::string_view text, std::string_view unit, std::string_view mark) {
  Result<Marks> marks = marks_of(mark);
  if (!marks) return std::move(marks).error();
  const Unit* to = find_unit(unit);
  if (const std::string_view meanings = unit_meanings(unit); !meanings.empty()) {
    return refuse(1,
                  fmt::format("unit is {}, which is ambiguous: write {}", quoted(unit), meanings));
  }
  if (to == nullptr && !unit.empty()) {
    return refuse(1, fmt::format("unit is {}, which is no unit that is known", quoted(unit)));
  }
  const DueDimension due = to == nullptr ? DueDimension() : to->dimension;
  Result<Measured> read = parse_quantity(text, *marks, due);
  if (!read) return refuse(0, fmt::format("text is {}: {}", quoted(text), read.error().text()));
  if (to == nullptr) return plain_quantity(*read, text);
  if (read->unit == nullptr) {
    return refuse(0, fmt::format("text is {}, without a unit; write it with one", quoted(text)));
  }
  if (read->unit->dimension != to->dimension) {
    return refuse(0, fmt::format("text is {}: a {} cannot be told in {}", quoted(text),
                                 info(read->unit->dimension).name, to->symbol));
  }
  return Number{convert(read->value, *read->unit, *to)};
}

constexpr Parameter kQuantityParameters[] = {
    {.name = "text",
     .text = "A quantity as people write it: \"28 lb\", \"1 1/4 in\", \"2 lb 3 oz\", \"12,5 kg\"."},
    {.name = "unit",
     .text = "The unit of the result, such as \"kg\" or \"ft³\"; an empty text for a plain number "
             "or a share."},
    {.name = "decimal mark",
     .text = "\".\" or \",\": how \"1,234\" and \"1.234\" are to be read.",
     .fallback = std::string_view("")},
};
constexpr Example kQuantityExamples[] = {
    {"=QUANTITY(\"2 lb 3 oz\";\"oz\")", 35.0},
    {"=QUANTITY(\"1 1/4 in\";\"mm\")", 31.75},
    {"=QUANTITY(\"12,5 kg\";\"g\")", 12500.0},
    {"=QUANTITY(\"1,234 kg\";\"kg\";\".\")", 1234.0},
    {"=QUANTITY(\"4 %\";\"\")", 0.04},
    {"=QUANTITY(\"1,234 kg\";\"kg\")", Code::argument, "1234 or 1.234"},
    {"=QUANTITY(\"10.000 g\";\"g\")", Code::argument, "10000 or 10"},
    {"=QUANTITY(\"1:30\";\"min\")", 90.0},
    {"=QUANTITY(\"28 lb\";\"cm\")", Code::argument},
};
constexpr Function kQuantity = describe<quantity>(
    {.id = "quantity",
     .name = "QUANTITY",
     .group = Group::quantities,
     .summary = "A text with a unit as a number in the unit that you name.",
     .returns = "a number in the unit named",
     .source = "NIST SP 811, appendix B.8 (inch, pound, gallon, psi, bar, hundredweight, "
               "horsepower); ISO 1144 (tex)",
     .detail =
         "Reads kg, g, mg, t, lb (also #), oz, short cwt, long cwt; m, dm, cm, mm, in, ft, yd; "
         "cm², "
         "m², in², ft²; L, cL, mL, m³, cm³, ft³, in³, gal (US), qt (US); kg/m³, g/L, g/cm³, lb/ft³ "
         "(also pcf), oz/in³; cm³/kg, cm³/g, in³/lb, in³/oz; Pa, kPa, MPa, GPa, bar, psi; s, min, "
         "h, d, week; dtex, den, tex; kW, W, metric hp, mechanical hp; %. \"Per\" may stand for "
         "the "
         "slash. Fractions and mixed numbers are read (\"5½ oz\", \"1-1/4 in\"), compounds (\"2 lb "
         "and 3 oz\", \"1h 30m\"), spaces or apostrophes that set thousands apart, and a comma or "
         "a point as the decimal mark where only one reading is possible. \"1,234\" and \"1.234\" "
         "have two readings and are refused unless the decimal mark is named or another number in "
         "the text shows it; \"0.250\" and \"1.2340\" have one. Where a time is due, m is the "
         "minute and \"1:30\" is hours and minutes. The pound is 0.45359237 kg, the inch 2.54 cm, "
         "the gallon 231 in³, the metric hp 735.49875 W, the mechanical hp 550 ft·lbf/s."},
    kQuantityParameters, kQuantityExamples);

constexpr Function kFunctions[] = {kQuantity};

}  // namespace

Functions quantity_functions() { return kFunctions; }

}  // namespace loftledger::planning
