// ZIP packages: what the OpenDocument standard needs of them, in memory.
#pragma once

#include <cstdint>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "engine/base/result.hpp"
#include "engine/ods/markup/xml.hpp"

namespace loftledger::ods {

// No stream of a workbook that is read is larger once inflated.
inline constexpr std::uint64_t kMaxInflated = std::uint64_t{4} << 30;

struct ZipEntry {
  std::string name;
  std::uint16_t flags = 0;
  std::uint16_t method = 0;  // 0 stored, 8 deflated
  std::uint32_t checksum = 0;
  std::uint64_t packed = 0;
  std::uint64_t size = 0;
  std::uint64_t header = 0;      // where its local header begins
  std::uint64_t region_end = 0;  // where what follows it begins
  std::string_view data;
  std::string_view record;  // its record in the directory

  bool folder() const { return name.ends_with('/'); }
};

// The entries of a package whose bytes outlive it.
class Archive {
 public:
  static Result<Archive> open(std::string_view bytes);

  const std::vector<ZipEntry>& entries() const { return entries_; }
  const ZipEntry* find(std::string_view name) const;
  // The whole of an entry, checked; an error where it is larger than `limit`.
  Result<std::string> unpack(const ZipEntry& entry, std::uint64_t limit = kMaxInflated) const;
  std::string_view bytes() const { return bytes_; }
  // What stands behind the directory's own fields.
  std::string_view comment() const { return comment_; }

 private:
  std::string_view bytes_;
  std::string_view comment_;
  std::vector<ZipEntry> entries_;
};

// Inflates an entry block by block; a large one on a thread of its own, unless only its beginning
// is wanted.
std::unique_ptr<Blocks> inflate(const ZipEntry& entry, bool all = true);

// Builds a package.
class ZipWriter {
 public:
  // The entry as it is stored in its package.
  void copy(const Archive& from, const ZipEntry& entry);
  void store(std::string_view name, std::string_view bytes);
  Outcome deflate(std::string_view name, std::string_view bytes);

  // An entry that comes piece by piece. With `like`, what the directory says of that entry beyond
  // its size (its time, its attributes) is said of this one.
  Outcome begin(std::string_view name, const ZipEntry* like = nullptr);
  void add(std::string_view piece);
  Outcome end();
  // Takes the entry that was begun last out again.
  void drop();

  Result<std::string> finish(std::string_view comment = {});

 private:
  struct Stream;
  struct Record {
    std::string bytes;  // of the directory
    std::uint64_t header = 0;
  };
  void put_header(Record& record, std::string_view name, std::uint16_t method);

  std::string out_;
  std::vector<Record> records_;
  std::shared_ptr<Stream> stream_;
};

}  // namespace loftledger::ods
