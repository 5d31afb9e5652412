// Which namespaces the prefixes of a document stand for, and what its names mean by them.
#pragma once

#include <cstddef>
#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "engine/ods/markup/name.hpp"

namespace loftledger::ods {

class Namespaces {
 public:
  Namespaces() { forget_names(); }

  // An element at that depth declares a namespace.
  void bind(std::string_view prefix, std::string_view uri, std::size_t depth);
  // The element at that depth ends, and what it declared holds no longer.
  void leave(std::size_t depth) {
    if (!bindings_.empty() && bindings_.back().depth == depth) drop(depth);
  }

  // What a name with its prefix means here.
  Name resolve(std::string_view qualified, bool attribute) const;

  // The same, looked up where it was met before.
  struct Known {
    std::string qualified;
    Name name = kNoName;
    bool attribute = false;
    std::uint64_t seen = 0;  // the last tag that had it as an attribute; the scanner's own
  };
  Known& known(std::string_view qualified, bool attribute);

  // The prefix (with its colon) that is bound to the namespace of that standard prefix; nothing
  // where none is.
  std::optional<std::string> bound_prefix(std::string_view standard) const;
  // The standard prefix of the namespace that is bound to a prefix; empty where none is known.
  std::string_view standard_of(std::string_view prefix) const;
  // Whether the prefix is bound at all.
  bool binds(std::string_view prefix) const;
  // All prefixes that are bound, each with its namespace.
  std::map<std::string, std::string> declarations() const;

 private:
  struct Binding {
    std::string prefix;
    std::string uri;
    std::string_view standard;
    std::size_t depth = 0;
  };

  void drop(std::size_t depth);
  void forget_names();
  void widen();

  std::vector<Binding> bindings_;
  std::vector<Known> known_;
  std::vector<std::uint32_t> known_slots_;
};

}  // namespace loftledger::ods
