// A file or a function that has grown beyond what one reads at a sitting is more than one thing.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cctype>
#include <string>
#include <string_view>
#include <vector>

#include "tests/contract/interface_reader.hpp"
#include "tests/contract/source_files.hpp"

namespace loftledger::contract {
namespace {

constexpr std::size_t kMostLines = 600;
constexpr std::size_t kMostOfFunction = 80;

std::vector<std::string> lines_of(const std::string& content) {
  std::vector<std::string> out;
  std::size_t at = 0;
  while (at < content.size()) {
    const std::size_t end = std::min(content.find('\n', at), content.size());
    out.push_back(content.substr(at, end - at));
    at = end + 1;
  }
  return out;
}

std::size_t indentation(std::string_view line) {
  return std::min(line.find_first_not_of(' '), line.size());
}

// What begins with one of these and ends in a brace is no function.
bool begins_with_keyword(std::string_view line) {
  static constexpr std::string_view kKeywords[] = {"namespace", "class", "struct", "enum",
                                                   "union",     "if",    "for",    "while",
                                                   "switch",    "do",    "else",   "extern"};
  line.remove_prefix(indentation(line));
  return std::ranges::any_of(kKeywords, [&](std::string_view keyword) {
    return line.starts_with(keyword) &&
           (line.size() == keyword.size() || !std::isalnum(line[keyword.size()]));
  });
}

// The functions of the file that are too long, one a line. Reads what clang-format lays out: a
// function begins at the indentation of its namespace or class, and its last brace stands there.
std::string too_long(const std::string& path, const std::string& content) {
  std::string out;
  const std::vector<std::string> lines = lines_of(content);
  constexpr std::size_t kInClass = 2;
  for (std::size_t start = 0; start < lines.size(); ++start) {
    const std::string& first = lines[start];
    const std::size_t depth = indentation(first);
    if ((depth != 0 && depth != kInClass) || depth == first.size() || first[depth] == '}' ||
        first[depth] == '#' || first[depth] == '/' || begins_with_keyword(first)) {
      continue;
    }
    // The signature: up to the line that opens the body or ends a declaration.
    std::size_t open = start;
    bool call = false;
    while (open < lines.size() && !lines[open].ends_with('{') && !lines[open].ends_with(';') &&
           (open == start || indentation(lines[open]) > depth)) {
      call = call || lines[open].find(')') != std::string::npos;
      ++open;
    }
    if (open >= lines.size() || !lines[open].ends_with('{')) continue;
    call = call || lines[open].find(')') != std::string::npos;
    if (!call || lines[open].ends_with("= {")) continue;
    std::size_t end = open + 1;
    while (end < lines.size() && !(indentation(lines[end]) == depth && depth < lines[end].size() &&
                                   lines[end][depth] == '}')) {
      ++end;
    }
    if (end - start + 1 > kMostOfFunction) {
      out += fmt::format("{}:{}: {} lines, more than {}\n", path, start + 1, end - start + 1,
                         kMostOfFunction);
    }
    start = end;
  }
  return out;
}

// All but the tests' own.
std::vector<std::string> our_files() {
  std::vector<std::string> out = source_files();
  std::erase_if(out, [](const std::string& path) { return path.starts_with("tests/"); });
  return out;
}

TEST(Size, NoFileIsTooLong) {
  const std::vector<std::string> files = our_files();
  ASSERT_GT(files.size(), 100U);
  for (const std::string& path : files) {
    EXPECT_LE(lines_of(read_file(path)).size(), kMostLines) << path;
  }
}

TEST(Size, NoFunctionIsTooLong) {
  for (const std::string& path : our_files()) EXPECT_EQ(too_long(path, read_file(path)), "");
}

TEST(Size, ALongFunctionIsFound) {
  std::string body;
  for (std::size_t i = 0; i < kMostOfFunction; ++i) body += "  step();\n";
  EXPECT_NE(too_long("x.cpp", "void all() {\n" + body + "}\n"), "");
  EXPECT_NE(too_long("x.cpp", "void all(int a,\n         int b) {\n" + body + "}\n"), "");
  EXPECT_NE(too_long("x.cpp", "class X {\n  void all() const {\n" + body + "  }\n};\n"), "");
  EXPECT_EQ(too_long("x.cpp", "void all() {\n  step();\n}\n" + body), "");
  EXPECT_EQ(too_long("x.cpp", "constexpr int kAll[] = {\n" + body + "};\n"), "");
  EXPECT_EQ(too_long("x.cpp", "struct X {\n" + body + "};\n"), "");
}

}  // namespace
}  // namespace loftledger::contract
