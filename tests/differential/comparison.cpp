#include "tests/differential/comparison.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>

#include "tests/support/office/calculated.hpp"

namespace loftledger::differential {

namespace {

constexpr std::int32_t kColumns = 24;
// The first ones hold numbers: INDIRECT("A1") must not read another formula.
constexpr std::int32_t kFirstColumn = 2;
constexpr std::int32_t kFilledRows = 6;
constexpr std::int32_t kRoom = 3;  // rows and columns of a matrix formula at most
constexpr std::int32_t kFirstMatrixRow = 40;
constexpr std::int32_t kMatrixRows = 60;
constexpr std::size_t kPage = 7000;    // samples in one document
constexpr std::size_t kStart = 14000;  // samples for one start of the office
constexpr std::size_t kParts = 40;     // that a page is cut into to find a formula
// The office writes 20 places behind the point and no more.
constexpr double kLastPlace = 1e-20;
// An idle machine needs half a minute for a start with all the formulas that fit into it.
constexpr std::chrono::minutes kLimit{12};
// To name the formula, once the test has failed already.
constexpr std::chrono::minutes kSearchLimit{1};

}  // namespace

struct Slot {
  std::size_t sample = 0;
  std::string sheet;
  std::int32_t row = 0;
  std::int32_t column = 0;
};

// One document of formulas, written sheet by sheet.
class Page {
 public:
  Page(const Material& material, std::size_t variant) {
    material.add_to(document_, variant);
    next_sheet();
  }
  void add(std::size_t index, const Sample& sample) {
    if (sample.matrix) {
      add_matrix(index, sample);
      return;
    }
    const auto rows = static_cast<std::size_t>(sample.rows);
    const auto row = free_.begin() + sample.row;
    std::int32_t column = *std::max_element(row, row + sample.rows);
    if (column >= kColumns) {
      next_sheet();
      column = kFirstColumn;
    }
    std::fill_n(free_.begin() + sample.row, rows, column + 1);
    for (std::int32_t r = 0; r < sample.rows; ++r) {
      document_.formula(sample.row + r, column, stored(*sample.term, r));
    }
    slots_.push_back({index, name(), sample.row, column});
  }
  const support::FlatDocument& document() const { return document_; }
  const std::vector<Slot>& slots() const { return slots_; }

 private:
  std::string name() const { return fmt::format("Work{}", sheets_); }
  void next_sheet() {
    ++sheets_;
    document_.sheet(name());
    free_.assign(kSampleRows, kFirstColumn);
    for (std::int32_t row = 0; row < kFilledRows; ++row) {
      for (std::int32_t column = 0; column < kFirstColumn; ++column) {
        document_.value(row, column, Value(row * 2.5 - column));
      }
    }
    matrices_ = 0;
  }
  void add_matrix(std::size_t index, const Sample& sample) {
    constexpr std::int32_t kAcross = kColumns / kRoom;
    if (matrices_ / kAcross * kRoom >= kMatrixRows) next_sheet();
    const std::int32_t row = kFirstMatrixRow + matrices_ / kAcross * kRoom;
    const std::int32_t column = matrices_ % kAcross * kRoom;
    ++matrices_;
    document_.array(row, column, sample.rows, sample.columns, stored(*sample.term));
    slots_.push_back({index, name(), row, column});
  }

  support::FlatDocument document_;
  std::vector<Slot> slots_;
  int sheets_ = 0;
  std::vector<std::int32_t> free_;
  std::int32_t matrices_ = 0;
};

bool agree(const Value& office, const Value& engine, double tolerance) {
  if (office.is_error() || engine.is_error()) return office.code() == engine.code();
  if (office.is_text() || engine.is_text()) {
    // The office's file does not tell an empty text from nothing.
    if (office.is_empty()) return engine.text().empty();
    return office.is_text() == engine.is_text() && office.text() == engine.text();
  }
  // A cell that is left empty shows 0; whether 1 shows as TRUE is a matter of its format.
  const double a = office.number();
  const double b = engine.number();
  const double apart = std::fabs(a - b);
  return a == b || apart <= kLastPlace || apart <= tolerance * std::max(std::fabs(a), std::fabs(b));
}

std::vector<Page> Comparison::pages(const std::vector<Sample>& samples,
                                    std::span<const std::size_t> which, std::size_t in_page) {
  std::vector<Page> out;
  // How texts match is a matter of the document.
  std::map<std::size_t, std::size_t> open;
  for (const std::size_t i : which) {
    const std::size_t variant = samples[i].variant;
    const auto found = open.find(variant);
    if (found == open.end() || out[found->second].slots().size() >= in_page) {
      open[variant] = out.size();
      out.emplace_back(material_, variant);
    }
    out[open[variant]].add(i, samples[i]);
  }
  return out;
}

support::Office::Converted Comparison::converted(std::span<const Page> pages,
                                                 std::chrono::seconds limit) {
  std::vector<std::filesystem::path> files;
  for (const Page& page : pages) {
    files.push_back(office_.folder() / fmt::format("formulas{}.fods", ++documents_));
    support::write_file(files.back(), page.document().xml());
  }
  return office_.convert(files, "fods", limit);
}

std::string Comparison::culprit(const std::vector<Sample>& samples,
                                std::vector<std::size_t> inside) {
  while (inside.size() > 1) {
    const std::vector<Page> parts =
        pages(samples, inside, std::max<std::size_t>(inside.size() / kParts, 1));
    const std::size_t whole = converted(parts, kSearchLimit).files.size();
    // One alone need not be enough.
    if (whole == parts.size()) break;
    inside.clear();
    for (const Slot& slot : parts[whole].slots()) inside.push_back(slot.sample);
  }
  constexpr std::size_t kMostNamed = 40;
  std::string out = inside.size() == 1 ? "" : fmt::format("{} together: ", inside.size());
  for (std::size_t i = 0; i < std::min(inside.size(), kMostNamed); ++i) {
    const Sample& sample = samples[inside[i]];
    out += fmt::format("{} (seed {})\n", stored(*sample.term), sample.seed);
  }
  return out;
}

void Comparison::read(const Page& page, const std::filesystem::path& file,
                      const std::vector<Sample>& samples, std::vector<Answers>& out) {
  const support::FlatCells engine = support::calculated_by_engine(page.document());
  const support::FlatCells office = support::read_flat(file.string());
  if (!office.problem.empty()) problem_ = office.problem;
  if (!engine.problem.empty()) problem_ = engine.problem;
  for (const Slot& at : page.slots()) {
    const Sample& sample = samples[at.sample];
    Answers& answers = out[at.sample];
    for (std::int32_t r = 0; r < sample.rows; ++r) {
      for (std::int32_t c = 0; c < sample.columns; ++c) {
        answers.office.push_back(office.at(at.sheet, at.row + r, at.column + c));
        answers.engine.push_back(engine.at(at.sheet, at.row + r, at.column + c));
      }
    }
  }
}

std::vector<Answers> Comparison::run(const std::vector<Sample>& samples, Documents documents) {
  std::vector<Answers> out(samples.size());
  std::vector<std::size_t> all(samples.size());
  std::iota(all.begin(), all.end(), 0);
  const std::vector<Page> asked = pages(samples, all, documents == Documents::own ? 1 : kPage);
  for (std::size_t first = 0; first < asked.size();) {
    // Small pages go together, so that the office need not start for each.
    std::size_t end = first;
    for (std::size_t held = 0; end < asked.size() && held < kStart; ++end) {
      held += asked[end].slots().size();
    }
    const std::span<const Page> together(asked.begin() + first, asked.begin() + end);
    const support::Office::Converted answered = converted(together, kLimit);
    if (answered.files.size() < together.size()) {
      std::vector<std::size_t> inside;
      for (const Slot& slot : together[answered.files.size()].slots()) {
        inside.push_back(slot.sample);
      }
      problem_ = fmt::format("the office gave no answer over {}{}",
                             culprit(samples, std::move(inside)), answered.problem);
      return {};
    }
    for (std::size_t i = 0; i < together.size(); ++i) {
      read(together[i], answered.files[i], samples, out);
    }
    first = end;
  }
  if (!problem_.empty()) return {};
  return out;
}

}  // namespace loftledger::differential
