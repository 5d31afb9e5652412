#include "tests/support/office/office.hpp"

#include <fmt/format.h>

#include <cstdlib>
#include <fstream>

namespace loftledger::support {

namespace fs = std::filesystem;

namespace {

// Whether everything is calculated on loading, whatever results a file brings along: 0 always, 1
// never.
constexpr const char* kSettings = R"(<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry">
<item oor:path="/org.openoffice.Office.Calc/Formula/Load"><prop oor:name="ODFRecalcMode" oor:op="fuse"><value>{}</value></prop></item>
</oor:items>
)";

// The library's name inside the extension.
constexpr const char* kLibrary = "loftledger.so";

constexpr std::chrono::seconds kInstallLimit{600};

}  // namespace

Office::Office(const fs::path& extension, Results results) {
  const fs::path user = folder() / "profile" / "user";
  std::error_code failed;
  fs::create_directories(user, failed);
  if (failed) {
    problem_ = "cannot make a profile folder";
    return;
  }
  write_file(user / "registrymodifications.xcu",
             fmt::format(kSettings, results == Results::as_stored ? 1 : 0));
  if (extension.empty()) return;
  std::vector<std::string> words = command();
  // A shared install into our own folders: as root a user install is refused.
  words[0] = LOFTLEDGER_UNOPKG;
  words.insert(words.begin() + 1, {"add", "--shared", "-f", extension.string()});
  const Finished installed = run(words, kInstallLimit);
  if (!installed.ok()) {
    problem_ = fmt::format("installing {} {}: {}", extension.string(),
                           installed.timed_out ? "took too long" : "failed", installed.output);
  }
}

std::vector<std::string> Office::command() const {
  return {LOFTLEDGER_SOFFICE,
          fmt::format("-env:UserInstallation=file://{}/profile", folder().string()),
          fmt::format("-env:UNO_SHARED_PACKAGES_CACHE=file://{}/packages", folder().string())};
}

Office::Converted Office::convert(const std::vector<fs::path>& files, const std::string& ending,
                                  std::chrono::seconds limit) {
  Converted out;
  if (!problem_.empty()) {
    out.problem = problem_;
    return out;
  }
  const fs::path target = folder() / fmt::format("converted-{}", ++conversions_);
  std::vector<std::string> words = command();
  words.insert(words.end(), {"--headless", "--norestore", "--nologo", "--convert-to", ending,
                             "--outdir", target.string()});
  for (const fs::path& file : files) words.push_back(file.string());
  Process office(words);
  const Finished finished = office.wait(
      limit, [&] { out.loaded_extension = out.loaded_extension || office.has_mapped(kLibrary); });
  if (!finished.ok()) {
    out.problem =
        finished.timed_out
            ? fmt::format("the office did not end in {} s: {}", limit.count(), finished.output)
            : fmt::format("the office ended with code {}: {}", finished.exit_code, finished.output);
  }
  for (const fs::path& file : files) {
    const fs::path made = target / file.filename().replace_extension(ending);
    if (!fs::exists(made)) {
      if (out.problem.empty()) {
        out.problem = fmt::format("the office made no {}: {}", made.string(), finished.output);
      }
      return out;
    }
    out.files.push_back(made);
  }
  return out;
}

}  // namespace loftledger::support
