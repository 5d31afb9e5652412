// Sizes of units in SI units, where more than one table needs them. All are exact by definition.
// Sources: BIPM, The International System of Units (SI Brochure), 9th edition, 2019, table 8
// (minute, hour, day, litre); NIST Special Publication 811, 2008, appendix B.8 (inch, foot, yard,
// mile, pound, standard gravity, pound-force, psi); NIST Handbook 44, appendix C (how many of one
// unit make another). Tables and sections are named from memory; the figures are definitions.
#pragma once

namespace loftledger::si {

constexpr long double squared(long double x) { return x * x; }
constexpr long double cubed(long double x) { return x * x * x; }

// m
inline constexpr long double kInch = 0.0254L;
inline constexpr long double kFoot = 0.3048L;
inline constexpr long double kYard = 0.9144L;
inline constexpr long double kMile = 5280 * kFoot;

// m³
inline constexpr long double kLitre = 0.001L;
inline constexpr long double kGallon = 231 * cubed(kInch);  // of the United States

// kg
inline constexpr long double kPound = 0.45359237L;
inline constexpr long double kOunce = kPound / 16;
inline constexpr long double kShortTon = 2000 * kPound;

// s
inline constexpr long double kMinute = 60;
inline constexpr long double kHour = 60 * kMinute;
inline constexpr long double kDay = 24 * kHour;

// m/s², N, Pa
inline constexpr long double kStandardGravity = 9.80665L;
inline constexpr long double kPoundForce = kPound * kStandardGravity;
inline constexpr long double kPsi = kPoundForce / squared(kInch);

}  // namespace loftledger::si
