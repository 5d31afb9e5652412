#include "engine/standard/values/pattern.hpp"

#define PCRE2_CODE_UNIT_WIDTH 8
#include <pcre2.h>

#include <algorithm>

#include "engine/standard/values/unicode.hpp"

namespace loftledger::standard {

struct Pattern::Code {
  explicit Code(pcre2_code* held) : code(held) {}
  Code(const Code&) = delete;
  Code& operator=(const Code&) = delete;
  ~Code() { pcre2_code_free(code); }
  pcre2_code* code;
};

namespace {

// Steps after which a search gives up: an expression such as (a+)+b would take hours.
constexpr std::uint32_t kMatchLimit = 2000000;

// Spellings that PCRE2 has not: \uhhhh and, where wanted, \< and \> for the ends of words.
std::string respelled(std::string_view text, bool word_ends) {
  std::string out;
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (text[i] != '\\' || i + 1 >= text.size()) {
      out += text[i];
      continue;
    }
    const char next = text[++i];
    if (next == '<' && word_ends) {
      out += "\\b(?=\\w)";
    } else if (next == '>' && word_ends) {
      out += "(?<=\\w)\\b";
    } else if (next == 'u' && i + 4 < text.size()) {
      out += "\\x{" + std::string(text.substr(i + 1, 4)) + "}";
      i += 4;
    } else {
      out += '\\';
      out += next;
    }
  }
  return out;
}

char32_t folded(char32_t point) { return lower(upper(point)); }

std::u32string points(std::string_view text, bool fold) {
  std::u32string out;
  out.reserve(text.size());
  for (std::size_t i = 0; i < text.size();) {
    const char32_t point = decode(text, i);
    out += fold ? folded(point) : point;
  }
  return out;
}

bool wild(char32_t point) { return point == U'*' || point == U'?'; }

// One item of a wildcard pattern: a literal, any one character, or any number of them.
struct Item {
  enum class Kind { literal, one, many } kind;
  char32_t point = 0;
  std::size_t next = 0;
};

Item item_at(std::u32string_view pattern, std::size_t at) {
  const char32_t point = pattern[at];
  if (point == U'*') return {Item::Kind::many, 0, at + 1};
  if (point == U'?') return {Item::Kind::one, 0, at + 1};
  if (point == U'~' && at + 1 < pattern.size() &&
      (wild(pattern[at + 1]) || pattern[at + 1] == U'~'))
    return {Item::Kind::literal, pattern[at + 1], at + 2};
  return {Item::Kind::literal, point, at + 1};
}

// Whether the pattern matches from `start` on: to the end, or anywhere short of it. Greedy with
// one place to come back to, so that the time is at most the product of both lengths.
std::optional<std::size_t> match_wild(std::u32string_view pattern, std::u32string_view text,
                                      std::size_t start, bool to_end) {
  std::size_t p = 0;
  std::size_t t = start;
  std::optional<std::pair<std::size_t, std::size_t>> back;
  for (;;) {
    if (p == pattern.size() && (!to_end || t == text.size())) return t;
    if (p < pattern.size()) {
      const Item item = item_at(pattern, p);
      if (item.kind == Item::Kind::many) {
        back = {item.next, t};
        p = item.next;
        continue;
      }
      if (t < text.size() && (item.kind == Item::Kind::one || item.point == text[t])) {
        p = item.next;
        ++t;
        continue;
      }
    }
    if (!back || back->second >= text.size()) return std::nullopt;
    p = back->first;
    t = ++back->second;
  }
}

std::size_t group_number(const pcre2_code* code, std::string_view name) {
  const std::string terminated(name);
  const int number =
      pcre2_substring_number_from_name(code, reinterpret_cast<PCRE2_SPTR>(terminated.c_str()));
  return number > 0 ? static_cast<std::size_t>(number) : 0;
}

}  // namespace

Search search_of(const sheet::Settings& settings) {
  if (settings.wildcards) return Search::wildcards;
  return settings.regular_expressions ? Search::regular : Search::plain;
}

std::optional<Pattern> Pattern::make(std::string_view text, Search search, bool case_sensitive) {
  Pattern out;
  out.search_ = search;
  out.case_sensitive_ = case_sensitive;
  if (search != Search::regular) {
    out.needle_ = points(text, !case_sensitive);
    return out;
  }
  return out.compile(respelled(text, true)) ? std::optional(out) : std::nullopt;
}

std::optional<Pattern> Pattern::expression(std::string_view text) {
  Pattern out;
  out.search_ = Search::regular;
  out.case_sensitive_ = true;
  return out.compile(respelled(text, false)) ? std::optional(out) : std::nullopt;
}

bool Pattern::compile(const std::string& spelled) {
  int problem = 0;
  PCRE2_SIZE where = 0;
  pcre2_code* code = pcre2_compile(reinterpret_cast<PCRE2_SPTR>(spelled.data()), spelled.size(),
                                   PCRE2_UTF | PCRE2_UCP | (case_sensitive_ ? 0 : PCRE2_CASELESS),
                                   &problem, &where, nullptr);
  if (code != nullptr) code_ = std::make_shared<const Code>(code);
  return code != nullptr;
}

std::optional<Pattern::Found> Pattern::find(std::string_view text, std::size_t from,
                                            bool* gave_up) const {
  if (code_ == nullptr) {
    const std::u32string hay = points(text, !case_sensitive_);
    std::size_t start = length(text.substr(0, from));
    if (search_ == Search::plain) {
      const std::size_t at = hay.find(needle_, start);
      if (at == hay.npos) return std::nullopt;
      return Found{byte_of(text, at), byte_of(text, at + needle_.size()), {}};
    }
    for (; start <= hay.size(); ++start) {
      if (const auto end = match_wild(needle_, hay, start, false)) {
        return Found{byte_of(text, start), byte_of(text, *end), {}};
      }
    }
    return std::nullopt;
  }
  pcre2_match_data* data = pcre2_match_data_create_from_pattern(code_->code, nullptr);
  pcre2_match_context* context = pcre2_match_context_create(nullptr);
  std::optional<Found> found;
  if (data != nullptr && context != nullptr) {
    pcre2_set_match_limit(context, kMatchLimit);
    const int groups = pcre2_match(code_->code, reinterpret_cast<PCRE2_SPTR>(text.data()),
                                   text.size(), from, 0, data, context);
    if (gave_up != nullptr && groups < PCRE2_ERROR_NOMATCH) *gave_up = true;
    if (groups > 0) {
      const PCRE2_SIZE* ends = pcre2_get_ovector_pointer(data);
      found = Found{std::min(ends[0], ends[1]), ends[1], {}};
      for (std::uint32_t i = 1; i < pcre2_get_ovector_count(data); ++i) {
        const bool there = i < static_cast<std::uint32_t>(groups) && ends[2 * i] != PCRE2_UNSET;
        found->groups.emplace_back(there ? ends[2 * i] : 0, there ? ends[2 * i + 1] : 0);
      }
    }
  }
  pcre2_match_context_free(context);
  pcre2_match_data_free(data);
  return found;
}

std::optional<Pattern::Found> Pattern::find_something(std::string_view text,
                                                      std::size_t from) const {
  auto found = find(text, from);
  while (found && found->begin == found->end && found->end < text.size()) {
    std::size_t next = found->end;
    decode(text, next);
    found = find(text, next);
  }
  if (found && found->begin == found->end && !text.empty()) return std::nullopt;
  return found;
}

bool Pattern::matches(std::string_view text, bool whole) const {
  if (code_ == nullptr && whole) {
    const std::u32string hay = points(text, !case_sensitive_);
    if (search_ == Search::plain) return hay == needle_;
    return match_wild(needle_, hay, 0, true).has_value();
  }
  // With wildcards, nothing is a part of any text.
  if (search_ == Search::wildcards) return find(text).has_value();
  // The first match must be the whole text: the office does not look for another.
  const auto found = find_something(text);
  return found && (!whole || (found->begin == 0 && found->end == text.size()));
}

std::optional<std::string> Pattern::filled(std::string_view replacement, std::string_view text,
                                           const Found& found) const {
  std::string out;
  auto add_group = [&](std::size_t number) {
    const auto [begin, end] =
        number == 0 ? std::pair(found.begin, found.end) : found.groups[number - 1];
    out += text.substr(begin, end - begin);
  };
  for (std::size_t i = 0; i < replacement.size(); ++i) {
    const char c = replacement[i];
    if (c == '\\') {
      if (++i < replacement.size()) out += replacement[i];
    } else if (c != '$') {
      out += c;
    } else if (i + 1 < replacement.size() && replacement[i + 1] == '{') {
      const std::size_t close = replacement.find('}', i);
      if (close == replacement.npos || code_ == nullptr) return std::nullopt;
      const std::size_t number =
          group_number(code_->code, replacement.substr(i + 2, close - i - 2));
      if (number == 0 || number > found.groups.size()) return std::nullopt;
      add_group(number);
      i = close;
    } else {
      // As many digits as make the number of a group.
      std::optional<std::size_t> number;
      while (i + 1 < replacement.size() && replacement[i + 1] >= '0' && replacement[i + 1] <= '9') {
        const auto digit = static_cast<std::size_t>(replacement[i + 1] - '0');
        const std::size_t longer = number.value_or(0) * 10 + digit;
        if (longer > found.groups.size()) break;
        number = longer;
        ++i;
      }
      if (!number) return std::nullopt;
      add_group(*number);
    }
  }
  return out;
}

}  // namespace loftledger::standard
