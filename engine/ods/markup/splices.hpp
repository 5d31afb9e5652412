// Changes to a text, gathered in any order and made in one copy.
#pragma once

#include <algorithm>
#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

namespace loftledger::ods {

class Splices {
 public:
  // The stretch goes, and the text stands in its place. Stretches must not overlap; what is put at
  // one place comes out in the order in which it was put there.
  void replace(std::uint64_t begin, std::uint64_t end, std::string text) {
    made_.push_back({begin, end, std::move(text)});
  }
  void insert(std::uint64_t at, std::string text) { replace(at, at, std::move(text)); }

  // The part of the source with the changes that lie in it.
  std::string apply(std::string_view source, std::uint64_t from, std::uint64_t to) {
    std::stable_sort(made_.begin(), made_.end(),
                     [](const Splice& a, const Splice& b) { return a.begin < b.begin; });
    std::string out;
    std::uint64_t copied = from;
    for (const Splice& splice : made_) {
      if (splice.begin < from || splice.end > to) continue;
      out += source.substr(copied, splice.begin - copied);
      out += splice.text;
      copied = splice.end;
    }
    out += source.substr(copied, to - copied);
    return out;
  }

 private:
  struct Splice {
    std::uint64_t begin;
    std::uint64_t end;
    std::string text;
  };
  std::vector<Splice> made_;
};

}  // namespace loftledger::ods
