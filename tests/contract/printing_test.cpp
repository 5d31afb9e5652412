// A library prints nothing, by whatever road; only programs do.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <regex>

#include "tests/contract/interface_reader.hpp"
#include "tests/contract/source_files.hpp"

namespace loftledger::contract {
namespace {

struct Road {
  std::regex pattern;
  Keep keep;
  const char* what;
};

const std::vector<Road>& roads() {
  static const std::vector<Road> all = {
      {std::regex(R"(#[ \t]*include[ \t]*<(iostream|print|syncstream|syslog\.h)>)"), Keep::code,
       "a header for printing"},
      {std::regex(R"(\b(fmt|std)[ \t\n]*::[ \t\n]*v?print(ln|_(non)?unicode\w*)?\b)"), Keep::code,
       "print"},
      {std::regex(R"(\bw?(cout|cerr|clog)\b)"), Keep::code, "a stream of the program"},
      {std::regex(R"(\b(stdout|stderr|STDOUT_FILENO|STDERR_FILENO)\b)"), Keep::code,
       "a stream of the program"},
      {std::regex(
           R"(\b(__builtin_)?(v?w?printf|puts|putw?char|putchar_unlocked|perror|psignal)\s*\()"),
       Keep::code, "a call that prints"},
      {std::regex(R"(\b(v?syslog|system|popen|warnx?|errx?)\s*\()"), Keep::code,
       "a call that prints"},
      {std::regex(R"(\b(p?writev?|write|v?dprintf|fdopen|dup2?)\s*\(\s*[12]\s*[,)])"), Keep::code,
       "the program's streams by their numbers"},
      {std::regex(R"(/dev/(stdout|stderr|tty|console|fd/)|/proc/(self|\d+)/fd/[12]\b)"),
       Keep::code_and_texts, "the program's streams by their names"},
  };
  return all;
}

bool may_print(const std::string& path) {
  static const std::regex kPrograms(
      "(engine/cli|addin/render/cli)/.*|templates/settle/main\\.cpp|tests/.*");
  return std::regex_match(path, kPrograms);
}

// What prints, one line a place.
std::string printing(const std::string& path, const std::string& source) {
  std::string out;
  const std::string without_texts = stripped(source, Keep::code);
  const std::string with_texts = stripped(source, Keep::code_and_texts);
  for (const Road& road : roads()) {
    const std::string& code = road.keep == Keep::code ? without_texts : with_texts;
    for (std::sregex_iterator each(code.begin(), code.end(), road.pattern), end; each != end;
         ++each) {
      out += fmt::format("{}:{}: {}: {}\n", path,
                         line_at(code, static_cast<std::size_t>(each->position())), road.what,
                         each->str());
    }
  }
  return out;
}

TEST(Printing, NoLibraryPrints) {
  int looked_at = 0;
  for (const std::string& path : source_files()) {
    if (may_print(path)) continue;
    ++looked_at;
    EXPECT_EQ(printing(path, read_file(path)), "");
  }
  EXPECT_GT(looked_at, 150);
}

TEST(Printing, EveryRoadIsFound) {
  for (const char* line : {
           "#include <iostream>",
           "fmt::print(\"x\");",
           "fmt::print(file, \"x\");",
           "fmt::vprint(a, b);",
           "std::print(\"x\");",
           "std::println();",
           "fmt :: print(\"x\");",
           "using std::cout;",
           "std::cerr << 1;",
           "std::clog << 1;",
           "std::wcout << 1;",
           "std::ostream out(std::cout.rdbuf());",
           "printf(\"x\");",
           "std::printf (\"x\");",
           "__builtin_printf(\"x\");",
           "fprintf(stderr, \"x\");",
           "std::fputs(text, stdout);",
           "std::fwrite(data, 1, size, stdout);",
           "puts(\"x\");",
           "std::putchar('x');",
           "perror(nullptr);",
           "std::ofstream out(\"/dev/stdout\");",
           "open(\"/proc/self/fd/1\", 1);",
           "open(R\"(/dev/tty)\", 1);",
           "::write(1, text, size);",
           "write( 2 , text, size);",
           "write(STDERR_FILENO, text, size);",
           "dprintf(2, \"x\");",
           "std::system(\"echo\");",
           "char a = '\"'; std::cout << a;",
           "int a = 1'000; std::cout << 1'0;",
           "auto a = R\"x(\")x\"; std::cout << a;",
           "/* \" */ std::cout << 1;",
       }) {
    EXPECT_NE(printing("engine/base/x.cpp", line), "") << line;
  }
}

TEST(Printing, WhatDoesNotPrintIsLeftAlone) {
  for (const char* line : {
           "// std::cout << 1;",
           "/* printf(\"x\"); */",
           "const char* a = \"std::cout, printf(1)\";",
           "const char* a = \"a \\\" std::cout\";",
           "auto a = R\"x(std::cout \" )\" )x\";",
           "void print(const Value& value);",
           "formula::print(tree);",
           "::write(file, data, size);",
           "writer.write(12, text);",
           "std::snprintf(buffer, size, \"x\");",
           "int outputs(int x); outputs(1);",
           "std::ofstream out(path);",
       }) {
    EXPECT_EQ(printing("engine/base/x.cpp", line), "") << line;
  }
  EXPECT_EQ(printing("engine/base/x.cpp", "int a;\n\nstd::cout;\n"),
            "engine/base/x.cpp:3: a stream of the program: cout\n");
  EXPECT_TRUE(may_print("engine/cli/calc.cpp"));
  EXPECT_FALSE(may_print("engine/base/value.cpp"));
  EXPECT_FALSE(may_print("addin/uno/planning.cpp"));
  EXPECT_FALSE(may_print("addin/render/render.cpp"));
  EXPECT_FALSE(may_print("templates/settle/book.cpp"));
}

}  // namespace
}  // namespace loftledger::contract
