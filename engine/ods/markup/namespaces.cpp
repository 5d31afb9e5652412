#include "engine/ods/markup/namespaces.hpp"

#include <algorithm>
#include <cstring>

namespace loftledger::ods {

namespace {

constexpr std::size_t kFewSlots = 1024;

std::uint64_t load(const char* at, std::size_t bytes) {
  std::uint64_t out = 0;
  std::memcpy(&out, at, bytes);
  return out;
}

std::size_t hash_of(std::string_view text, bool attribute) {
  std::uint64_t first = 0;
  std::uint64_t last = 0;
  if (text.size() >= 8) {
    first = load(text.data(), 8);
    last = load(text.data() + text.size() - 8, 8);
    if (text.size() > 16) first ^= load(text.data() + text.size() / 2 - 4, 8) << 1;
  } else {
    for (char c : text) first = first << 8 | static_cast<unsigned char>(c);
  }
  std::uint64_t hash =
      (first ^ (text.size() << 57) ^ (attribute ? 0x5bd1e995u : 0u)) * 0x9e3779b97f4a7c15;
  hash = (hash ^ hash >> 32 ^ last) * 0xff51afd7ed558ccd;
  return static_cast<std::size_t>(hash ^ hash >> 29);
}

}  // namespace

void Namespaces::bind(std::string_view prefix, std::string_view uri, std::size_t depth) {
  bindings_.push_back({std::string(prefix), std::string(uri), standard_prefix(uri), depth});
  if (!known_.empty()) forget_names();
}

void Namespaces::drop(std::size_t depth) {
  while (!bindings_.empty() && bindings_.back().depth == depth) bindings_.pop_back();
  forget_names();
}

bool Namespaces::binds(std::string_view prefix) const {
  return std::any_of(bindings_.begin(), bindings_.end(),
                     [&](const Binding& b) { return b.prefix == prefix; });
}

std::map<std::string, std::string> Namespaces::declarations() const {
  std::map<std::string, std::string> out;
  for (const Binding& b : bindings_) out[b.prefix] = b.uri;
  return out;
}

std::string_view Namespaces::standard_of(std::string_view prefix) const {
  const auto found = std::find_if(bindings_.rbegin(), bindings_.rend(),
                                  [&](const Binding& b) { return b.prefix == prefix; });
  return found == bindings_.rend() ? std::string_view() : found->standard;
}

std::optional<std::string> Namespaces::bound_prefix(std::string_view standard) const {
  for (auto b = bindings_.rbegin(); b != bindings_.rend(); ++b) {
    // A prefix may have been bound anew since.
    if (b->standard == standard && !b->prefix.empty() && standard_of(b->prefix) == standard) {
      return b->prefix + ":";
    }
  }
  return std::nullopt;
}

Name Namespaces::resolve(std::string_view qualified, bool attribute) const {
  const std::size_t colon = qualified.find(':');
  // An attribute without a prefix is in no namespace.
  if (colon == qualified.npos && attribute) return kNoName;
  const std::string_view prefix = colon == qualified.npos ? "" : qualified.substr(0, colon);
  const std::string_view standard = standard_of(prefix);
  if (standard.empty()) return kNoName;
  return name_of(standard, colon == qualified.npos ? qualified : qualified.substr(colon + 1));
}

void Namespaces::forget_names() {
  known_.clear();
  known_slots_.assign(kFewSlots, 0);
}

void Namespaces::widen() {
  known_slots_.assign(known_slots_.size() * 2, 0);
  const std::size_t wider = known_slots_.size() - 1;
  for (std::size_t i = 0; i < known_.size(); ++i) {
    std::size_t at = hash_of(known_[i].qualified, known_[i].attribute) & wider;
    while (known_slots_[at] != 0) at = (at + 1) & wider;
    known_slots_[at] = static_cast<std::uint32_t>(i + 1);
  }
}

Namespaces::Known& Namespaces::known(std::string_view qualified, bool attribute) {
  const std::size_t mask = known_slots_.size() - 1;
  std::size_t slot = hash_of(qualified, attribute) & mask;
  for (; known_slots_[slot] != 0; slot = (slot + 1) & mask) {
    Known& entry = known_[known_slots_[slot] - 1];
    if (entry.attribute == attribute && entry.qualified == qualified) return entry;
  }
  known_.push_back({std::string(qualified), resolve(qualified, attribute), attribute, 0});
  known_slots_[slot] = static_cast<std::uint32_t>(known_.size());
  if (known_.size() * 2 > known_slots_.size()) widen();
  return known_.back();
}

}  // namespace loftledger::ods
