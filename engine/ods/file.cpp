// Reading and replacing whole files.
#include <fcntl.h>
#include <fmt/format.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstdlib>
#include <cstring>
#include <filesystem>

#include "engine/ods/document.hpp"
#include "engine/ods/file.hpp"

namespace loftledger::ods {

namespace {

constexpr std::size_t kPiece = std::size_t{1} << 26;
constexpr mode_t kPermissions = 07777;

// The system's own words for what went wrong.
Error failure(const std::string& path, std::string_view what, int number) {
  char words[256] = {};
  return Error(Code::argument,
               fmt::format("{}: {}: {}", path, what, ::strerror_r(number, words, sizeof words)));
}

// Closes the file with the object.
class File {
 public:
  explicit File(int number) : number_(number) {}
  ~File() {
    if (number_ >= 0) ::close(number_);
  }
  File(const File&) = delete;
  File& operator=(const File&) = delete;
  int number() const { return number_; }
  bool open() const { return number_ >= 0; }

 private:
  int number_;
};

// 0, or what went wrong.
int write_all(int file, std::string_view bytes) {
  while (!bytes.empty()) {
    const ssize_t written = ::write(file, bytes.data(), std::min(bytes.size(), kPiece));
    if (written < 0 && errno == EINTR) continue;
    if (written < 0) return errno;
    bytes.remove_prefix(static_cast<std::size_t>(written));
  }
  return ::fsync(file) == 0 ? 0 : errno;
}

// The new file gets the old one's permissions, and its owner where that is allowed.
int adopt(int file, const struct stat* old) {
  if (old == nullptr) {
    const mode_t mask = ::umask(0);
    ::umask(mask);
    return ::fchmod(file, 0666 & ~mask) == 0 ? 0 : errno;
  }
  // Without the right to give a file away, the group is tried alone; else it stays ours.
  if (::fchown(file, old->st_uid, old->st_gid) != 0 &&
      ::fchown(file, static_cast<uid_t>(-1), old->st_gid) != 0 && errno != EPERM) {
    return errno;
  }
  return ::fchmod(file, old->st_mode & kPermissions) == 0 ? 0 : errno;
}

}  // namespace

Result<std::string> read_file(const std::string& path) {
  const File file(::open(path.c_str(), O_RDONLY | O_CLOEXEC));
  if (!file.open()) return failure(path, "cannot be opened", errno);
  struct stat about {};
  if (::fstat(file.number(), &about) != 0) return failure(path, "cannot be read", errno);
  if (S_ISDIR(about.st_mode)) return failure(path, "cannot be read", EISDIR);
  std::string out;
  if (S_ISREG(about.st_mode)) out.reserve(static_cast<std::size_t>(about.st_size));
  std::size_t size = 0;
  for (;;) {
    const std::size_t room = std::max<std::size_t>(out.capacity() - size, 65536);
    out.resize(size + room);
    const ssize_t got = ::read(file.number(), out.data() + size, std::min(room, kPiece));
    if (got < 0 && errno == EINTR) continue;
    if (got < 0) return failure(path, "cannot be read", errno);
    size += static_cast<std::size_t>(got);
    if (got > 0) continue;
    out.resize(size);
    return out;
  }
}

Outcome replace_file(const std::string& path, const std::string& bytes) {
  // Where a link leads, so that the link itself stays.
  std::error_code problem;
  std::filesystem::path target = std::filesystem::weakly_canonical(path, problem);
  if (problem) target = path;
  struct stat old {};
  const bool exists = ::stat(target.c_str(), &old) == 0;
  if (exists && !S_ISREG(old.st_mode)) {
    return Error(Code::argument, fmt::format("{}: is no file that can be replaced", path));
  }
  const std::string folder = target.has_parent_path() ? target.parent_path().string() : ".";
  std::string name = folder + "/." + target.filename().string() + ".XXXXXX";
  const File file(::mkostemp(name.data(), O_CLOEXEC));
  if (!file.open()) return failure(path, "cannot be written", errno);
  int wrong = write_all(file.number(), bytes);
  if (wrong == 0) wrong = adopt(file.number(), exists ? &old : nullptr);
  if (wrong == 0 && ::rename(name.c_str(), target.c_str()) != 0) wrong = errno;
  if (wrong != 0) {
    ::unlink(name.c_str());
    return failure(path, "cannot be written", wrong);
  }
  // The new name must outlast a power cut too. Not every file system can promise it, and the file
  // is complete either way.
  const File directory(::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC));
  if (directory.open()) ::fsync(directory.number());
  return Done{};
}

}  // namespace loftledger::ods
