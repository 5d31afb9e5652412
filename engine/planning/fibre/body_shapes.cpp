// Shapes: the volume of a body before there is one, by scale or from its parts.
#include <fmt/format.h>

#include <cmath>
#include <numbers>

#include "engine/base/number_text.hpp"
#include "engine/catalogue/describe.hpp"
#include "engine/planning/areas.hpp"

namespace loftledger::planning {

using namespace catalogue;

namespace {

using std::numbers::pi;

// Lengths come in cm, volumes go out in L.
Volume litres(double cubic_centimetres) { return Volume{cubic_centimetres / 1000}; }

constexpr std::string_view kParts =
    "Add up head, trunk and limbs for a body. Measure the skin stuffed, or allow for its stretch.";

// --- BODYVOLUME

Result<Volume> body_volume(Volume reference, Length reference_height, Length height,
                           Number exponent) {
  return Volume{reference.value * std::pow(height.value / reference_height.value, exponent.value)};
}

constexpr Parameter kBodyVolumeParameters[] = {
    {.name = "reference volume",
     .text = "Volume of a filled body that was measured.",
     .rule = Rule::positive},
    {.name = "reference height", .text = "Its height.", .rule = Rule::positive},
    {.name = "height", .text = "Height of the body to be estimated.", .rule = Rule::positive},
    {.name = "exponent",
     .text = "3 for the same shape at another size; less where larger bodies are slimmer.",
     .rule = Rule::positive,
     .fallback = 3.0},
};
constexpr Example kBodyVolumeExamples[] = {
    {"=BODYVOLUME(\"0.75 L\";\"20 cm\";\"40 cm\")", 6.0},
    {"=BODYVOLUME(0.75;20;40;2)", 3.0},
    {"=BODYVOLUME(0.75;0;40)", Code::argument},
};
constexpr Function kBodyVolume = describe<body_volume>(
    {.id = "bodyVolume",
     .name = "BODYVOLUME",
     .group = Group::fibre,
     .summary = "Volume of a body from that of a similar one, by their heights.",
     .returns = "a volume in L, or in the unit of a bare reference volume",
     .source = "geometric similarity",
     .detail = "To measure a body's volume, put it into a thin bag, press it under dry beads or "
               "rice in a measured vessel, or weigh its fibre and divide by a fill density that is "
               "known. Twice the height is eight times the volume, and so eight times the fibre."},
    kBodyVolumeParameters, kBodyVolumeExamples);

// --- SPHEREVOLUME

Result<Volume> sphere_volume(Length girth) {
  return litres(girth.value * girth.value * girth.value / (6 * pi * pi));
}

constexpr Parameter kSphereVolumeParameters[] = {
    {.name = "girth",
     .text = "Girth: a tape laid once around the middle; in cm where it has no unit.",
     .rule = Rule::positive},
};
constexpr Example kSphereVolumeExamples[] = {
    {"=SPHEREVOLUME(\"50 cm\")", 2.1108579925},
    {"=SPHEREVOLUME(0)", Code::argument},
};
constexpr Function kSphereVolume = describe<sphere_volume>(
    {.id = "sphereVolume",
     .name = "SPHEREVOLUME",
     .group = Group::fibre,
     .summary = "Volume of a ball, such as a round head, from the tape around it.",
     .returns = "a volume in L",
     .source = "solid geometry: girth³ / 6π²",
     .detail = kParts},
    kSphereVolumeParameters, kSphereVolumeExamples);

// --- ELLIPSOIDVOLUME

Result<Volume> ellipsoid_volume(Length length, Length width, Length depth) {
  return litres(pi / 6 * length.value * width.value * depth.value);
}

constexpr Parameter kEllipsoidVolumeParameters[] = {
    {.name = "length",
     .text = "Whole length, from end to end; in cm where it has no unit.",
     .rule = Rule::positive},
    {.name = "width", .text = "Whole width, likewise.", .rule = Rule::positive},
    {.name = "depth", .text = "Whole depth, likewise.", .rule = Rule::positive},
};
constexpr Example kEllipsoidVolumeExamples[] = {
    {"=ELLIPSOIDVOLUME(20;16;12)", 2.0106192983},
    {"=ELLIPSOIDVOLUME(\"8 in\";\"6 in\";\"6 in\")", 2.4711110341},
    {"=ELLIPSOIDVOLUME(20;16;-12)", Code::argument},
};
constexpr Function kEllipsoidVolume = describe<ellipsoid_volume>(
    {.id = "ellipsoidVolume",
     .name = "ELLIPSOIDVOLUME",
     .group = Group::fibre,
     .summary = "Volume of an egg-shaped trunk or head from its three measures.",
     .returns = "a volume in L",
     .source = "solid geometry: π/6 length width depth",
     .detail = kParts},
    kEllipsoidVolumeParameters, kEllipsoidVolumeExamples);

// --- CONEVOLUME

Result<Volume> cone_volume(Length first, Length second, Length height) {
  const double a = first.value;
  const double b = second.value;
  return litres(pi / 12 * height.value * (a * a + a * b + b * b));
}

constexpr Parameter kConeVolumeParameters[] = {
    {.name = "first diameter",
     .text = "Diameter at one end; in cm where it has no unit.",
     .rule = Rule::positive},
    {.name = "second diameter",
     .text = "Diameter at the other end; 0 for a pointed one.",
     .rule = Rule::not_negative},
    {.name = "height", .text = "Distance between the ends.", .rule = Rule::positive},
};
constexpr Example kConeVolumeExamples[] = {
    {"=CONEVOLUME(10;6;12)", 0.6157521601},
    {"=CONEVOLUME(\"10 cm\";\"60 mm\";\"12 cm\")", 0.6157521601},
    {"=CONEVOLUME(0;6;12)", Code::argument},
};
constexpr Function kConeVolume = describe<cone_volume>(
    {.id = "coneVolume",
     .name = "CONEVOLUME",
     .group = Group::fibre,
     .summary = "Volume of a tapering trunk or limb: a cone with its tip cut off.",
     .returns = "a volume in L",
     .source = "solid geometry: π/12 height (a² + ab + b²)",
     .detail = kParts},
    kConeVolumeParameters, kConeVolumeExamples);

// --- CAPSULEVOLUME

Result<Volume> capsule_volume(Length diameter, Length length) {
  const double d = diameter.value;
  if (length.value < d) {
    return refuse(1, fmt::format("length is {} cm; from end to end it cannot be less than the "
                                 "diameter, {} cm",
                                 plain_number(length.value), plain_number(d)));
  }
  return litres(pi * d * d * ((length.value - d) / 4 + d / 6));
}

constexpr Parameter kCapsuleVolumeParameters[] = {
    {.name = "diameter",
     .text = "Diameter across; in cm where it has no unit.",
     .rule = Rule::positive},
    {.name = "length", .text = "Whole length with both round ends.", .rule = Rule::positive},
};
constexpr Example kCapsuleVolumeExamples[] = {
    {"=CAPSULEVOLUME(6;16)", 0.3958406744},
    {"=CAPSULEVOLUME(6;5)", Code::argument},
};
constexpr Function kCapsuleVolume =
    describe<capsule_volume>({.id = "capsuleVolume",
                              .name = "CAPSULEVOLUME",
                              .group = Group::fibre,
                              .summary = "Volume of an arm or leg: a cylinder with round ends.",
                              .returns = "a volume in L",
                              .source = "solid geometry: cylinder and two half balls",
                              .detail = kParts},
                             kCapsuleVolumeParameters, kCapsuleVolumeExamples);

constexpr Function kFunctions[] = {kBodyVolume, kSphereVolume, kEllipsoidVolume, kConeVolume,
                                   kCapsuleVolume};

}  // namespace

Functions shape_functions() { return kFunctions; }

}  // namespace loftledger::planning
