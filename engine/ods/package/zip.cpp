#include "engine/ods/package/zip.hpp"

#include <fmt/format.h>

#include <algorithm>

// The format is that of PKWARE's APPNOTE 6.3; section numbers below are its own.
namespace loftledger::ods {

namespace {

constexpr std::size_t kHeaderSize = 30;  // 4.3.7 local file header
constexpr std::size_t kRecordSize = 46;  // 4.3.12 central directory header
constexpr std::size_t kEndSize = 22;     // 4.3.16 end of central directory record
constexpr std::uint32_t kHeaderMark = 0x04034b50;
constexpr std::uint32_t kRecordMark = 0x02014b50;
constexpr std::uint32_t kEndMark = 0x06054b50;
constexpr std::uint32_t kLongEndMark = 0x06064b50;      // 4.3.14
constexpr std::uint32_t kLongLocatorMark = 0x07064b50;  // 4.3.15

// Little-endian numbers; 0 past the end, which no check of marks and sizes lets through.
std::uint64_t number_at(std::string_view bytes, std::uint64_t at, int size) {
  std::uint64_t out = 0;
  if (at > bytes.size() || bytes.size() - at < static_cast<std::uint64_t>(size)) return 0;
  for (int i = size - 1; i >= 0; --i) {
    out = out << 8 | static_cast<unsigned char>(bytes[at + static_cast<std::uint64_t>(i)]);
  }
  return out;
}
std::uint16_t short_at(std::string_view bytes, std::uint64_t at) {
  return static_cast<std::uint16_t>(number_at(bytes, at, 2));
}
std::uint32_t long_at(std::string_view bytes, std::uint64_t at) {
  return static_cast<std::uint32_t>(number_at(bytes, at, 4));
}

Error damaged(std::string sentence) { return Error(Code::argument, std::move(sentence)); }

struct Directory {
  std::uint64_t begin = 0;
  std::uint64_t size = 0;
  std::uint64_t entries = 0;
  std::string_view comment;
};

Result<Directory> find_directory(std::string_view bytes) {
  if (bytes.size() < kEndSize) return damaged("the package is cut short");
  const std::size_t farthest = std::min<std::size_t>(bytes.size(), kEndSize + 0xffff);
  for (std::size_t back = kEndSize; back <= farthest; ++back) {
    const std::size_t at = bytes.size() - back;
    if (long_at(bytes, at) != kEndMark || short_at(bytes, at + 20) != back - kEndSize) continue;
    Directory out{long_at(bytes, at + 16), long_at(bytes, at + 12), short_at(bytes, at + 10),
                  bytes.substr(at + kEndSize)};
    if (short_at(bytes, at + 4) != 0 || short_at(bytes, at + 8) != short_at(bytes, at + 10)) {
      return damaged("the package is split over several files");
    }
    const std::size_t locator = at < 20 ? 0 : at - 20;
    const std::uint64_t longer = number_at(bytes, locator + 8, 8);
    if (long_at(bytes, locator) == kLongLocatorMark && long_at(bytes, longer) == kLongEndMark) {
      out.entries = number_at(bytes, longer + 32, 8);
      out.size = number_at(bytes, longer + 40, 8);
      out.begin = number_at(bytes, longer + 48, 8);
    }
    if (out.begin > at || out.size > at - out.begin) break;
    return out;
  }
  return damaged("the package has no directory at its end: it is cut short, or no package");
}

// 4.5.3: sizes and places that need eight bytes stand in an extra field.
void read_long_sizes(std::string_view extra, ZipEntry& entry) {
  std::size_t at = 0;
  while (at + 4 <= extra.size()) {
    const std::size_t size = short_at(extra, at + 2);
    const std::string_view field = extra.substr(at + 4, size);
    if (short_at(extra, at) == 1) {
      std::size_t next = 0;
      for (std::uint64_t* number : {&entry.size, &entry.packed, &entry.header}) {
        if (*number != 0xffffffff) continue;
        *number = number_at(field, next, 8);
        next += 8;
      }
    }
    at += 4 + size;
  }
}

// Finds the entry's data behind its local header.
bool find_data(std::string_view bytes, ZipEntry& entry) {
  if (entry.header > bytes.size() || bytes.size() - entry.header < kHeaderSize) return false;
  if (long_at(bytes, entry.header) != kHeaderMark) return false;
  const std::uint64_t begin = entry.header + kHeaderSize + short_at(bytes, entry.header + 26) +
                              short_at(bytes, entry.header + 28);
  if (begin > bytes.size() || bytes.size() - begin < entry.packed) return false;
  entry.data = bytes.substr(begin, entry.packed);
  return true;
}

}  // namespace

Result<Archive> Archive::open(std::string_view bytes) {
  Result<Directory> directory = find_directory(bytes);
  if (!directory) return std::move(directory).error();
  Archive out;
  out.bytes_ = bytes;
  out.comment_ = directory->comment;
  const std::string_view records = bytes.substr(directory->begin, directory->size);
  std::size_t at = 0;
  for (std::uint64_t i = 0; i < directory->entries; ++i) {
    if (records.size() - at < kRecordSize || long_at(records, at) != kRecordMark) {
      return damaged("the package's directory is damaged");
    }
    const std::size_t name = short_at(records, at + 28);
    const std::size_t extra = short_at(records, at + 30);
    const std::size_t size = kRecordSize + name + extra + short_at(records, at + 32);
    if (records.size() - at < size) return damaged("the package's directory is damaged");
    ZipEntry entry;
    entry.record = records.substr(at, size);
    entry.name = entry.record.substr(kRecordSize, name);
    entry.flags = short_at(records, at + 8);
    entry.method = short_at(records, at + 10);
    entry.checksum = long_at(records, at + 16);
    entry.packed = long_at(records, at + 20);
    entry.size = long_at(records, at + 24);
    entry.header = long_at(records, at + 42);
    read_long_sizes(entry.record.substr(kRecordSize + name, extra), entry);
    if (!find_data(bytes.substr(0, directory->begin), entry)) {
      return damaged(
          fmt::format("the package's entry {} is not where its directory says", entry.name));
    }
    out.entries_.push_back(std::move(entry));
    at += size;
  }
  std::vector<std::uint64_t> headers{directory->begin};
  for (const ZipEntry& entry : out.entries_) headers.push_back(entry.header);
  std::sort(headers.begin(), headers.end());
  for (ZipEntry& entry : out.entries_) {
    entry.region_end = *std::upper_bound(headers.begin(), headers.end(), entry.header);
    const auto data_end =
        static_cast<std::uint64_t>(entry.data.data() + entry.data.size() - bytes.data());
    if (entry.region_end < data_end) return damaged("entries of the package lie over each other");
  }
  return out;
}

const ZipEntry* Archive::find(std::string_view name) const {
  const auto found = std::find_if(entries_.begin(), entries_.end(),
                                  [&](const ZipEntry& entry) { return entry.name == name; });
  return found == entries_.end() ? nullptr : &*found;
}

Result<std::string> Archive::unpack(const ZipEntry& entry, std::uint64_t limit) const {
  if (entry.size > limit) {
    return damaged(
        fmt::format("{} is {} bytes long; at most {} are read", entry.name, entry.size, limit));
  }
  std::string out;
  const std::unique_ptr<Blocks> blocks = inflate(entry);
  for (;;) {
    Result<std::string_view> block = blocks->next();
    if (!block) return std::move(block).error();
    if (block->empty()) return out;
    out += *block;
  }
}

}  // namespace loftledger::ods
