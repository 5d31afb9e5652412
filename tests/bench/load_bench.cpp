// Opening an .ods of 100,000 rows by 8 columns of formulas, as real Calc wrote it: the engine
// beside Calc in one run, how time and memory grow with the number of formulas, and our reading of
// XML and ZIP beside the usual libraries.
#include <expat.h>
#include <fmt/format.h>
#include <zip.h>

#include <cmath>
#include <cstdio>
#include <optional>
#include <string>
#include <vector>

#include "engine/engine.hpp"
#include "engine/ods/file.hpp"
#include "engine/ods/xml.hpp"
#include "engine/ods/zip.hpp"
#include "tests/bench/calc/calc_side.hpp"
#include "tests/bench/sides/big_book.hpp"
#include "tests/bench/sides/ratio.hpp"
#include "tests/support/system/files.hpp"
#include "tests/support/system/process.hpp"

namespace loftledger::bench {
namespace {

namespace fs = std::filesystem;

constexpr std::int32_t kRows = 100000;
constexpr int kTimes = 5;
constexpr int kOfficeTimes = 3;
constexpr std::chrono::seconds kLimit{120};
constexpr const char* kOpen = "--open";

std::string problem;

// --- One opening in a process of its own, so that its memory is its own.

struct Opened {
  double milliseconds = 0;
  double megabytes = 0;  // the most that it held at once
  double last = 0;       // the value of the last formula, which shows that it was read
};

int open_here(const char* file, const char* last) {
  const auto start = std::chrono::steady_clock::now();
  const Result<Book> book = Book::open(file, {});
  const std::chrono::duration<double, std::milli> taken = std::chrono::steady_clock::now() - start;
  if (!book) {
    fmt::print("{}\n", book.error().text());
    return 1;
  }
  const Result<Value> value = book->cell(last);
  fmt::print("{} {} {}\n", taken.count(), peak_megabytes(), value ? value->number() : 0);
  return 0;
}

Opened open_apart(const fs::path& file, const std::string& last) {
  const std::string self = fs::read_symlink("/proc/self/exe");
  Opened best;
  for (int i = 0; i < kTimes; ++i) {
    const support::Finished done = support::run({self, kOpen, file, last}, kLimit);
    Opened now;
    if (!done.ok() || std::sscanf(done.output.c_str(), "%lf %lf %lf", &now.milliseconds,
                                  &now.megabytes, &now.last) != 3) {
      problem = "opening " + file.string() + ": " + done.output;
      return best;
    }
    if (i == 0 || now.milliseconds < best.milliseconds) best.milliseconds = now.milliseconds;
    best.megabytes = std::max(best.megabytes, now.megabytes);
    best.last = now.last;
  }
  return best;
}

// --- Reading XML, in blocks of the same size, every attribute's name and value asked for.

constexpr std::size_t kBlock = std::size_t{1} << 18;

struct Seen {
  std::size_t elements = 0;
  std::size_t attributes = 0;
  std::size_t bytes = 0;  // of values and texts
  bool operator==(const Seen&) const = default;
};

class InBlocks : public ods::Blocks {
 public:
  explicit InBlocks(std::string_view text) : text_(text) {}
  Result<std::string_view> next() override {
    const std::string_view out = text_.substr(0, kBlock);
    text_.remove_prefix(out.size());
    return out;
  }

 private:
  std::string_view text_;
};

Seen scan(std::string_view text) {
  using Token = ods::Scanner::Token;
  InBlocks blocks(text);
  ods::Scanner scanner(blocks);
  Seen seen;
  std::string scratch;
  for (Token token = scanner.next(); token != Token::done; token = scanner.next()) {
    if (token == Token::failed) {
      problem = scanner.error().text();
      break;
    }
    if (token == Token::text) {
      scratch.clear();
      scanner.append_text(scratch);
      seen.bytes += scratch.size();
    }
    if (token != Token::start) continue;
    ++seen.elements;
    for (const ods::Attribute& a : scanner.attributes()) {
      if (a.name == ods::kNoName) continue;
      ++seen.attributes;
      seen.bytes += scanner.value(a, scratch).size();
    }
  }
  return seen;
}

void at_start(void* data, const char*, const char** attributes) {
  Seen& seen = *static_cast<Seen*>(data);
  ++seen.elements;
  for (; *attributes != nullptr; attributes += 2) {
    ++seen.attributes;
    seen.bytes += std::string_view(attributes[1]).size();
  }
}
void at_end(void*, const char*) {}
void at_text(void* data, const char*, int size) {
  static_cast<Seen*>(data)->bytes += static_cast<std::size_t>(size);
}

Seen scan_with_expat(std::string_view text) {
  XML_Parser parser = XML_ParserCreateNS(nullptr, ' ');
  Seen seen;
  XML_SetUserData(parser, &seen);
  XML_SetElementHandler(parser, at_start, at_end);
  XML_SetCharacterDataHandler(parser, at_text);
  while (!text.empty()) {
    const std::string_view block = text.substr(0, kBlock);
    text.remove_prefix(block.size());
    if (XML_Parse(parser, block.data(), static_cast<int>(block.size()), text.empty()) !=
        XML_STATUS_OK) {
      problem = XML_ErrorString(XML_GetErrorCode(parser));
      break;
    }
  }
  XML_ParserFree(parser);
  return seen;
}

// --- Inflating the content, block by block.

std::size_t inflate_here(const fs::path& file) {
  const Result<std::string> bytes = ods::read_file(file);
  const Result<ods::Archive> archive = bytes ? ods::Archive::open(*bytes) : bytes.error();
  const ods::ZipEntry* entry = archive ? archive->find("content.xml") : nullptr;
  if (entry == nullptr) return 0;
  const std::unique_ptr<ods::Blocks> blocks = ods::inflate(*entry);
  std::size_t size = 0;
  for (;;) {
    const Result<std::string_view> block = blocks->next();
    if (!block || block->empty()) return block ? size : 0;
    size += block->size();
  }
}

std::size_t inflate_with_libzip(const fs::path& file) {
  zip_t* const archive = zip_open(file.c_str(), ZIP_RDONLY, nullptr);
  if (archive == nullptr) return 0;
  zip_file_t* const entry = zip_fopen(archive, "content.xml", 0);
  std::vector<char> room(kBlock);
  std::size_t size = 0;
  for (;;) {
    const zip_int64_t got = entry == nullptr ? 0 : zip_fread(entry, room.data(), room.size());
    if (got <= 0) break;
    size += static_cast<std::size_t>(got);
  }
  if (entry != nullptr) zip_fclose(entry);
  zip_discard(archive);
  return size;
}

void compare_readers(const fs::path& file) {
  const Result<std::string> bytes = ods::read_file(file);
  const Result<ods::Archive> archive = bytes ? ods::Archive::open(*bytes) : bytes.error();
  const ods::ZipEntry* entry = archive ? archive->find("content.xml") : nullptr;
  if (entry == nullptr) {
    problem = "no content in " + file.string();
    return;
  }
  const std::string text = *archive->unpack(*entry);
  fmt::print("content.xml: {:.1f} MB packed, {:.1f} MB of XML\n",
             static_cast<double>(entry->packed) / 1e6, static_cast<double>(text.size()) / 1e6);
  std::size_t size = 0;
  std::size_t expected = 0;
  const double libzip = best_of(kTimes, [&] { expected = inflate_with_libzip(file); });
  const double ours_zip = best_of(kTimes, [&] { size = inflate_here(file); });
  if (size != expected || size != text.size()) problem = "inflated to different sizes";
  print_ratio("inflate the content (both by zlib)", "libzip", libzip, "engine", ours_zip, "1");
  Seen theirs;
  Seen ours;
  const double expat = best_of(kTimes, [&] { theirs = scan_with_expat(text); });
  const double scanner = best_of(kTimes, [&] { ours = scan(text); });
  if (ours.elements != theirs.elements) problem = "the scanners see different elements";
  print_ratio("scan the content", "expat with namespaces", expat, "engine", scanner, "1");
}

// --- Both sides.

struct Size {
  std::int32_t cells;
  fs::path file;
};

int run() {
  const support::TemporaryFolder folder;
  CalcSide office({}, support::Results::as_stored);
  // Calc writes each file once from a book of ours: it is what users have.
  const auto write = [&](std::int32_t cells) {
    const Size out{cells, folder.path() / fmt::format("{}.ods", cells)};
    const fs::path flat = folder.path() / "book.fods";
    write_flat(flat, cells / kFormulaColumns);
    office.open(flat);
    office.save_as_ods(out.file);
    return out;
  };
  std::vector<Size> sizes;
  for (const std::int32_t cells : {1000, 10000, 100000, kRows * kFormulaColumns, 1000000}) {
    sizes.push_back(write(cells));
  }
  fmt::print("{:>10}{:>12}{:>14}{:>12}{:>14}{:>8}\n", "formulas", "file, MB", "engine, ms",
             "peak, MB", "Calc, ms", "ratio");
  std::optional<Opened> big;
  double calc_big = 0;
  for (const Size& size : sizes) {
    if (!office.problem().empty() || !problem.empty()) break;
    const std::int32_t rows = size.cells / kFormulaColumns;
    const Opened ours = open_apart(size.file, fmt::format("S.I{}", rows));
    double calc = 0;
    for (int i = 0; i < kOfficeTimes; ++i) {
      const double now = office.open(size.file);
      calc = i == 0 ? now : std::min(calc, now);
      const double last = office.number(rows - 1, kFormulaColumns);
      if (std::fabs(last - ours.last) > 1e-12 * last) problem = "Calc read other values";
      office.close();
    }
    fmt::print("{:>10}{:>12.2f}{:>14.1f}{:>12.1f}{:>14.1f}{:>8.1f}\n", size.cells,
               static_cast<double>(fs::file_size(size.file)) / 1e6, ours.milliseconds,
               ours.megabytes, calc * 1e3, calc * 1e3 / ours.milliseconds);
    std::fflush(stdout);
    if (size.cells != kRows * kFormulaColumns) continue;
    big = ours;
    calc_big = calc;
  }
  if (big) {
    print_ratio("open 800,000 formula cells as .ods", "Calc", calc_big, "engine",
                big->milliseconds / 1e3, "4");
    fmt::print("  peak memory {:.0f} MB (to reach: at most 400 MB)\n", big->megabytes);
    compare_readers(sizes[3].file);
  }
  if (problem.empty()) problem = office.problem();
  if (problem.empty()) return 0;
  fmt::print(stderr, "{}\n", problem);
  return 1;
}

}  // namespace
}  // namespace loftledger::bench

int main(int count, char** arguments) {
  using namespace loftledger::bench;
  if (count == 4 && std::string_view(arguments[1]) == kOpen) {
    return open_here(arguments[2], arguments[3]);
  }
  return run();
}
