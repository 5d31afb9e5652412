// The packed extension, read as the extension manager reads it; no office is started.
#include <gtest/gtest.h>

#include <filesystem>
#include <map>
#include <pugixml.hpp>
#include <set>

#include "addin/render/render.hpp"
#include "engine/ods/document.hpp"
#include "engine/ods/file.hpp"
#include "engine/ods/package/zip.hpp"
#include "engine/planning/catalogue.hpp"

namespace loftledger::office {
namespace {

using Files = std::map<std::string, std::string>;

Files unpack(const std::string& path) {
  Files out;
  const Result<std::string> bytes = ods::read_file(path);
  if (!bytes) return out;
  const Result<ods::Archive> archive = ods::Archive::open(*bytes);
  if (!archive) return out;
  for (const ods::ZipEntry& entry : archive->entries()) {
    if (entry.folder()) continue;
    Result<std::string> content = archive->unpack(entry);
    if (content) out[entry.name] = *std::move(content);
  }
  return out;
}

class Package : public testing::Test {
 protected:
  void SetUp() override {
    files_ = unpack(LOFTLEDGER_PACKAGE);
    ASSERT_FALSE(files_.empty()) << LOFTLEDGER_PACKAGE;
  }

  // The file as a tree; fails where it is missing or not well formed.
  void parse(const std::string& name, pugi::xml_document& document) {
    ASSERT_TRUE(files_.contains(name)) << name;
    ASSERT_TRUE(document.load_string(files_[name].c_str())) << name;
  }
  Files files_;
};

TEST_F(Package, ListsEveryFileOfItsManifestAndHasThem) {
  pugi::xml_document manifest;
  parse("META-INF/manifest.xml", manifest);
  int entries = 0;
  for (pugi::xml_node entry : manifest.child("manifest:manifest").children("manifest:file-entry")) {
    const std::string path = entry.attribute("manifest:full-path").as_string();
    EXPECT_TRUE(files_.contains(path)) << path;
    EXPECT_NE(std::string(entry.attribute("manifest:media-type").as_string()), "") << path;
    ++entries;
  }
  EXPECT_GE(entries, 3);
}

TEST_F(Package, HoldsOnlyWellFormedXml) {
  const std::set<std::string> kXml = {".xml", ".xcu", ".components", ".xdl"};
  int seen = 0;
  for (const auto& [name, content] : files_) {
    const std::size_t dot = name.rfind('.');
    if (dot == std::string::npos || !kXml.contains(name.substr(dot))) continue;
    pugi::xml_document document;
    EXPECT_TRUE(document.load_string(content.c_str())) << name;
    ++seen;
  }
  EXPECT_GE(seen, 4);
}

TEST_F(Package, HoldsTheTextsOfTheCatalogue) {
  EXPECT_EQ(files_["CalcAddIns.xcu"], render::configuration(planning::catalogue().functions()));
}

TEST_F(Package, DescribesItself) {
  pugi::xml_document document;
  parse("description.xml", document);
  const pugi::xml_node root = document.child("description");
  EXPECT_EQ(std::string(root.child("version").attribute("value").as_string()), LOFTLEDGER_VERSION);
  EXPECT_EQ(std::string(root.child("dependencies")
                            .child("l:LibreOffice-minimal-version")
                            .attribute("value")
                            .as_string()),
            "7.0");
  EXPECT_NE(std::string(root.child("identifier").attribute("value").as_string()), "");
  EXPECT_NE(std::string(root.child("display-name").child("name").text().get()), "");
  const std::string text =
      root.child("extension-description").child("src").attribute("xlink:href").as_string();
  EXPECT_TRUE(files_.contains(text)) << text;
  EXPECT_NE(files_[text].find("Mozilla Public License 2.0"), std::string::npos);
  EXPECT_TRUE(files_["LICENSE"].starts_with("Mozilla Public License Version 2.0"));
}

// Every starter, packed as a template of the office, in the folder that the office is told of.
TEST_F(Package, HoldsTheStartersAsTemplates) {
  pugi::xml_document paths;
  parse("Paths.xcu", paths);
  EXPECT_NE(paths.select_node("//node[@oor:name='Template']//node[@oor:name='%origin%/templates']"),
            nullptr);
  std::set<std::string> expected;
  for (const auto& entry : std::filesystem::directory_iterator(
           std::filesystem::path(LOFTLEDGER_SOURCE) / "templates")) {
    if (entry.path().extension() == ".fods") {
      expected.insert("templates/Store Planning/" + entry.path().stem().string() + ".ots");
    }
  }
  std::set<std::string> found;
  for (const auto& [name, content] : files_) {
    if (!name.starts_with("templates/")) continue;
    found.insert(name);
    SCOPED_TRACE(name);
    const Result<ods::Archive> archive = ods::Archive::open(content);
    ASSERT_TRUE(archive.ok());
    // The standard wants this entry first and unpacked, so that the kind of a file shows at once.
    ASSERT_FALSE(archive->entries().empty());
    EXPECT_EQ(archive->entries().front().name, "mimetype");
    const Result<std::string> kind = archive->unpack(archive->entries().front());
    ASSERT_TRUE(kind.ok());
    EXPECT_EQ(*kind, "application/vnd.oasis.opendocument.spreadsheet-template");
    EXPECT_TRUE(ods::Document::read(content, name).ok());
  }
  EXPECT_EQ(found, expected);
}

TEST_F(Package, NamesALibraryThatItHolds) {
  pugi::xml_document document;
  parse("loftledger.components", document);
  const pugi::xml_node component = document.child("components").child("component");
  const std::string library = component.attribute("uri").as_string();
  ASSERT_TRUE(files_.contains(library)) << library;
  int constructors = 0;
  for (pugi::xml_node implementation : component.children("implementation")) {
    const std::string name = implementation.attribute("constructor").as_string();
    // The dynamic symbol table holds it in clear.
    EXPECT_NE(files_[library].find(name + '\0'), std::string::npos) << name;
    ++constructors;
  }
  EXPECT_GE(constructors, 1);
}

}  // namespace
}  // namespace loftledger::office
