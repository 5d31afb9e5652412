// Inflating, beside the work on what was inflated.
#include <fmt/format.h>
#include <zlib.h>

#include <algorithm>
#include <array>
#include <condition_variable>
#include <mutex>
#include <system_error>
#include <thread>

#include "engine/ods/package/zip.hpp"

namespace loftledger::ods {

namespace {

constexpr std::size_t kBlock = std::size_t{1} << 18;  // stays in the cache of one core
constexpr std::uint64_t kWorthAThread = std::uint64_t{1} << 20;

class Inflater : public Blocks {
 public:
  explicit Inflater(const ZipEntry& entry) : entry_(entry), room_(kBlock) {
    ready_ = inflateInit2(&stream_, -MAX_WBITS) == Z_OK;  // no zlib header inside a package
  }
  ~Inflater() override {
    if (ready_) inflateEnd(&stream_);
  }
  Inflater(const Inflater&) = delete;
  Inflater& operator=(const Inflater&) = delete;

  Result<std::string_view> next() override { return into(room_); }

  // The next block, in that room.
  Result<std::string_view> into(std::vector<char>& room) {
    if ((entry_.flags & 1) != 0) return wrong("is encrypted");
    if (entry_.method != 0 && entry_.method != 8) {
      return wrong(fmt::format("is packed by method {}, which is not read", entry_.method));
    }
    if (done_) return std::string_view();
    if (!ready_) return wrong("cannot be inflated: there is no room");
    std::string_view block;
    if (entry_.method == 0) {
      block = entry_.data.substr(taken_, kBlock);
      taken_ += block.size();
      done_ = taken_ == entry_.data.size();
    } else {
      Result<std::string_view> inflated = inflate_block(room);
      if (!inflated) return inflated;
      block = *inflated;
    }
    length_ += block.size();
    if (length_ > kMaxInflated) return wrong("inflates to more than 4 GiB, which is not read");
    checksum_ = crc32_z(checksum_, reinterpret_cast<const Bytef*>(block.data()), block.size());
    if (done_ && (length_ != entry_.size || checksum_ != entry_.checksum)) {
      return wrong("is damaged: its checksum does not fit");
    }
    return block;
  }

 private:
  Error wrong(std::string_view what) const {
    return Error(Code::argument, fmt::format("{} {}", entry_.name, what));
  }

  Result<std::string_view> inflate_block(std::vector<char>& room) {
    stream_.next_out = reinterpret_cast<Bytef*>(room.data());
    stream_.avail_out = static_cast<uInt>(room.size());
    while (stream_.avail_out > 0 && !done_) {
      if (stream_.avail_in == 0) {
        const std::string_view rest = entry_.data.substr(taken_, kBlock);
        if (rest.empty()) return wrong("is cut short");
        // zlib reads from it only, but has no const in its interface.
        stream_.next_in = reinterpret_cast<Bytef*>(const_cast<char*>(rest.data()));
        stream_.avail_in = static_cast<uInt>(rest.size());
        taken_ += rest.size();
      }
      const int state = ::inflate(&stream_, Z_NO_FLUSH);
      if (state == Z_STREAM_END) done_ = true;
      if (state == Z_MEM_ERROR) return wrong("cannot be inflated: there is no room");
      // Each call has input and room, so that even "no progress" is damage.
      if (state != Z_OK && state != Z_STREAM_END) {
        return wrong("is damaged: it cannot be inflated");
      }
    }
    return std::string_view(room.data(), room.size() - stream_.avail_out);
  }

  const ZipEntry& entry_;
  std::vector<char> room_;
  z_stream stream_{};
  bool ready_ = false;
  bool done_ = false;
  std::size_t taken_ = 0;
  std::uint64_t length_ = 0;
  unsigned long checksum_ = 0;
};

// A ring of blocks: one thread fills, the other one reads.
class Background : public Blocks {
 public:
  explicit Background(const ZipEntry& entry) : inflater_(entry) {
    for (Slot& slot : slots_) slot.room.resize(kBlock);
    thread_ = std::thread([this] { fill(); });
  }
  ~Background() override {
    {
      const std::lock_guard lock(mutex_);
      stop_ = true;
    }
    changed_.notify_all();
    thread_.join();
  }
  Background(const Background&) = delete;
  Background& operator=(const Background&) = delete;

  Result<std::string_view> next() override {
    std::unique_lock lock(mutex_);
    if (reading_) {
      ++read_;
      reading_ = false;
      changed_.notify_all();
    }
    changed_.wait(lock, [this] { return read_ < filled_; });
    const Slot& slot = slots_[read_ % kSlots];
    // The last block, empty or an error, stays for whoever asks again.
    reading_ = slot.block.ok() && !slot.block->empty();
    return slot.block;
  }

 private:
  static constexpr std::size_t kSlots = 4;
  struct Slot {
    std::vector<char> room;
    Result<std::string_view> block = std::string_view();
  };

  void fill() {
    for (;;) {
      {
        std::unique_lock lock(mutex_);
        changed_.wait(lock, [this] { return stop_ || filled_ - read_ < kSlots; });
        if (stop_) return;
      }
      Slot& slot = slots_[filled_ % kSlots];
      slot.block = inflater_.into(slot.room);
      const bool last = !slot.block.ok() || slot.block->empty();
      {
        const std::lock_guard lock(mutex_);
        ++filled_;
      }
      changed_.notify_all();
      if (last) return;
    }
  }

  Inflater inflater_;
  std::array<Slot, kSlots> slots_;
  std::mutex mutex_;
  std::condition_variable changed_;
  std::size_t filled_ = 0;
  std::size_t read_ = 0;
  bool reading_ = false;
  bool stop_ = false;
  std::thread thread_;
};

}  // namespace

std::unique_ptr<Blocks> inflate(const ZipEntry& entry, bool all) {
  if (!all || entry.size < kWorthAThread) return std::make_unique<Inflater>(entry);
  try {
    return std::make_unique<Background>(entry);
  } catch (const std::system_error&) {  // no thread to be had
    return std::make_unique<Inflater>(entry);
  }
}

}  // namespace loftledger::ods
