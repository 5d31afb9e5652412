// Stations: which fibre may go into which, why, and what to beware of.
#include <fmt/format.h>

#include <array>
#include <cstdint>
#include <optional>

#include "engine/base/number_text.hpp"
#include "engine/catalogue/describe.hpp"
#include "engine/planning/areas.hpp"
#include "engine/planning/common/words.hpp"

namespace loftledger::planning {

using namespace catalogue;

namespace {

enum class Origin : std::uint8_t { virgin, recycled };
enum class Preparation : std::uint8_t { delivered, opened, vacuum };
enum class Station : std::uint8_t { hand, machine };
enum class Staple : std::uint8_t { suits_machines, between, too_long };

constexpr std::array<std::string_view, 2> kOrigins = {"virgin", "recycled"};
constexpr std::array<std::string_view, 3> kPreparations = {"as delivered", "opened",
                                                           "vacuum-packed"};
constexpr std::array<std::string_view, 2> kStations = {"hand", "machine"};

struct Verdict {
  std::optional<Station> station;  // an empty field holds for all
  std::optional<Origin> origin;
  std::optional<Preparation> preparation;
  std::optional<Staple> staple;
  std::string_view fit;
  std::string_view reason;
  std::string_view caution;
};

// The first row that matches rules; what is refused stands above what fits.
constexpr Verdict kVerdicts[] = {
    {Station::machine,
     {},
     {},
     Staple::too_long,
     "does not fit",
     "Long staple winds round moving parts and can break a machine; it suits stuffing by hand.",
     "Do not try it in small lots either: a wound shaft must be cleared with the machine taken "
     "apart."},
    {Station::machine,
     {},
     Preparation::vacuum,
     {},
     "does not fit",
     "Fibre from vacuum packs, opened too, charges with static in a machine and clogs it; it suits "
     "stuffing by hand.",
     "A clogged machine runs hot: switch it off at the first clog."},
    {Station::machine,
     {},
     {},
     Staple::between,
     "ask the maker",
     "This staple is longer than the fibre cut for blowing and shorter than that for stuffing by "
     "hand; only the machine's maker can say whether the machine takes it.",
     "Do not try it without the maker's word."},
    {Station::machine,
     Origin::recycled,
     Preparation::delivered,
     {},
     "fits only once opened",
     "Recycled staple as delivered is dense; its drag loads the motor and can burn it out.",
     "Open it first, feed it evenly, and stop at once where the motor slows or smells hot."},
    {Station::machine,
     Origin::recycled,
     Preparation::opened,
     {},
     "fits",
     "Short recycled staple runs in a machine once it is opened.",
     "It is denser than virgin fibre: watch the motor's load and clear the hopper of clumps."},
    {Station::machine,
     Origin::virgin,
     Preparation::delivered,
     {},
     "fits",
     "Short virgin staple suits machines.",
     "Pull it apart before it goes into the hopper: a clump can jam the machine. Opened, it fills "
     "more bodies."},
    {Station::machine,
     Origin::virgin,
     Preparation::opened,
     {},
     "fits",
     "Short virgin staple, opened, suits machines best.",
     "Opened fibre charges with static: keep to what the maker says of earthing and of humid air."},
    {Station::hand,
     {},
     Preparation::vacuum,
     {},
     "fits",
     "Vacuum packs suit stuffing by hand: the fibre is portioned and stays clean.",
     "Cut packs open away from the face, and take the bag away at once."},
    {Station::hand,
     {},
     {},
     Staple::too_long,
     "fits",
     "Long staple suits stuffing by hand.",
     "Keep it apart from the fibre for the machines, and label both."},
    {Station::hand,
     {},
     {},
     {},
     "fits",
     "Every staple can be stuffed by hand.",
     "Loosen clumps first, so that bodies fill evenly."},
};

constexpr std::string_view kMachineCautions =
    "Never reach into a machine or an opener that is not switched off and isolated. Switch it off "
    "at the first sign of overload or of a jam. Loose fibre charges with static: follow the "
    "maker's "
    "word on earthing. Keep plastic bags from children: they can suffocate. Keep to the machine "
    "maker's manual and local codes; leave repairs and electrical work to licensed trades.";
constexpr std::string_view kHandCautions =
    "Keep plastic bags from children: they can suffocate. Keep to local codes, and have fibre and "
    "finished toys tested as the law where you sell asks.";

// Cut lengths in cm: fibre of up to 32 mm is cut for blowing, of 51 and 64 mm for stuffing.
constexpr double kLongestForMachines = 3.2;
constexpr double kShortestLong = 5.08;  // 2 in, sold as 51 mm
constexpr double kNoise = 1e-9;

Staple staple_of(double length, std::optional<Length> longest) {
  if (longest) {
    return length <= longest->value + kNoise ? Staple::suits_machines : Staple::too_long;
  }
  if (length <= kLongestForMachines + kNoise) return Staple::suits_machines;
  return length < kShortestLong - kNoise ? Staple::between : Staple::too_long;
}

template <class T>
bool matches(const std::optional<T>& asked, T is) {
  return !asked || *asked == is;
}

// The row that rules, and the station.
struct Found {
  const Verdict* verdict;
  Station station;
};
Result<Found> find_verdict(Length staple, std::string_view origin, std::string_view preparation,
                           std::string_view station, std::optional<Length> longest) {
  Result<std::size_t> o = word_index(1, "origin", origin, kOrigins);
  if (!o) return std::move(o).error();
  Result<std::size_t> p = word_index(2, "preparation", preparation, kPreparations);
  if (!p) return std::move(p).error();
  Result<std::size_t> s = word_index(3, "station", station, kStations);
  if (!s) return std::move(s).error();
  for (const Verdict& each : kVerdicts) {
    if (matches(each.station, static_cast<Station>(*s)) &&
        matches(each.origin, static_cast<Origin>(*o)) &&
        matches(each.preparation, static_cast<Preparation>(*p)) &&
        matches(each.staple, staple_of(staple.value, longest))) {
      return Found{&each, static_cast<Station>(*s)};
    }
  }
  // The rows above leave no case open; a test tries them all.
  return Error(Code::internal, "no rule of the stations applies");
}

constexpr Parameter kStationParameters[] = {
    {.name = "staple length",
     .text = "Cut length of the fibre, such as \"32 mm\" or \"1 1/4 in\"; in cm where it has no "
             "unit, so write the unit: 2.5 without one is 25 mm, not 2 1/2 in.",
     .rule = Rule::positive},
    {.name = "origin", .text = "What the fibre was made from: virgin or recycled."},
    {.name = "preparation",
     .text = "How it comes: as delivered, opened, or vacuum-packed (fibre that was bought in "
             "vacuum packs, "
             "loosened or not)."},
    {.name = "station", .text = "Where it is to be used: hand or machine."},
    {.name = "longest staple",
     .text = "The longest staple that the machine's manual allows; it rules where it is given.",
     .rule = Rule::positive},
};

constexpr std::string_view kSource =
    "cut lengths: fill fibre of 32 mm is cut for blowing, of 51 and 64 mm for stuffing (Indian "
    "technical textiles baseline study, p. 290); the rest is common practice, no source";

// --- STATIONFIT

Result<std::string> station_fit(Length staple, std::string_view origin,
                                std::string_view preparation, std::string_view station,
                                std::optional<Length> longest) {
  Result<Found> found = find_verdict(staple, origin, preparation, station, longest);
  if (!found) return std::move(found).error();
  return std::string(found->verdict->fit);
}

constexpr Example kStationFitExamples[] = {
    {"=STATIONFIT(\"32 mm\";\"virgin\";\"opened\";\"machine\")", std::string_view("fits")},
    {"=STATIONFIT(\"32 mm\";\"recycled\";\"as delivered\";\"machine\")",
     std::string_view("fits only once opened")},
    {"=STATIONFIT(\"2 1/2 in\";\"virgin\";\"opened\";\"machine\")",
     std::string_view("does not fit")},
    {"=STATIONFIT(\"40 mm\";\"virgin\";\"opened\";\"machine\")", std::string_view("ask the maker")},
    {"=STATIONFIT(\"40 mm\";\"virgin\";\"opened\";\"machine\";\"45 mm\")", std::string_view("fits"),
     "the manual allows it"},
    {"=STATIONFIT(\"32 mm\";\"virgin\";\"opened\";\"opener\")", Code::argument},
};
constexpr Function kStationFit = describe<station_fit>(
    {.id = "stationFit",
     .name = "STATIONFIT",
     .group = Group::fibre,
     .summary = "Whether a fibre may go into a station.",
     .returns = "a text: fits, does not fit, fits only once opened, or ask the maker",
     .source = kSource,
     .detail = "The first of these that holds decides. In a machine: long staple does not fit; "
               "fibre from vacuum packs does not fit; staple between 32 and 51 mm is for the maker "
               "to say; recycled fibre as delivered fits only once opened; the rest fits. By hand "
               "all of it fits. STATIONCAUTION gives the reason and what to beware of.",
     .caution = kMachineCautions},
    kStationParameters, kStationFitExamples);

// --- STATIONCAUTION

Result<std::string> station_caution(Length staple, std::string_view origin,
                                    std::string_view preparation, std::string_view station,
                                    std::optional<Length> longest) {
  Result<Found> found = find_verdict(staple, origin, preparation, station, longest);
  if (!found) return std::move(found).error();
  return fmt::format("{} {} {}", found->verdict->reason, found->verdict->caution,
                     found->station == Station::machine ? kMachineCautions : kHandCautions);
}

constexpr Example kStationCautionExamples[] = {
    {"=STATIONCAUTION(\"64 mm\";\"virgin\";\"opened\";\"hand\")",
     std::string_view("Long staple suits stuffing by hand. Keep it apart from the fibre for the "
                      "machines, and label both. Keep plastic bags from children: they can "
                      "suffocate. Keep to local codes, and have fibre and finished toys tested as "
                      "the law where you sell asks.")},
    {"=STATIONCAUTION(\"64 mm\";\"woollen\";\"opened\";\"hand\")", Code::argument},
};
constexpr Function kStationCaution = describe<station_caution>(
    {.id = "stationCaution",
     .name = "STATIONCAUTION",
     .group = Group::fibre,
     .summary = "Why a fibre fits a station or does not, and what to beware of there.",
     .returns = "a text: the reason, then the cautions",
     .source = kSource,
     .detail = "The cautions are the usual ones and not complete: the machine maker's manual, "
               "local codes and licensed trades come first.",
     .caution = kMachineCautions},
    kStationParameters, kStationCautionExamples);

constexpr Function kFunctions[] = {kStationFit, kStationCaution};

}  // namespace

Functions station_functions() { return kFunctions; }

}  // namespace loftledger::planning
