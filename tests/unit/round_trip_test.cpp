// Documents read and written back: byte for byte what they were, but for the values of formula
// cells and the cells that were set. What may differ is found with a parser that is not ours.
#include <fmt/format.h>
#include <gtest/gtest.h>
#include <iconv.h>

#include <algorithm>
#include <filesystem>
#include <map>
#include <random>
#include <regex>

#include "engine/calc/calculator.hpp"
#include "engine/ods/document.hpp"
#include "engine/ods/file.hpp"
#include "engine/ods/package/zip.hpp"
#include "engine/planning/catalogue.hpp"
#include "tests/support/documents/garden.hpp"
#include "tests/support/documents/masked.hpp"
#include "tests/support/xml/xml_events.hpp"

namespace loftledger {
namespace {

using ods::Archive;
using ods::Document;
using ods::ZipEntry;
using ods::ZipWriter;
using support::garden;
using support::Masked;
using support::masked;
using support::MaskedCell;

constexpr unsigned kGardens = 400;

Document read(const std::string& bytes) {
  Result<Document> document = Document::read(bytes, "test");
  EXPECT_TRUE(document) << document.error().sentence;
  if (!document) std::abort();
  return std::move(*document);
}

std::string written(const Document& document, const std::string& ending) {
  Result<std::string> bytes = document.bytes(ending);
  EXPECT_TRUE(bytes) << bytes.error().sentence;
  return bytes ? *bytes : std::string();
}

std::vector<std::filesystem::path> books() {
  std::vector<std::filesystem::path> out;
  for (const char* folder : {"/tests/data/ods", "/templates", "/examples"}) {
    for (const auto& entry :
         std::filesystem::recursive_directory_iterator(std::string(LOFTLEDGER_SOURCE) + folder)) {
      const auto ending = entry.path().extension();
      if (ending == ".fods" || ending == ".ods" || ending == ".ots") out.push_back(entry.path());
    }
  }
  return out;
}

bool is_package(const std::string& bytes) { return bytes.starts_with("PK"); }

// The text that holds the cells.
std::string content(const std::string& bytes) {
  if (!is_package(bytes)) return bytes;
  const Archive archive = *Archive::open(bytes);
  return *archive.unpack(*archive.find("content.xml"));
}

// All entries but the content are the same bytes in the same order, packed as they were.
void expect_same_entries(const std::string& before, const std::string& after) {
  const Archive a = *Archive::open(before);
  const Archive b = *Archive::open(after);
  ASSERT_EQ(b.entries().size(), a.entries().size());
  EXPECT_EQ(b.comment(), a.comment());
  for (std::size_t i = 0; i < a.entries().size(); ++i) {
    const ZipEntry& old = a.entries()[i];
    const ZipEntry& now = b.entries()[i];
    EXPECT_EQ(now.name, old.name);
    if (old.name == "content.xml") continue;
    EXPECT_EQ(after.substr(now.header, now.region_end - now.header),
              before.substr(old.header, old.region_end - old.header))
        << old.name;
  }
}

// Where two texts part, for a failure's message.
std::string difference(const std::string& a, const std::string& b) {
  const auto at = static_cast<std::size_t>(
      std::mismatch(a.begin(), a.end(), b.begin(), b.end()).first - a.begin());
  const std::size_t from = at < 100 ? 0 : at - 100;
  return a.substr(from, 250) + "\n---\n" + b.substr(from, 250);
}

// `set` holds what was set since the document was read from `before`.
void expect_only_values_differ(const std::string& before, const std::string& after,
                               const std::set<CellAddress>& set) {
  const Masked old = masked(content(before), set);
  const Masked now = masked(content(after), set);
  ASSERT_TRUE(old.well_formed);
  ASSERT_TRUE(now.well_formed);
  EXPECT_TRUE(old.text == now.text) << difference(old.text, now.text);
  if (is_package(before)) expect_same_entries(before, after);
}

Value some_value(std::mt19937& random) {
  switch (random() % 4) {
    case 0:
      return fmt::format("text {} <&>", random() % 9);
    case 1:
      return Value::boolean(random() % 2 == 0);
    case 2:
      return Value(Code::division);
    default:
      return static_cast<double>(random() % 1000) / 7;
  }
}

// Puts other values into some cells, and results into some formulas.
std::set<CellAddress> change(Document& document, const std::string& bytes, std::mt19937& random,
                             bool results) {
  std::set<CellAddress> set;
  for (const MaskedCell& cell : masked(content(bytes)).cells) {
    const CellAddress& a = cell.address;
    if (cell.formula && results && random() % 2 == 0) {
      document.workbook().sheet(a.sheet).set(a.row, a.column, some_value(random));
    } else if (!cell.in_matrix && random() % 8 == 0) {
      document.workbook().put(a, some_value(random));
      set.insert(a);
    }
  }
  return set;
}

TEST(RoundTrip, EveryBookCalculated) {
  ASSERT_GE(books().size(), 5U);
  for (const auto& path : books()) {
    SCOPED_TRACE(path);
    const std::string bytes = *ods::read_file(path);
    Document document = read(bytes);
    EXPECT_TRUE(written(document, path.extension()) == bytes);
    calc::Calculator calculator(document.workbook(), planning::catalogue(), {45000.0 * 86400, 1});
    calculator.recalculate();
    expect_only_values_differ(bytes, written(document, path.extension()), {});
  }
}

TEST(RoundTrip, EveryBookWithOtherInputs) {
  for (const auto& path : books()) {
    SCOPED_TRACE(path);
    const std::string bytes = *ods::read_file(path);
    for (unsigned seed = 0; seed < 5; ++seed) {
      std::mt19937 random(seed);
      Document document = read(bytes);
      calc::Calculator calculator(document.workbook(), planning::catalogue(), {45000.0 * 86400, 1});
      const std::set<CellAddress> set = change(document, bytes, random, false);
      EXPECT_FALSE(set.empty());
      calculator.recalculate();
      const std::string after = written(document, path.extension());
      EXPECT_NE(after, bytes);
      expect_only_values_differ(bytes, after, set);
    }
  }
}

TEST(RoundTrip, FlatGardens) {
  for (unsigned seed = 0; seed < kGardens; ++seed) {
    SCOPED_TRACE(seed);
    const std::string bytes = garden({seed});
    Document document = read(bytes);
    ASSERT_TRUE(written(document, ".fods") == bytes);
    std::mt19937 random(seed);
    const std::set<CellAddress> set = change(document, bytes, random, true);
    expect_only_values_differ(bytes, written(document, ".fods"), set);
  }
}

// The flat garden as the content of a package.
std::string as_content(std::string text) {
  constexpr std::string_view kEnd = "</office:document>";
  text.replace(text.rfind(kEnd), kEnd.size(), "</office:document-content>");
  constexpr std::string_view kStart = "<office:document ";
  text.replace(text.find(kStart), kStart.size(), "<office:document-content ");
  return text;
}

// A package with the garden's cells and much beside them, as other programs may pack it.
std::string packed_garden(std::string text) {
  ZipWriter out;
  out.store("mimetype", "application/vnd.oasis.opendocument.spreadsheet");
  out.store("Configurations2/toolbar/", "");
  EXPECT_TRUE(out.deflate("Configurations2/accelerator/current.xml", ""));
  EXPECT_TRUE(out.deflate("settings.xml", "<toy/>"));
  EXPECT_TRUE(out.deflate("content.xml", text));
  out.store("Thumbnails/thumbnail.png", std::string(300, '\x89'));
  EXPECT_TRUE(out.deflate("Pictures/b\xC3\xA4r.png", std::string(5000, 'x')));
  EXPECT_TRUE(out.deflate("Object 1/content.xml", "<not-well-formed"));
  EXPECT_TRUE(out.deflate("Basic/Standard/script-lb.xml", "<x/>"));
  EXPECT_TRUE(out.deflate(
      "META-INF/manifest.xml",
      "<manifest:manifest xmlns:manifest=\"urn:oasis:names:tc:opendocument:xmlns:manifest:1.0\">"
      "<manifest:file-entry manifest:full-path=\"/\" "
      "manifest:media-type=\"application/vnd.oasis.opendocument.spreadsheet\"/>"
      "</manifest:manifest>"));
  out.store("unknown/of/anyone", "\x01\x02");
  return *out.finish("a comment");
}

TEST(RoundTrip, PackedGardens) {
  for (unsigned seed = 0; seed < kGardens / 4; ++seed) {
    SCOPED_TRACE(seed);
    const std::string bytes = packed_garden(as_content(garden({seed})));
    Document document = read(bytes);
    ASSERT_TRUE(written(document, ".ods") == bytes);
    std::mt19937 random(seed);
    const std::set<CellAddress> set = change(document, bytes, random, true);
    expect_only_values_differ(bytes, written(document, ".ods"), set);
  }
}

// --- Encodings; the C library converts them for the test.

std::string converted(std::string text, const char* from, const char* to) {
  const iconv_t converter = iconv_open(to, from);
  std::string out(text.size() * 4 + 8, '\0');
  char* in_at = text.data();
  std::size_t in_left = text.size();
  char* out_at = out.data();
  std::size_t out_left = out.size();
  EXPECT_NE(iconv(converter, &in_at, &in_left, &out_at, &out_left), static_cast<std::size_t>(-1));
  iconv_close(converter);
  out.resize(out.size() - out_left);
  return out;
}

std::string with_declaration(std::string text, const char* name) {
  return text.replace(text.find("UTF-8"), 5, name);
}

TEST(RoundTrip, InUtf16) {
  for (const char* order : {"UTF-16LE", "UTF-16BE"}) {
    const std::string mark = order[6] == 'L' ? "\xFF\xFE" : "\xFE\xFF";
    for (unsigned seed = 0; seed < 40; ++seed) {
      SCOPED_TRACE(seed);
      const std::string plain = garden({seed});
      const std::string text = with_declaration(plain, "UTF-16");
      const std::string bytes = mark + converted(text, "UTF-8", order);
      Document document = read(bytes);
      ASSERT_TRUE(written(document, ".fods") == bytes);
      std::mt19937 random(seed);
      std::set<CellAddress> set = change(document, plain, random, true);
      const CellAddress first = masked(plain).cells[0].address;
      set.insert(first);
      document.workbook().put(first, "\xF0\x9F\xA7\xB8 \xE2\x82\xAC");
      const std::string after = written(document, ".fods");
      ASSERT_TRUE(after.starts_with(mark));
      std::string back = converted(after.substr(2), order, "UTF-8");
      EXPECT_NE(back.find("\xF0\x9F\xA7\xB8 \xE2\x82\xAC</text:p>"), back.npos);
      ASSERT_TRUE(back.starts_with("<?xml version=\"1.0\" encoding=\"UTF-16\"?>"));
      expect_only_values_differ(plain, back.replace(back.find("UTF-16"), 6, "UTF-8"), set);
    }
  }
}

TEST(RoundTrip, InUtf16InsideAPackage) {
  for (unsigned seed = 0; seed < 20; ++seed) {
    SCOPED_TRACE(seed);
    const std::string plain = as_content(garden({seed}));
    const std::string bytes = packed_garden(
        "\xFF\xFE" + converted(with_declaration(plain, "UTF-16"), "UTF-8", "UTF-16LE"));
    Document document = read(bytes);
    ASSERT_TRUE(written(document, ".ods") == bytes);
    std::mt19937 random(seed);
    const std::set<CellAddress> set = change(document, plain, random, true);
    const std::string after = written(document, ".ods");
    expect_same_entries(bytes, after);
    const std::string text = content(after);
    ASSERT_TRUE(text.starts_with("\xFF\xFE"));
    std::string back = converted(text.substr(2), "UTF-16LE", "UTF-8");
    expect_only_values_differ(plain, back.replace(back.find("UTF-16"), 6, "UTF-8"), set);
    // A flat document made from it is in UTF-8, and says nothing else.
    const std::string flat = written(document, ".fods");
    EXPECT_TRUE(flat.starts_with("<?xml version=\"1.0\" encoding=\"UTF-8\"?>"));
    EXPECT_EQ(masked(flat).cells.size(), masked(plain).cells.size());
  }
}

TEST(RoundTrip, InLatin) {
  const std::string text =
      "<?xml version='1.0' encoding='ISO-8859-1'?>\n<!-- \xE4 -->" + garden({7, false}).substr(39);
  std::string bytes;
  for (std::size_t at = 0; at < text.size(); ++at) {
    // What the garden grows beyond Latin becomes a reference.
    if (text.compare(at, 5, "\xC3\xA9\xE2\x82\xAC") == 0) {
      bytes += "\xE9&#8364;";
      at += 4;
    } else {
      bytes += text[at];
    }
  }
  Document document = read(bytes);
  ASSERT_TRUE(written(document, ".fods") == bytes);
  const CellAddress first = masked(bytes).cells[0].address;
  document.workbook().put(first, "\xC3\xA4 \xE2\x82\xAC");
  const std::string after = written(document, ".fods");
  EXPECT_NE(after.find("<text:p>\xE4 &#8364;</text:p>"), after.npos);
  const Masked old = masked(bytes, {first});
  const Masked now = masked(after, {first});
  ASSERT_TRUE(now.well_formed);
  EXPECT_TRUE(old.text == now.text) << difference(old.text, now.text);
}

// --- Between the forms.

// What the reference parser sees, without what the form decides: how base64 is broken into lines,
// and white space alone.
std::vector<std::string> seen(const std::string& bytes) {
  const auto events = support::everything_seen(bytes);
  EXPECT_TRUE(events);
  std::vector<std::string> out;
  if (!events) return out;
  for (std::string event : *events) {
    const bool text = event.starts_with("text ");
    if (text && event.find_first_not_of(" \n\r\t", 5) == event.npos) continue;
    if (text && !out.empty() && out.back() == "<office:binary-data") {
      std::erase_if(event, [](char c) { return c == ' ' || c == '\n'; });
    }
    out.push_back(std::move(event));
  }
  return out;
}

// What stands between the parts of a document may end up between other ones.
enum class Order { any, same };

void expect_nothing_lost(const std::string& flat, const std::string& back, Order order) {
  std::vector<std::string> before = seen(flat);
  std::vector<std::string> after = seen(back);
  if (order == Order::any) {
    std::sort(before.begin(), before.end());
    std::sort(after.begin(), after.end());
  }
  for (std::size_t i = 0; i < std::min(before.size(), after.size()); ++i) {
    ASSERT_EQ(after[i], before[i]) << "event " << i;
  }
  ASSERT_EQ(after.size(), before.size());
}

TEST(RoundTrip, GardensThroughThePackage) {
  for (unsigned seed = 0; seed < kGardens / 2; ++seed) {
    SCOPED_TRACE(seed);
    const bool noisy = seed % 2 == 0;
    const std::string flat = garden({seed, noisy});
    for (const char* ending : {".ods", ".ots"}) {
      const std::string back = written(read(written(read(flat), ending)), ".fods");
      expect_nothing_lost(flat, back, noisy ? Order::any : Order::same);
    }
  }
}

TEST(RoundTrip, FlatBooksThroughThePackage) {
  for (const auto& path : books()) {
    if (path.extension() != ".fods") continue;
    SCOPED_TRACE(path);
    const std::string flat = *ods::read_file(path);
    const std::string back = written(read(written(read(flat), ".ods")), ".fods");
    // Inside an object the office has a text before the document, we behind it.
    expect_nothing_lost(flat, back, Order::any);
  }
}

// A document inside another one, and data of each, as entries with what the manifest says of them.
TEST(RoundTrip, ThePackageIsAsTheStandardSays) {
  unsigned seed = 0;
  std::string flat = garden({seed});
  while (flat.find("<office:chart>") == flat.npos) flat = garden({++seed});
  for (const char* ending : {".ods", ".ots"}) {
    SCOPED_TRACE(ending);
    const std::string type = std::string("application/vnd.oasis.opendocument.spreadsheet") +
                             (std::string_view(ending) == ".ots" ? "-template" : "");
    const std::string packed = written(read(flat), ending);
    // Where programs that look at a few bytes only find the type.
    EXPECT_EQ(packed.substr(30, 8 + type.size()), "mimetype" + type);
    const Archive archive = *Archive::open(packed);
    EXPECT_EQ(archive.entries()[0].method, 0);
    const std::string manifest = *archive.unpack(*archive.find("META-INF/manifest.xml"));
    const auto listed = [&](std::string_view path, std::string_view version,
                            std::string_view media_type) {
      const std::string entry = fmt::format(
          "<manifest:file-entry manifest:full-path=\"{}\"{} manifest:media-type=\"{}\"/>", path,
          version.empty() ? "" : fmt::format(" manifest:version=\"{}\"", version), media_type);
      return manifest.find(entry) != manifest.npos;
    };
    EXPECT_TRUE(listed("/", "1.3", type)) << manifest;
    EXPECT_TRUE(listed("Object 1/", "1.3", "application/vnd.oasis.opendocument.chart"));
    EXPECT_TRUE(listed("content.xml", "", "text/xml"));
    EXPECT_TRUE(listed("Object 1/content.xml", "", "text/xml"));
    EXPECT_TRUE(listed("Object 1/styles.xml", "", "text/xml"));
    // Every entry is listed, every listed file is there.
    for (const ZipEntry& entry : archive.entries()) {
      if (entry.name == "mimetype" || entry.name == "META-INF/manifest.xml") continue;
      EXPECT_NE(manifest.find("full-path=\"" + entry.name + "\""), manifest.npos) << entry.name;
    }
    static const std::regex kPath("full-path=\"([^\"]*[^\"/])\"");
    for (std::sregex_iterator at(manifest.begin(), manifest.end(), kPath), end; at != end; ++at) {
      EXPECT_NE(archive.find((*at)[1].str()), nullptr) << (*at)[1];
    }
  }
}

// A flat template stays one as a flat file; in a package, the name's ending decides.
TEST(RoundTrip, ATemplateIsWhatItsNameSays) {
  const std::string type = "application/vnd.oasis.opendocument.spreadsheet";
  const std::string flat = garden({1, true, type + "-template"});
  EXPECT_TRUE(written(read(flat), ".fods") == flat);
  EXPECT_EQ(written(read(flat), ".ods").substr(38, type.size() + 2), type + "PK");
  EXPECT_EQ(written(read(flat), ".ots").substr(38, type.size() + 9), type + "-template");
  // The office opens no flat file of a template's type, so none is made.
  const std::string again = written(read(written(read(flat), ".ots")), ".fods");
  EXPECT_NE(again.find("office:mimetype=\"" + type + "\""), again.npos);
}

}  // namespace
}  // namespace loftledger
