// Names say what kind of thing they are: types PascalCase, functions and variables snake_case,
// constants kPascalCase, macros in capitals, private members with an underscore behind.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <filesystem>
#include <regex>

#include "tests/contract/interface_reader.hpp"
#include "tests/contract/source_files.hpp"

namespace loftledger::contract {
namespace {

// Names of libraries that have a style of their own.
const std::regex& foreign() {
  static const std::regex all(
      "quiet_NaN|signaling_NaN|uInt|u?Long|Bytef?|z_?[A-Z]\\w*|(in|de)flate[A-Z]\\w*|XML_\\w+|"
      "gsl_\\w+|isEmpty|LLVMFuzzer\\w+|__\\w+|_[A-Z]\\w*|[uUx][0-9A-F]+|\\w*Xpr|Eigen\\w*|"
      "cwise\\w+|allFinite|colsPermutation|matrix[A-Z]+|setThreshold|\\w+Coeff|"
      "\\w+(Rows|Cols|Row|Col|Corner|Wise|Of|Norm|Values|Vectors|Product|View)");
  return all;
}

bool speaks_to_the_office(const std::string& path) {
  static const std::regex places("addin/uno/.*|tests/(addin|office|bench|support/remote)/.*");
  return std::regex_match(path, places);
}

struct Rule {
  std::regex pattern;  // the name is the first group
  std::regex shape;
  const char* what;
};

const std::vector<Rule>& rules() {
  static const std::regex kPascal("[A-Z][A-Za-z0-9]*");
  static const std::vector<Rule> all = {
      {std::regex(
           R"((?:^|[;{}>\n])\s*(?:class|struct|enum class|enum)\s+(\w+)\s*(?:final\s*)?[:{])"),
       kPascal, "a type in PascalCase"},
      {std::regex(R"(\bnamespace\s+([\w:]+)\s*\{)"), std::regex("[a-z0-9_:]+"),
       "a namespace in snake_case"},
      {std::regex(
           R"(\n(?:inline |static )*constexpr [\w:<>, *&]*\b(\w+)(?:\[\w*\])?\s*[={](?!\s*\[))"),
       std::regex("k[A-Z0-9][A-Za-z0-9]*|\\w+_v"), "a constant as kPascalCase"},
  };
  return all;
}

std::string line(const std::string& path, const std::string& code, std::size_t at,
                 const std::string& name, const char* what) {
  return fmt::format("{}:{}: {} is not named as {}\n", path, line_at(code, at), name, what);
}

// Every identifier is of one of the kinds.
std::string odd_names(const std::string& path, const std::string& code) {
  static const std::regex kShape(
      "[a-z0-9_]+|[A-Z][A-Za-z0-9]*|k[A-Z0-9][A-Za-z0-9]*|[A-Z][A-Z0-9_]*");
  static const std::regex kInclude("\n[ \t]*#[ \t]*include[^\n]*");
  const std::string text = std::regex_replace("\n" + code, kInclude, "\n").substr(1);
  const auto in_word = [](char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '_';
  };
  std::string out;
  for (std::size_t at = 0; at < text.size();) {
    std::size_t end = at;
    while (end < text.size() && in_word(text[end])) ++end;
    const std::string name = text.substr(at, end - at);
    const bool number = !name.empty() && name[0] >= '0' && name[0] <= '9';
    if (!name.empty() && !number && !std::regex_match(name, kShape) &&
        !std::regex_match(name, foreign())) {
      out += line(path, text, at, name, "anything here");
    }
    at = end + 1;
  }
  return out;
}

std::string odd_members(const std::string& path, const std::string& code) {
  static const std::regex kPrivate("\n( *) private:\n");
  static const std::regex kMember(
      R"(^ +(?! )(?!using |__extension__ using |return |friend |struct |class |static |enum |template ))"
      R"([\w:<>,*& ]+[ *&](\w+)(?:\[\w+\])?(?: = [^;()]*|\{[^;]*\})?;$)");
  std::string out;
  for (std::sregex_iterator each(code.begin(), code.end(), kPrivate), end; each != end; ++each) {
    const auto begin = static_cast<std::size_t>(each->position() + each->length());
    const std::string indent = (*each)[1];
    const std::size_t close = std::min(code.find("\n" + indent + "}", begin), code.size());
    std::size_t at = begin;
    while (at < close) {
      const std::size_t stop = std::min(code.find('\n', at), close);
      const std::string text = code.substr(at, stop - at);
      std::smatch found;
      // Deeper lines belong to the bodies of functions and to types within the type.
      const bool own = text.starts_with(indent + "  ") && !text.starts_with(indent + "   ");
      if (own && std::regex_match(text, found, kMember) && !found[1].str().ends_with('_')) {
        out += line(path, code, at, found[1], "a private member_");
      }
      at = stop + 1;
    }
  }
  return out;
}

std::string odd(const std::string& path, const std::string& source) {
  static const std::regex kPath("([a-z0-9_]+/)*[a-z0-9_]+\\.(cpp|hpp)");
  const std::string code = "\n" + stripped(source, Keep::code);
  std::string out;
  if (!std::regex_match(path, kPath)) out += fmt::format("{} is not in snake_case\n", path);
  for (const Rule& rule : rules()) {
    for (std::sregex_iterator each(code.begin(), code.end(), rule.pattern), end; each != end;
         ++each) {
      const std::string name = (*each)[1];
      if (std::regex_match(name, rule.shape)) continue;
      out += line(path, code.substr(1), static_cast<std::size_t>(each->position(1)) - 1, name,
                  rule.what);
    }
  }
  if (!speaks_to_the_office(path)) out += odd_names(path, code.substr(1));
  return out + odd_members(path, code.substr(1));
}

TEST(Naming, EveryNameSaysItsKind) {
  for (const std::string& path : source_files()) EXPECT_EQ(odd(path, read_file(path)), "");
}

TEST(Naming, AnOddNameIsFound) {
  for (const char* source : {
           "struct some_type {\n};\n",
           "class some_type final : public Base {\n};\n",
           "enum class colour { red };\n",
           "namespace Loftledger {\n}\n",
           "constexpr double kilo = 1000;\n",
           "inline constexpr int limits[] = {1, 2};\n",
           "void doIt() {}\n",
           "int someValue = 1;\n",
           "int Some_value = 1;\n",
           "class A {\n public:\n  int size() const;\n\n private:\n  int size = 0;\n};\n",
           "class A {\n private:\n  std::map<int, int> sizes;\n};\n",
       }) {
    EXPECT_NE(odd("engine/base/x.cpp", source), "") << source;
  }
  EXPECT_NE(odd("engine/base/someFile.cpp", ""), "");
  EXPECT_NE(odd("engine/Base/x.cpp", ""), "");
}

TEST(Naming, OrdinaryNamesAreLeftAlone) {
  EXPECT_EQ(odd("engine/base/x.cpp",
                "// someValue\n#include <someThing.h>\nnamespace loftledger::base {\n"
                "constexpr double kKilo = 1000;\nconstexpr int twice(int x) { return 2 * x; }\n"
                "template <class T>\nstruct Pair {\n  T first;\n  T second;\n};\n"
                "class A {\n public:\n  int size() const;\n\n private:\n"
                "  void grow();\n  using B = int;\n  static constexpr int kMost = 3;\n"
                "  int size_ = 0;\n  std::map<int, int> sizes_;\n};\n"
                "const char* text = \"someValue\";\nint x = 0x1Fu;\n}\n"),
            "");
}

}  // namespace
}  // namespace loftledger::contract
