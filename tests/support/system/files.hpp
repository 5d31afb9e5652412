// Files that a test needs for a moment.
#pragma once

#include <filesystem>
#include <string>

namespace loftledger::support {

// A folder that goes away with the object.
class TemporaryFolder {
 public:
  TemporaryFolder();
  ~TemporaryFolder();
  TemporaryFolder(const TemporaryFolder&) = delete;
  TemporaryFolder& operator=(const TemporaryFolder&) = delete;
  const std::filesystem::path& path() const { return path_; }

 private:
  std::filesystem::path path_;
};

// Writes the text to the file.
void write_file(const std::filesystem::path& path, const std::string& text);

}  // namespace loftledger::support
