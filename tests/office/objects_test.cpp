// Charts, pictures and notes after the engine has changed a document's form: does the office find
// them alive?
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <pugixml.hpp>

#include "engine/ods/document.hpp"
#include "tests/office/visit.hpp"

namespace loftledger::office {
namespace {

namespace fs = std::filesystem;

struct Objects {
  std::vector<std::string> series;  // the cells that the charts show
  std::vector<std::string> titles;
  int charts = 0;
  int pictures = 0;
  int notes = 0;
  int validations = 0;
};

// From a flat document.
Objects objects_in(const fs::path& file) {
  pugi::xml_document document;
  EXPECT_TRUE(document.load_file(file.c_str())) << file;
  Objects out;
  for (const auto& found :
       document.select_nodes("//chart:series/@chart:values-cell-range-address")) {
    out.series.emplace_back(found.attribute().value());
  }
  for (const auto& found : document.select_nodes("//chart:title/text:p")) {
    out.titles.emplace_back(found.node().text().get());
  }
  const auto count = [&](const char* path) {
    return static_cast<int>(document.select_nodes(path).size());
  };
  out.charts = count("//draw:object//chart:chart");
  out.pictures = count("//draw:frame[not(draw:object)]/draw:image/office:binary-data");
  out.notes = count("//office:annotation");
  out.validations = count("//table:content-validation");
  return out;
}

// The books with charts: written by the office, by hand, and to be handed out.
std::vector<fs::path> books() {
  std::vector<fs::path> out;
  for (const char* folder : {"/tests/data/ods", "/templates", "/examples"}) {
    for (const auto& entry : fs::directory_iterator(std::string(LOFTLEDGER_SOURCE) + folder)) {
      const fs::path ending = entry.path().extension();
      if (ending == ".fods" || ending == ".ods") out.push_back(entry.path());
    }
  }
  std::sort(out.begin(), out.end());
  return out;
}

void save(const fs::path& from, const fs::path& to) {
  const Result<ods::Document> document = ods::Document::open(from.string());
  ASSERT_TRUE(document) << document.error().text();
  const Outcome saved = document->save(to.string());
  ASSERT_TRUE(saved) << saved.error().text();
}

TEST(Objects, AreAliveInTheOfficeWhateverTheForm) {
  support::Office& office = Visit::get().office();
  ASSERT_EQ(Visit::get().problem(), "");
  const support::TemporaryFolder folder;
  std::vector<fs::path> originals;
  std::vector<fs::path> others;
  for (const fs::path& book : books()) {
    const std::string name = fmt::format("{}-{}", originals.size(), book.stem().string());
    originals.push_back(folder.path() / (name + "-as-it-was" + book.extension().string()));
    fs::copy_file(book, originals.back());
    // Into the other form, and from there back again; templates are told by their names.
    const fs::path packed = folder.path() / (name + "-packed.ods");
    const fs::path flat = folder.path() / (name + "-flat.fods");
    const fs::path as_template = folder.path() / (name + "-template.ots");
    save(book, packed);
    save(packed, flat);
    save(flat, as_template);
    others.insert(others.end(), {packed, flat, as_template});
  }
  const auto reference = office.convert(originals, "fods", std::chrono::minutes(20));
  ASSERT_EQ(reference.problem, "");
  const auto converted = office.convert(others, "fods", std::chrono::minutes(20));
  ASSERT_EQ(converted.problem, "");
  int charts = 0;
  for (std::size_t i = 0; i < others.size(); ++i) {
    SCOPED_TRACE(others[i].filename());
    // A flat book's charts are what it says itself: from a flat file the office takes no chart that
    // refers to a sheet further on, from a package it does.
    const bool from_flat = originals[i / 3].extension() == ".fods";
    const bool to_flat = others[i].extension() == ".fods";
    const Objects read = objects_in(reference.files[i / 3]);
    const Objects charted = from_flat && !to_flat ? objects_in(originals[i / 3]) : read;
    const Objects after = objects_in(converted.files[i]);
    EXPECT_EQ(after.series, charted.series);
    EXPECT_EQ(after.titles, charted.titles);
    EXPECT_EQ(after.charts, charted.charts);
    EXPECT_EQ(after.pictures, read.pictures);
    EXPECT_EQ(after.notes, read.notes);
    EXPECT_EQ(after.validations, read.validations);
    charts += after.charts;
  }
  EXPECT_GE(charts, 9);
}

}  // namespace
}  // namespace loftledger::office
