// Search patterns in texts: plain, with wildcards, or regular expressions.
#pragma once

#include <cstddef>
#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "engine/sheet/settings.hpp"

namespace loftledger::standard {

// How a document reads the texts that it searches for.
enum class Search : std::uint8_t { plain, wildcards, regular };
Search search_of(const sheet::Settings& settings);

class Pattern {
 public:
  // Nothing where the text is no regular expression. Wildcards are * and ?, with ~ before one that
  // stands for itself. Regular expressions are those of PCRE2 with Unicode classes; \< and \> are
  // the ends of words.
  static std::optional<Pattern> make(std::string_view text, Search search, bool case_sensitive);
  // A regular expression as REGEX takes it: the case counts, and \< is a plain <.
  static std::optional<Pattern> expression(std::string_view text);

  struct Found {
    std::size_t begin = 0;  // in bytes
    std::size_t end = 0;
    // Where each group matched, from group 1 on; no length where it did not.
    std::vector<std::pair<std::size_t, std::size_t>> groups;
  };
  // The first match at or after the byte; nothing where there is none, or where the search takes
  // longer than is bearable; then it says so.
  std::optional<Found> find(std::string_view text, std::size_t from = 0,
                            bool* gave_up = nullptr) const;
  // The same, passing over matches of nothing in a text of something, as searches in the office do:
  // b? is found at the b of "abc".
  std::optional<Found> find_something(std::string_view text, std::size_t from = 0) const;
  // Whether it is found so, with `whole` as the whole text.
  bool matches(std::string_view text, bool whole) const;
  // $1, ${name} and $0 in the replacement filled in, \ before any character that stands for
  // itself; nothing where a group is named that there is not.
  std::optional<std::string> filled(std::string_view replacement, std::string_view text,
                                    const Found& found) const;

 private:
  struct Code;
  bool compile(const std::string& spelled);

  Search search_ = Search::plain;
  bool case_sensitive_ = false;
  std::u32string needle_;             // folded unless the case counts
  std::shared_ptr<const Code> code_;  // a compiled regular expression
};

}  // namespace loftledger::standard
