// The real office suite without a window, with a profile of its own and the extension installed.
#pragma once

#include <chrono>
#include <filesystem>
#include <string>
#include <vector>

#include "tests/support/office/flat.hpp"
#include "tests/support/system/files.hpp"
#include "tests/support/system/process.hpp"

namespace loftledger::support {

// What the office does with the results that a file brings along.
enum class Results { calculated_anew, as_stored };

class Office {
 public:
  // Makes a fresh profile and installs the extension in it (none where the path is empty). What
  // went wrong stands in problem().
  explicit Office(const std::filesystem::path& extension,
                  Results results = Results::calculated_anew);

  const std::string& problem() const { return problem_; }
  const std::filesystem::path& folder() const { return folder_.path(); }

  // What a call of the office's program begins with, for a test that starts it in its own way.
  std::vector<std::string> command() const;

  struct Converted {
    std::string problem;                       // empty where all files came out
    std::vector<std::filesystem::path> files;  // in the order given, up to the first that failed
    bool loaded_extension = false;             // whether the component's library was mapped
  };
  // Opens each file and saves it as "fods", "ods", "pdf" or "csv" (the first sheet). One start of
  // the office for all files; their names must differ.
  Converted convert(const std::vector<std::filesystem::path>& files, const std::string& ending,
                    std::chrono::seconds limit = std::chrono::minutes(10));

 private:
  TemporaryFolder folder_;
  std::string problem_;
  int conversions_ = 0;
};

}  // namespace loftledger::support
