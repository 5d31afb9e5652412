#include <zlib.h>

#include <vector>

#include "engine/ods/package/zip.hpp"

namespace loftledger::ods {

namespace {

constexpr std::size_t kRoom = std::size_t{1} << 18;
constexpr std::uint16_t kNeeds = 20;  // version 2.0: folders and deflating
constexpr std::uint16_t kNamesAreUtf8 = 0x800;
constexpr std::uint16_t kFirstDay = 0x21;  // 1980-01-01: a package says nothing of when
constexpr std::uint16_t kDeflated = 8;
constexpr std::uint64_t kLimit = 0xffffffff;

void put(std::string& out, std::uint64_t number, int size) {
  for (int i = 0; i < size; ++i) out += static_cast<char>(number >> (8 * i) & 0xff);
}
void patch(std::string& out, std::size_t at, std::uint64_t number, int size) {
  for (int i = 0; i < size; ++i) {
    out[at + static_cast<std::size_t>(i)] = static_cast<char>(number >> (8 * i) & 0xff);
  }
}
std::uint16_t short_at(std::string_view bytes, std::size_t at) {
  return static_cast<std::uint16_t>(static_cast<unsigned char>(bytes[at]) |
                                    static_cast<unsigned char>(bytes[at + 1]) << 8);
}

}  // namespace

struct ZipWriter::Stream {
  Stream() = default;
  ~Stream() {
    if (ready) deflateEnd(&zlib);
  }
  Stream(const Stream&) = delete;
  Stream& operator=(const Stream&) = delete;

  z_stream zlib{};
  bool ready = false;
  std::vector<char> room = std::vector<char>(kRoom);
  std::size_t data = 0;  // where the packed data begin
  std::uint64_t size = 0;
  unsigned long checksum = 0;
  bool failed = false;  // what was packed is not whole
};

// Both kinds of header; sizes and checksum are patched in when they are known.
void ZipWriter::put_header(Record& record, std::string_view name, std::uint16_t method) {
  record.header = out_.size();
  put(out_, 0x04034b50, 4);
  std::string shared;  // by the local header and the directory's record
  put(shared, kNeeds, 2);
  put(shared, kNamesAreUtf8, 2);
  put(shared, method, 2);
  put(shared, 0, 2);
  put(shared, kFirstDay, 2);
  shared.append(12, '\0');  // checksum and sizes
  put(shared, name.size(), 2);
  put(shared, 0, 2);  // extra fields
  out_ += shared;
  out_ += name;
  put(record.bytes, 0x02014b50, 4);
  put(record.bytes, kNeeds, 2);
  record.bytes += shared;
  record.bytes.append(14, '\0');  // comment, attributes and place
  record.bytes += name;
}

void ZipWriter::copy(const Archive& from, const ZipEntry& entry) {
  records_.push_back({std::string(entry.record), out_.size()});
  out_ += from.bytes().substr(entry.header, entry.region_end - entry.header);
}

void ZipWriter::store(std::string_view name, std::string_view bytes) {
  Record record;
  put_header(record, name, 0);
  const unsigned long checksum =
      crc32_z(0, reinterpret_cast<const Bytef*>(bytes.data()), bytes.size());
  patch(out_, record.header + 14, checksum, 4);
  patch(record.bytes, 16, checksum, 4);
  for (const std::size_t at : {std::size_t{18}, std::size_t{22}}) {
    patch(out_, record.header + at, bytes.size(), 4);
    patch(record.bytes, at + 2, bytes.size(), 4);
  }
  out_ += bytes;
  records_.push_back(std::move(record));
}

Outcome ZipWriter::begin(std::string_view name, const ZipEntry* like) {
  Record record;
  put_header(record, name, kDeflated);
  if (like != nullptr) {
    // The time, and from "made by" and the attributes what has nothing to do with sizes.
    const std::string_view old = like->record;
    record.bytes.replace(4, 2, old.substr(4, 2));
    record.bytes.replace(12, 4, old.substr(12, 4));
    record.bytes.replace(36, 6, old.substr(36, 6));
    out_.replace(record.header + 10, 4, old.substr(12, 4));
    const std::uint16_t flags = short_at(old, 8) & kNamesAreUtf8;
    patch(record.bytes, 8, flags, 2);
    patch(out_, record.header + 6, flags, 2);
  }
  records_.push_back(std::move(record));
  stream_ = std::make_shared<Stream>();
  stream_->data = out_.size();
  stream_->ready = deflateInit2(&stream_->zlib, Z_DEFAULT_COMPRESSION, Z_DEFLATED, -MAX_WBITS, 8,
                                Z_DEFAULT_STRATEGY) == Z_OK;
  if (!stream_->ready) return Error(Code::argument, "there is no room to pack the document in");
  return Done{};
}

void ZipWriter::add(std::string_view piece) {
  Stream& s = *stream_;
  // Pieces are fed in parts that zlib's 32-bit counts can hold.
  while (!piece.empty() && !s.failed) {
    const std::string_view part = piece.substr(0, kRoom);
    piece.remove_prefix(part.size());
    s.size += part.size();
    s.checksum = crc32_z(s.checksum, reinterpret_cast<const Bytef*>(part.data()), part.size());
    s.zlib.next_in = reinterpret_cast<Bytef*>(const_cast<char*>(part.data()));
    s.zlib.avail_in = static_cast<uInt>(part.size());
    while (s.zlib.avail_in > 0 && !s.failed) {
      s.zlib.next_out = reinterpret_cast<Bytef*>(s.room.data());
      s.zlib.avail_out = static_cast<uInt>(s.room.size());
      s.failed = ::deflate(&s.zlib, Z_NO_FLUSH) != Z_OK;
      out_.append(s.room.data(), s.room.size() - s.zlib.avail_out);
    }
  }
}

Outcome ZipWriter::end() {
  Stream& s = *stream_;
  s.zlib.avail_in = 0;
  for (int state = Z_OK; state != Z_STREAM_END;) {
    s.zlib.next_out = reinterpret_cast<Bytef*>(s.room.data());
    s.zlib.avail_out = static_cast<uInt>(s.room.size());
    if (!s.failed) state = ::deflate(&s.zlib, Z_FINISH);
    // Each call has room, so that even "no progress" is a failure.
    if (s.failed || (state != Z_OK && state != Z_STREAM_END)) {
      return Error(Code::argument, "the document could not be packed");
    }
    out_.append(s.room.data(), s.room.size() - s.zlib.avail_out);
  }
  const std::uint64_t packed = out_.size() - s.data;
  if (packed > kLimit || s.size > kLimit) {
    return Error(Code::argument, "the document is larger than 4 GiB, which is not written");
  }
  Record& record = records_.back();
  const std::pair<std::size_t, std::uint64_t> fields[] = {
      {14, s.checksum}, {18, packed}, {22, s.size}};
  for (const auto& [at, number] : fields) {
    patch(out_, record.header + at, number, 4);
    patch(record.bytes, at + 2, number, 4);
  }
  stream_.reset();
  return Done{};
}

Outcome ZipWriter::deflate(std::string_view name, std::string_view bytes) {
  if (Outcome begun = begin(name); !begun) return begun;
  add(bytes);
  return end();
}

void ZipWriter::drop() {
  out_.resize(records_.back().header);
  records_.pop_back();
  stream_.reset();
}

Result<std::string> ZipWriter::finish(std::string_view comment) {
  const std::size_t directory = out_.size();
  for (Record& record : records_) {
    patch(record.bytes, 42, record.header, 4);
    out_ += record.bytes;
  }
  const std::size_t size = out_.size() - directory;
  if (records_.size() >= 0xffff || out_.size() > kLimit) {
    return Error(Code::argument, "the package would be larger than is written");
  }
  put(out_, 0x06054b50, 4);
  put(out_, 0, 4);
  put(out_, records_.size(), 2);
  put(out_, records_.size(), 2);
  put(out_, size, 4);
  put(out_, directory, 4);
  put(out_, comment.size(), 2);
  out_ += comment;
  return std::move(out_);
}

}  // namespace loftledger::ods
