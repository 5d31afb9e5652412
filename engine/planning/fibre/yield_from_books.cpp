// Yield from the books: what cases used and bodies filled say, and whether the yield has moved.
#include <fmt/format.h>

#include <array>
#include <cmath>

#include "engine/base/number_text.hpp"
#include "engine/catalogue/describe.hpp"
#include "engine/planning/areas.hpp"
#include "engine/planning/common/ends.hpp"
#include "engine/planning/common/trials.hpp"

namespace loftledger::planning {

using namespace catalogue;

namespace {

// --- YIELDFROMBOOKS

struct Books {
  std::vector<double> cases;
  std::vector<double> bodies;
};

// Periods in which nothing is entered, or nothing was used and filled, tell nothing of the yield
// and are passed over; half an entry is refused.
Result<Books> books_of(const Series<Count>& cases, const Series<Count>& bodies) {
  if (cases.values.size() != bodies.values.size()) {
    return refuse(1, fmt::format("bodies filled has {} and cases used has {}; they are read "
                                 "side by side and must have as many",
                                 counted(bodies.values.size(), "cell"), cases.values.size()));
  }
  Books out;
  double used = 0;
  for (std::size_t i = 0; i < cases.values.size(); ++i) {
    const bool has_cases = cases.values[i].has_value();
    if (has_cases != bodies.values[i].has_value()) {
      return refuse(has_cases ? 1 : 0,
                    fmt::format("{} is empty in place {}, where {} is not",
                                has_cases ? "bodies filled" : "cases used", i + 1,
                                has_cases ? "cases used" : "bodies filled"));
    }
    if (!has_cases || (*cases.values[i] == 0 && *bodies.values[i] == 0)) continue;
    out.cases.push_back(*cases.values[i]);
    out.bodies.push_back(*bodies.values[i]);
    used += *cases.values[i];
  }
  if (used == 0) return refuse(0, "cases used adds up to 0; without a case there is no yield");
  return out;
}

// The ratio of the sums and its standard error, from the residuals bodies − ratio · cases.
struct RatioEstimate {
  double ratio = 0;
  double error = 0;
};
RatioEstimate ratio_estimate(const Books& books) {
  double cases = 0;
  double bodies = 0;
  for (double x : books.cases) cases += x;
  for (double y : books.bodies) bodies += y;
  const double ratio = bodies / cases;
  double squares = 0;
  for (std::size_t i = 0; i < books.cases.size(); ++i) {
    const double residual = books.bodies[i] - ratio * books.cases[i];
    squares += residual * residual;
  }
  const double n = static_cast<double>(books.cases.size());
  return {ratio, n > 1 ? std::sqrt(n * squares / (n - 1)) / cases : 0};
}

// The ends of the range, and what it is made from.
constexpr std::array<std::string_view, 4> kFigures = {"low", "middle", "high", "standard error"};
enum class Figure : std::uint8_t { low, middle, high, error };

Result<Count> yield_from_books(const Series<Count>& cases, const Series<Count>& bodies,
                               std::string_view end, Ratio confidence) {
  Result<std::size_t> word = word_index(2, "end", end, kFigures);
  if (!word) return std::move(word).error();
  const Figure which = static_cast<Figure>(*word);
  Result<Books> books = books_of(cases, bodies);
  if (!books) return std::move(books).error();
  const RatioEstimate estimate = ratio_estimate(*books);
  if (which == Figure::middle) return Count{estimate.ratio};
  const double n = static_cast<double>(books->cases.size());
  if (n < 2) return refuse(0, "cases used has one period; a range needs 2 at least");
  if (which == Figure::error) return Count{estimate.error};
  const double reach = student_quantile((1 + confidence.value) / 2, n - 1) * estimate.error;
  if (which == Figure::high) return Count{estimate.ratio + reach};
  return Count{std::max(0.0, estimate.ratio - reach)};
}

constexpr Parameter kYieldFromBooksParameters[] = {
    {.name = "cases used",
     .text =
         "Cases used in each period, parts of a case counted: a range. A period without cases and "
         "without bodies is passed over, empty or 0.",
     .rule = Rule::not_negative},
    {.name = "bodies filled",
     .text = "Bodies filled in each period, in the same order: a range.",
     .rule = Rule::not_negative},
    end_parameter(
        "Which end of the yield's range: low, middle (the yield itself) or high; or standard "
        "error."),
    {.name = "confidence",
     .text = "Confidence of the range from low to high.",
     .rule = Rule::open_share,
     .fallback = 0.95},
};
constexpr Example kYieldFromBooksExamples[] = {
    {"=YIELDFROMBOOKS({2;3;2.5};{310;460;401})", 1171.0 / 7.5},
    {"=YIELDFROMBOOKS({2;3;2.5};{310;460;401};\"low\")", 146.461757176},
    {"=YIELDFROMBOOKS({2;3;2.5};{310;460;401};\"high\")", 165.804909491},
    {"=YIELDFROMBOOKS({2;3;2.5};{310;460;401};\"standard error\")", 2.2478170480},
    {"=YIELDFROMBOOKS({2;3};{310;460;401})", Code::argument},
    {"=YIELDFROMBOOKS({0;0};{310;460})", Code::argument},
};
constexpr Function kYieldFromBooks = describe<yield_from_books>(
    {.id = "yieldFromBooks",
     .name = "YIELDFROMBOOKS",
     .group = Group::fibre,
     .summary = "Bodies per case as the books show them, with its range.",
     .returns = "a count of bodies per case, not rounded",
     .source = "ratio estimate: W. G. Cochran, Sampling Techniques, chapter 6 (from memory); "
               "A. C. Davison and D. V. Hinkley, Bootstrap Methods (1997), for the standard error",
     .detail = "All bodies over all cases, so that a period weighs by what it used. The range is "
               "the ratio plus and minus Student's t times its standard error, which comes from "
               "how far each period lies from the ratio; it is rough for fewer than about six "
               "periods, and its low end is cut at 0. Count part-used cases at the end of each "
               "period, or the range is wider "
               "than it need be. Bodies of different sizes want a column and a call each."},
    kYieldFromBooksParameters, kYieldFromBooksExamples);

// --- YIELDLIMIT

constexpr std::size_t kFewestPeriods = 3;
constexpr double kControlConfidence = 0.9973;  // three standard errors of a normal distribution

constexpr Parameter kHistory = {.name = "history",
                                .text = "Yields of earlier periods, bodies per case each: a range.",
                                .rule = Rule::positive};
constexpr Parameter kControl = {
    .name = "confidence",
    .text =
        "Share of periods that stay within the limits while nothing has changed; 99.73% where "
        "it is left out, the three-sigma limits of control charts.",
    .rule = Rule::open_share,
    .fallback = kControlConfidence};

constexpr std::string_view kPrediction =
    "prediction interval for one future value by Student's t: G. J. Hahn and W. Q. Meeker, "
    "Statistical Intervals (1991, from memory); three-sigma limits after W. A. Shewhart (1931, "
    "from memory)";

// Where one further period is to be expected while nothing has changed.
Result<Interval<Count>> limits_of(const List<Count>& history, Ratio confidence) {
  if (history.values.size() < kFewestPeriods) {
    return refuse(0, fmt::format("history has {}; it needs {} at least",
                                 counted(history.values.size(), "number"), kFewestPeriods));
  }
  const Sample sample = sample_of(history.values);
  const double reach = student_quantile((1 + confidence.value) / 2, sample.count - 1) *
                       sample.deviation * std::sqrt(1 + 1 / sample.count);
  return Interval<Count>{sample.mean - reach, sample.mean + reach};
}

Result<Count> yield_limit(const List<Count>& history, std::string_view end, Ratio confidence) {
  Result<End> which = end_of(1, end);
  if (!which) return std::move(which).error();
  Result<Interval<Count>> limits = limits_of(history, confidence);
  if (!limits) return std::move(limits).error();
  if (*which == End::low) return Count{limits->low};
  if (*which == End::high) return Count{limits->high};
  return Count{sample_of(history.values).mean};
}

constexpr Parameter kYieldLimitParameters[] = {
    kHistory,
    end_parameter("Which line of the chart: low, middle or high."),
    kControl,
};
constexpr Example kYieldLimitExamples[] = {
    {"=YIELDLIMIT({155;158;152;157;153};\"middle\")", 155.0},
    {"=YIELDLIMIT({155;158;152;157;153};\"low\";95%)", 147.2458108165},
    {"=YIELDLIMIT({155;158;152;157;153};\"high\";95%)", 162.7541891835},
    {"=YIELDLIMIT({155;158};\"low\")", Code::argument, "two periods show no spread to judge by"},
};
constexpr Function kYieldLimit = describe<yield_limit>(
    {.id = "yieldLimit",
     .name = "YIELDLIMIT",
     .group = Group::fibre,
     .summary = "Control limits of the yield: where a further period lies if nothing has changed.",
     .returns = "a count of bodies per case, not rounded; a low limit may fall below 0",
     .source = kPrediction,
     .detail = "For a chart of yields with its three lines. The limits are wide after few periods, "
               "since the spread itself is then uncertain."},
    kYieldLimitParameters, kYieldLimitExamples);

// --- YIELDDRIFT

// Limits that would not show a fall of this share are too wide to call a yield steady.
constexpr double kShownFall = 1.0 / 3;

Result<std::string> yield_drift(const List<Count>& history, Count latest, Ratio confidence) {
  Result<Interval<Count>> limits = limits_of(history, confidence);
  if (!limits) return std::move(limits).error();
  // Equal yields with rounding noise in them have not moved. Yields without any spread give limits
  // without width, which says that the spread was not seen, not that there is none.
  const double noise = 1e-9 * latest.value;
  if (limits->high - limits->low <= noise && std::abs(latest.value - limits->low) > noise) {
    return std::string("too few periods to tell");
  }
  if (latest.value < limits->low - noise) return std::string("lower");
  if (latest.value > limits->high + noise) return std::string("higher");
  if (limits->low < (1 - kShownFall) * sample_of(history.values).mean) {
    return std::string("too few periods to tell");
  }
  return std::string("steady");
}

constexpr Parameter kYieldDriftParameters[] = {
    kHistory,
    {.name = "latest", .text = "Yield of the latest period.", .rule = Rule::not_negative},
    kControl,
};
constexpr Example kYieldDriftExamples[] = {
    {"=YIELDDRIFT({155;158;152;157;153};149)", std::string_view("steady"), "within chance"},
    {"=YIELDDRIFT({155;158;152;157;153};120)", std::string_view("lower")},
    {"=YIELDDRIFT({155;158;152;157;153};165;95%)", std::string_view("higher")},
    {"=YIELDDRIFT({155;158;152};90)", std::string_view("too few periods to tell"),
     "three periods give limits from 87 to 223"},
    {"=YIELDDRIFT({155;158};149)", Code::argument},
};
constexpr Function kYieldDrift = describe<yield_drift>(
    {.id = "yieldDrift",
     .name = "YIELDDRIFT",
     .group = Group::fibre,
     .summary = "Whether the latest yield has moved beyond chance.",
     .returns = "a text: steady, lower, higher, or too few periods to tell",
     .source = kPrediction,
     .detail = "Lower or higher means that the latest period lies outside the limits that "
               "YIELDLIMIT gives; steady means no more than that it lies within. "
               "Where the limits are so wide that a fall of a third would not show, or where the "
               "history has no spread at all and the latest period differs from it, the answer is "
               "too few periods to tell. Look for a cause "
               "before a plan is changed: another lot of fibre, another hand, a count of part-used "
               "cases that was forgotten. Keep a period that had such a cause out of the history."},
    kYieldDriftParameters, kYieldDriftExamples);

constexpr Function kFunctions[] = {kYieldFromBooks, kYieldDrift, kYieldLimit};

}  // namespace

Functions yield_book_functions() { return kFunctions; }

}  // namespace loftledger::planning
