// The tables of checks under tests/data: tab-separated, one header row, '#' begins a remark.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace loftledger::support {

struct Row {
  std::size_t line = 0;
  std::vector<std::string> fields;
};

struct TextTable {
  std::string name;  // "fibre"
  std::vector<std::string> header;
  std::vector<Row> rows;
};

// The table in that file; its header must be the one given. What is wrong goes into problem.
TextTable read_table(const std::filesystem::path& file, const std::vector<std::string>& header,
                     std::string& problem);

// Every *.tsv of tests/data/<folder>, by name.
std::vector<std::filesystem::path> table_files(std::string_view folder);

inline const std::vector<std::string> kPublishedHeader = {"id",        "formula", "expected",
                                                          "tolerance", "source",  "status"};
// Nothing where the row holds, else what is wrong. The tolerance is relative (absolute where 0 is
// expected); an expected text stands in quotes; TRUE and FALSE are themselves.
std::optional<std::string> check_published(const Row& row);

inline const std::vector<std::string> kRefusalHeader = {"formula", "error", "fragment"};
// The call must give that error, with a sentence that names the function, the argument where one is
// to blame, and holds the fragment.
std::optional<std::string> check_refusal(const Row& row);

}  // namespace loftledger::support
