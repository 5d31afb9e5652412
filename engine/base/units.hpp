// Dimensions, units of measure, and numbers that carry their dimension in their type.
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <string_view>

namespace loftledger {

enum class Dimension : std::uint8_t {
  number,           // a plain number without a unit
  ratio,            // a share or a rate: 0.04, 4%
  count,            // things counted
  money,            // an amount in the sheet's own currency
  mass,             // g
  length,           // cm
  area,             // cm²
  volume,           // L
  density,          // kg/m³, the same number as g/L
  specific_volume,  // cm³/kg
  pressure,         // Pa
  time,             // min
  linear_density,   // dtex
  power,            // kW
  rate,             // 1/h, things an hour
};

struct DimensionInfo {
  Dimension dimension;
  std::string_view name;  // "mass"
  std::string_view unit;  // the unit in which functions compute; empty where there is none
};

const DimensionInfo& info(Dimension dimension);

// True for the dimensions whose texts carry a unit of measure (mass to power).
bool measured(Dimension dimension);

struct Unit {
  std::string_view symbol;
  Dimension dimension;
  long double size;  // in the SI unit of the dimension; exact definitions, rounded once
};

// Every unit that QUANTITY reads, one row a spelling ("kg", "lb", "lbs", "ft3", "ft³").
std::span<const Unit> units();

// The unit of that spelling, or nullptr. Case counts only where it tells units apart.
const Unit* find_unit(std::string_view symbol);

// How a unit is looked up: "lb." as "lb", "m^3" as "m3", "kg / m3" and "kg per m3" as "kg/m3".
std::string unit_key(std::string_view symbol);

// Converts between units of one dimension with a single rounding.
double convert(double value, const Unit& from, const Unit& to);

// A number that carries its dimension in its type. The number is in the unit that the parameter's
// record names, else in the dimension's own (info().unit).
template <Dimension D>
struct Measure {
  static constexpr Dimension kDimension = D;
  double value = 0;
};

using Number = Measure<Dimension::number>;
using Ratio = Measure<Dimension::ratio>;
using Count = Measure<Dimension::count>;
using Money = Measure<Dimension::money>;
using Mass = Measure<Dimension::mass>;
using Length = Measure<Dimension::length>;
using SurfaceArea = Measure<Dimension::area>;
using Volume = Measure<Dimension::volume>;
using Density = Measure<Dimension::density>;
using SpecificVolume = Measure<Dimension::specific_volume>;
using Pressure = Measure<Dimension::pressure>;
using Time = Measure<Dimension::time>;
using LinearDensity = Measure<Dimension::linear_density>;
using Power = Measure<Dimension::power>;
using Rate = Measure<Dimension::rate>;

}  // namespace loftledger
