// Every library that CMake looks for stands in cmake/packages.txt, in a group that is installed
// where it is needed.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>
#include <map>
#include <regex>
#include <set>
#include <sstream>

#include "tests/contract/interface_reader.hpp"

namespace loftledger::contract {
namespace {

namespace fs = std::filesystem;

using Names = std::set<std::string>;

// What CMake finds, by group.
std::map<std::string, Names> found_by_group(const std::string& text) {
  std::map<std::string, Names> out;
  std::string group;
  std::istringstream lines(text);
  for (std::string line; std::getline(lines, line);) {
    if (line.empty() || line.starts_with('#')) continue;
    if (line.starts_with('[')) {
      group = line.substr(1, line.find(']') - 1);
      continue;
    }
    std::istringstream words(line);
    std::string word;
    words >> word;  // the package
    while (words >> word) out[group].insert(word);
  }
  return out;
}

// The groups that are installed where a file of CMake's is read.
std::vector<std::string> groups_for(const std::string& path) {
  if (path.starts_with("tests/bench/")) return {"program", "tests", "office", "bench"};
  if (path.starts_with("engine/") || path == "CMakeLists.txt") return {"program"};
  if (path == "cmake/office_sdk.cmake") return {"office"};
  return {"program", "tests"};
}

// Each look-up as the names that would do: one of a package, some of a library.
std::vector<Names> look_ups(const std::string& text) {
  static const std::regex kComment("#[^\n]*");
  static const std::regex kFind(R"(\bfind_(package|library)\s*\(([^)]*)\))", std::regex::icase);
  static const std::set<std::string> kKeywords = {"NAMES", "REQUIRED", "QUIET", "NO_CACHE"};
  const std::string code = std::regex_replace(text, kComment, "");
  std::vector<Names> out;
  for (std::sregex_iterator each(code.begin(), code.end(), kFind), end; each != end; ++each) {
    std::istringstream words((*each)[2]);
    Names names;
    std::string word;
    words >> word;
    if ((*each)[1] == "package") {
      names.insert(word);  // the rest are versions and components
    } else {
      while (words >> word && word != "PATHS") {
        if (!kKeywords.contains(word)) names.insert(word);
      }
    }
    out.push_back(std::move(names));
  }
  return out;
}

// Look-ups without a package, one line each.
std::string unknown(const std::string& path, const std::string& text,
                    const std::map<std::string, Names>& groups) {
  std::string out;
  for (const Names& names : look_ups(text)) {
    bool known = false;
    for (const std::string& group : groups_for(path)) {
      const auto at = groups.find(group);
      known = known || (at != groups.end() &&
                        std::any_of(names.begin(), names.end(), [&](const std::string& name) {
                          return at->second.contains(name);
                        }));
    }
    if (!known) out += fmt::format("{}: {}\n", path, names.empty() ? "?" : *names.begin());
  }
  return out;
}

TEST(Packages, EveryLookUpHasItsPackage) {
  const auto groups = found_by_group(read_file("cmake/packages.txt"));
  ASSERT_TRUE(groups.contains("program"));
  const fs::path root(LOFTLEDGER_SOURCE);
  std::vector<std::string> files = {"CMakeLists.txt"};
  for (const char* top : {"cmake", "engine", "addin", "templates", "tests"}) {
    for (const fs::directory_entry& entry : fs::recursive_directory_iterator(root / top)) {
      const fs::path& path = entry.path();
      if (path.filename() == "CMakeLists.txt" || path.extension() == ".cmake") {
        files.push_back(fs::relative(path, root).generic_string());
      }
    }
  }
  std::size_t look_ups_seen = 0;
  for (const std::string& path : files) {
    // The parts of the office's SDK have names that a loop puts together.
    std::string text = read_file(path);
    if (path == "cmake/office_sdk.cmake") {
      text = std::regex_replace(text, std::regex(R"(\$\{part\})"), "cppu");
    }
    look_ups_seen += look_ups(text).size();
    EXPECT_EQ(unknown(path, text, groups), "");
  }
  EXPECT_GT(look_ups_seen, 12U);
}

TEST(Packages, AMissingOneIsFound) {
  const auto groups =
      found_by_group("# words\n[program]\ng++ Threads\nlibz-dev ZLIB z\n[tests]\nx X\n");
  EXPECT_EQ(unknown("engine/CMakeLists.txt", "find_package(ZLIB 1.2 REQUIRED)", groups), "");
  EXPECT_EQ(unknown("engine/CMakeLists.txt", "find_library(Z NAMES libz.a z REQUIRED)", groups),
            "");
  EXPECT_EQ(unknown("tests/CMakeLists.txt", "find_package(X)", groups), "");
  EXPECT_EQ(unknown("engine/CMakeLists.txt", "# find_package(Y)\n", groups), "");
  EXPECT_EQ(unknown("engine/CMakeLists.txt", "find_package(X)", groups),
            "engine/CMakeLists.txt: X\n");
  EXPECT_EQ(unknown("engine/CMakeLists.txt", "find_package(Y REQUIRED)", groups),
            "engine/CMakeLists.txt: Y\n");
  EXPECT_NE(unknown("tests/CMakeLists.txt", "find_library(L y)", groups), "");
}

}  // namespace
}  // namespace loftledger::contract
