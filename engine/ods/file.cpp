#include "engine/ods/file.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cstdlib>
#include <cstring>
#include <filesystem>
#include <utility>

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
  File& operator=(File&& other) noexcept {
    std::swap(number_, other.number_);
    return *this;
  }
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

namespace {

constexpr int kMostLinks = 40;  // as the system itself follows

// Where a link leads, whether there is a file yet or not, so that the link itself stays.
std::filesystem::path behind_links(std::filesystem::path path) {
  std::error_code problem;
  for (int i = 0; i < kMostLinks && std::filesystem::is_symlink(path, problem); ++i) {
    const std::filesystem::path next = std::filesystem::read_symlink(path, problem);
    if (problem) break;
    path = path.parent_path() / next;  // an absolute one stands alone
  }
  return path;
}

// A file that is being written beside its target. Without a name it is gone when we are ended, but
// not every file system has such files; with one, the name is hidden and does not end as a
// workbook's does.
class Draft {
 public:
  Draft(const std::filesystem::path& target, bool named)
      : target_(target), folder_(target.has_parent_path() ? target.parent_path().string() : ".") {
    if (named) {
      name_ = hidden("XXXXXX");
      file_ = File(::mkostemp(name_.data(), O_CLOEXEC));
    } else {
      file_ = File(::open(folder_.c_str(), O_TMPFILE | O_WRONLY | O_CLOEXEC, S_IRUSR | S_IWUSR));
    }
    if (!file_.open()) problem_ = errno;
  }
  ~Draft() {
    if (file_.open() && !name_.empty()) ::unlink(name_.c_str());
  }
  Draft(const Draft&) = delete;
  Draft& operator=(const Draft&) = delete;

  // Takes the target's place with these bytes, and the old file's permissions; 0, or what went
  // wrong.
  int replace_target(std::string_view bytes, const struct stat* old) {
    if (problem_ != 0) return problem_;
    if (const int wrong = write_all(file_.number(), bytes); wrong != 0) return wrong;
    if (const int wrong = adopt(file_.number(), old); wrong != 0) return wrong;
    if (name_.empty()) {
      if (const int wrong = give_name(); wrong != 0) return wrong;
    }
    if (::rename(name_.c_str(), target_.c_str()) != 0) return errno;
    name_.clear();
    // The new name must outlast a power cut too. Not every file system can promise it, and the file
    // is complete either way.
    const File directory(::open(folder_.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC));
    if (directory.open()) ::fsync(directory.number());
    return 0;
  }

 private:
  std::string hidden(std::string_view ending) const {
    return fmt::format("{}/.{}.{}", folder_, target_.filename().string(), ending);
  }
  // A file without a name can take a new one only, not that of another file.
  int give_name() {
    const std::string here = fmt::format("/proc/self/fd/{}", file_.number());
    constexpr int kTries = 1000;  // others may lie there since a machine broke down
    for (int i = 0; i < kTries; ++i) {
      std::string name = hidden(fmt::format("{}-{}", ::getpid(), i));
      if (::linkat(AT_FDCWD, here.c_str(), AT_FDCWD, name.c_str(), AT_SYMLINK_FOLLOW) == 0) {
        name_ = std::move(name);
        return 0;
      }
      if (errno != EEXIST) return errno;
    }
    return EEXIST;
  }

  std::filesystem::path target_;
  std::string folder_;
  File file_{-1};
  int problem_ = 0;
  std::string name_;  // while it has one of its own
};

}  // namespace

Outcome replace_file(const std::string& path, const std::string& bytes) {
  const std::filesystem::path target = behind_links(path);
  struct stat old {};
  const bool exists = ::stat(target.c_str(), &old) == 0;
  if (!exists && errno == ELOOP) return failure(path, "cannot be written", errno);
  if (exists && !S_ISREG(old.st_mode)) {
    return Error(Code::argument, fmt::format("{}: is no file that can be replaced", path));
  }
  int wrong = 0;
  for (const bool named : {false, true}) {
    wrong = Draft(target, named).replace_target(bytes, exists ? &old : nullptr);
    if (wrong == 0) return Done{};
  }
  return failure(path, "cannot be written", wrong);
}

}  // namespace loftledger::ods
