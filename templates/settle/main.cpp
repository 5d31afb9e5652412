// Brings a flat workbook that the office has saved into one settled form, so that a difference
// shows what a person changed and nothing else: what the office writes anew each time (sizes that
// it computes, defaults, copies of chart data, names of styles without a name) is left out or
// named by what it is for.
//
//   loftledger_settle BOOK.fods...          rewrites the files that are not settled
//   loftledger_settle --from EDITED.ods BOOK.fods  takes over what was edited in a copy
//   loftledger_settle --check BOOK.fods...  names them, and exits with 1 if there are any
#include <fmt/format.h>

#include <cstdio>
#include <fstream>
#include <sstream>
#include <string>
#include <vector>

#include "engine/ods/file.hpp"
#include "templates/settle/book.hpp"

int main(int count, char** words) {
  std::vector<std::string> files(words + 1, words + count);
  const std::string option = files.empty() ? std::string() : files.front();
  const bool check = option == "--check";
  const bool from = option == "--from";
  if (check || from) files.erase(files.begin());
  if (files.empty() || (from && files.size() != 2)) {
    fmt::print(stderr,
               "usage: loftledger_settle [--check] BOOK.fods... | --from EDITED BOOK.fods\n");
    return 2;
  }
  int result = 0;
  for (std::size_t i = from ? 1 : 0; i < files.size(); ++i) {
    const std::string& book = from ? files[0] : files[i];
    std::string problem;
    const auto after = loftledger::settle::settled_book(book, problem);
    if (!after) {
      fmt::print(stderr, "{}: {}\n", book, problem);
      return 2;
    }
    std::ifstream in(files[i], std::ios::binary);
    std::stringstream before;
    before << in.rdbuf();
    if (before.str() == *after) continue;
    if (check) {
      fmt::print("{} is not settled\n", files[i]);
      result = 1;
    } else if (const auto done = loftledger::ods::replace_file(files[i], *after); !done) {
      fmt::print(stderr, "{}\n", done.error().text());
      return 2;
    }
  }
  return result;
}
