// Text functions: parts of texts, searching and replacing, joining, case. Positions and lengths
// count code points, as the office counts them. Arguments are read from the last to the first, as
// there: of several errors, the one that is met first shows.
#include <algorithm>
#include <array>
#include <optional>
#include <vector>

#include "engine/standard/call/criteria.hpp"
#include "engine/standard/text/functions.hpp"
#include "engine/standard/values/collation.hpp"
#include "engine/standard/values/pattern.hpp"
#include "engine/standard/values/unicode.hpp"

namespace loftledger::standard {

namespace {

// The longest text that a formula may make, in bytes.
constexpr std::size_t kLongestText = 0x0FFFFFFF;

Operand text_or_failure(const Call& call, std::string text) {
  if (call.failed()) return call.failure();
  if (text.size() > kLongestText) return Code::text_too_long;
  return Operand::text(std::move(text));
}

// Cut towards zero, but a part of -1 is negative all the same.
std::int64_t whole_number(Call& call, std::size_t index) {
  const std::int64_t whole = call.whole(index);
  return whole == 0 && call.number(index) < 0 ? -1 : whole;
}

// A length or a position; below `least` an error.
std::size_t position(Call& call, std::size_t index, std::int64_t least) {
  const std::int64_t whole = whole_number(call, index);
  if (whole < least) {
    call.reject(index, Code::argument);
    return static_cast<std::size_t>(least);
  }
  return static_cast<std::size_t>(whole);
}

// Where to begin, from 1 on: anything else that is wrong shows before a 0.
std::size_t beginning(Call& call, std::size_t index) {
  const std::int64_t whole = call.whole(index);
  if (whole < 0) call.reject(index, Code::argument);
  if (whole < 1) call.refuse(index, Code::argument);
  return static_cast<std::size_t>(std::max<std::int64_t>(whole, 1));
}

// The number of characters to take; 1 where the argument is not there at all, 0 where it is empty.
std::size_t taken(Call& call, std::size_t index) {
  if (call.count() <= index) return 1;
  // Unlike other positions, this one is looked at before the text is read.
  const std::int64_t whole = whole_number(call, index);
  if (whole < 0) call.fail(Code::argument);
  return static_cast<std::size_t>(std::max<std::int64_t>(whole, 0));
}

// --- Parts

Operand left(Call& call) {
  const std::size_t count = taken(call, 1);
  const std::string text = call.text(0);
  return text_or_failure(call, std::string(slice(text, 0, count)));
}

Operand right(Call& call) {
  const std::size_t most = taken(call, 1);
  const std::string text = call.text(0);
  const std::size_t count = std::min(most, length(text));
  return text_or_failure(call, std::string(slice(text, length(text) - count, count)));
}

Operand mid(Call& call) {
  const std::size_t count = position(call, 2, 0);
  const std::size_t start = beginning(call, 1);
  const std::string text = call.text(0);
  return text_or_failure(call, std::string(slice(text, start - 1, count)));
}

Operand text_length(Call& call) {
  const std::string text = call.text(0);
  return call.finish(static_cast<double>(length(text)));
}

Operand replace(Call& call) {
  const std::string fresh = call.text(3);
  const std::size_t count = position(call, 2, 0);
  const std::size_t start = beginning(call, 1);
  std::string text = call.text(0);
  const std::size_t begin = byte_of(text, start - 1);
  const std::size_t end = begin + byte_of(std::string_view(text).substr(begin), count);
  text.replace(begin, end - begin, fresh);
  return text_or_failure(call, std::move(text));
}

// --- Parts counted in bytes of a double-byte encoding: ideographs and their like count two

constexpr char16_t kHighHalves = 0xD800;
constexpr char16_t kLowHalves = 0xDC00;

bool wide(char32_t point) {
  struct Block {
    char32_t first;
    char32_t last;
  };
  constexpr Block kWide[] = {{0x1100, 0x11FF}, {0x2E80, 0xA4CF},  {0xAC00, 0xD7AF},
                             {0xF900, 0xFAFF}, {0xFE30, 0xFE4F},  {0xFF01, 0xFF60},
                             {0xFFE0, 0xFFE6}, {0x20000, 0x3FFFF}};
  return std::any_of(std::begin(kWide), std::end(kWide), [point](const Block& block) {
    return point >= block.first && point <= block.last;
  });
}

// What a character counts. One beyond the basic plane is two halves, and each counts as wide.
using Weight = std::size_t (*)(char32_t);
std::size_t one(char32_t) { return 1; }
std::size_t in_bytes(char32_t point) {
  if (point > 0xFFFF) return 4;
  return wide(point) ? 2 : 1;
}

std::size_t measured(std::string_view text, Weight weight) {
  std::size_t sum = 0;
  for (std::size_t i = 0; i < text.size();) sum += weight(decode(text, i));
  return sum;
}

std::size_t width(std::string_view text) { return measured(text, in_bytes); }

// The code units of UTF-16, each of which counts by itself.
std::u16string units_of(std::string_view text) {
  constexpr char32_t kPlane = 0x10000;
  constexpr unsigned kHalfBits = 10;
  std::u16string out;
  for (std::size_t i = 0; i < text.size();) {
    const char32_t point = decode(text, i);
    if (point < kPlane) {
      out += static_cast<char16_t>(point);
      continue;
    }
    out += static_cast<char16_t>(kHighHalves + ((point - kPlane) >> kHalfBits));
    out += static_cast<char16_t>(kLowHalves + ((point - kPlane) & ((1U << kHalfBits) - 1)));
  }
  return out;
}

bool high_half(char16_t unit) { return unit >= kHighHalves && unit < kLowHalves; }
bool low_half(char16_t unit) { return unit >= kLowHalves && unit < kLowHalves + 0x400; }

std::size_t width(char16_t unit) { return high_half(unit) || low_half(unit) || wide(unit) ? 2 : 1; }

std::size_t width(std::u16string_view units) {
  std::size_t sum = 0;
  for (const char16_t unit : units) sum += width(unit);
  return sum;
}

// Half of a pair alone is nothing that a text can hold.
std::string text_of(std::u16string_view units) {
  std::string out;
  for (std::size_t i = 0; i < units.size(); ++i) {
    const char16_t unit = units[i];
    if (high_half(unit) && i + 1 < units.size() && low_half(units[i + 1])) {
      append(out, 0x10000 + ((static_cast<char32_t>(unit) - kHighHalves) << 10) +
                      (units[++i] - kLowHalves));
    } else if (!high_half(unit) && !low_half(unit)) {
      append(out, unit);
    }
  }
  return out;
}

// `count` bytes from `first` on; half a wide unit becomes a space.
std::u16string byte_slice(std::u16string_view units, std::size_t first, std::size_t count) {
  std::u16string out;
  const std::size_t last = first + count;
  std::size_t at = 0;
  for (const char16_t unit : units) {
    const std::size_t next = at + width(unit);
    if (at >= first && next <= last) {
      out += unit;
    } else if (next > first && at < last) {
      out += u' ';
    }
    at = next;
  }
  return out;
}

std::string byte_slice(std::string_view text, std::size_t first, std::size_t count) {
  return text_of(byte_slice(units_of(text), first, count));
}

Operand left_bytes(Call& call) {
  const std::size_t count = taken(call, 1);
  const std::string text = call.text(0);
  return text_or_failure(call, byte_slice(text, 0, count));
}

Operand right_bytes(Call& call) {
  const std::size_t most = taken(call, 1);
  const std::string text = call.text(0);
  const std::size_t count = std::min(most, width(text));
  return text_or_failure(call, byte_slice(text, width(text) - count, count));
}

Operand mid_bytes(Call& call) {
  const std::size_t count = position(call, 2, 0);
  const std::size_t start = beginning(call, 1);
  const std::u16string text = units_of(call.text(0));
  // What comes before the end, and of that what comes behind the start: where the end cuts a
  // character, a space has taken its place.
  const std::u16string before = byte_slice(text, 0, start - 1 + count);
  return text_or_failure(call, text_of(byte_slice(before, start - 1, width(before))));
}

Operand length_bytes(Call& call) {
  const std::string text = call.text(0);
  return call.finish(static_cast<double>(width(text)));
}

Operand replace_bytes(Call& call) {
  const std::string fresh = call.text(3);
  const std::size_t count = position(call, 2, 0);
  const std::size_t start = beginning(call, 1);
  const std::string text = call.text(0);
  const std::size_t all = width(text);
  const std::size_t begin = start - 1;
  const std::size_t end = begin + count;
  if (!call.failed() && (begin >= all || end > all)) {
    return Error(Code::argument, "REPLACEB: the bytes lie beyond the text's end");
  }
  return text_or_failure(call,
                         byte_slice(text, 0, begin) + fresh + byte_slice(text, end, all - end));
}

// --- Searching

// Where a text stands in another: its place in what `weight` counts, from 1 on.
Operand place_of(const Call& call, std::string_view text, std::size_t byte, Weight weight) {
  return call.finish(static_cast<double>(measured(text.substr(0, byte), weight) + 1));
}

// The byte at which the search begins; nothing where the start lies past the end.
std::optional<std::size_t> start_byte(std::string_view text, std::size_t start, Weight weight) {
  std::size_t byte = 0;
  std::size_t passed = 1;
  while (passed < start) {
    if (byte >= text.size()) return std::nullopt;
    passed += weight(decode(text, byte));
  }
  return byte;
}

Operand not_found(const Call& call, std::string_view sought, std::string_view text) {
  return Error(Code::value, std::string(call.name()) + ": \"" + std::string(slice(sought, 0, 40)) +
                                "\" is not in \"" + std::string(slice(text, 0, 40)) + "\"");
}

Operand find_by(Call& call, Weight weight, Code outside) {
  const std::int64_t start = call.count() > 2 ? call.whole(2) : 1;
  // FINDB asks before it reads the text.
  if (outside == Code::argument && !call.failed() && start < 1) return outside;
  const std::string text = call.text(1);
  if (!call.failed() && start < 1) return outside;
  // Past the end of the text there is nothing to look for.
  if (!call.failed() && outside == Code::value &&
      static_cast<std::size_t>(start) > measured(text, weight)) {
    return Error(Code::value, "FIND: the place lies beyond the end of the text", 2);
  }
  const std::string sought = call.text(0);
  if (call.failed()) return call.failure();
  if (sought.empty()) return Code::value;
  const auto from = start_byte(text, static_cast<std::size_t>(start), weight);
  if (outside != Code::value &&
      (!from ||
       measured(text, weight) + 1 < measured(sought, weight) + static_cast<std::size_t>(start))) {
    return outside;
  }
  const std::size_t at = from ? text.find(sought, *from) : text.npos;
  if (at == text.npos) return not_found(call, sought, text);
  return place_of(call, text, at, weight);
}

Operand find(Call& call) { return find_by(call, one, Code::value); }
Operand find_bytes(Call& call) { return find_by(call, in_bytes, Code::argument); }

Operand search_by(Call& call, Weight weight) {
  const std::size_t start = call.count() > 2 ? position(call, 2, 1) : 1;
  const std::string text = call.text(1);
  const std::string sought = call.text(0);
  if (call.failed()) return call.failure();
  const auto from = start_byte(text, start, weight);
  if (!from || *from >= text.size() || sought.empty()) return not_found(call, sought, text);
  Search way = search_of(call.settings());
  if (!may_be_pattern(sought, way)) way = Search::plain;
  const auto pattern = Pattern::make(sought, way, false);
  const auto found = pattern ? pattern->find_something(text, *from) : std::nullopt;
  if (!found) return not_found(call, sought, text);
  return place_of(call, text, found->begin, weight);
}

Operand search(Call& call) { return search_by(call, one); }
Operand search_bytes(Call& call) { return search_by(call, in_bytes); }

Operand substitute(Call& call) {
  // 0 stands for every occurrence.
  const std::size_t only = call.count() > 3 ? position(call, 3, 1) : 0;
  const std::string fresh = call.text(2);
  const std::string old = call.text(1);
  const std::string text = call.text(0);
  if (call.failed()) return call.failure();
  if (old.empty()) return Operand::text(text);
  std::string out;
  std::size_t done = 0;
  std::size_t seen = 0;
  for (std::size_t at = text.find(old); at != text.npos; at = text.find(old, at + old.size())) {
    if (only != 0 && ++seen != only) continue;
    out.append(text, done, at - done);
    out += fresh;
    done = at + old.size();
    if (only != 0 || out.size() > kLongestText) break;
  }
  out.append(text, done);
  return text_or_failure(call, std::move(out));
}

// --- Regular expressions

// What REGEX is asked for: one occurrence, or all of them ("g").
struct Wanted {
  bool all = false;
  std::int64_t occurrence = 1;
};

Wanted read_wanted(Call& call) {
  Wanted out;
  if (!call.given(3)) return out;
  const Value flags = call.scalar(3);
  if (flags.is_empty()) return out;
  if (flags.is_text()) {
    if (flags.text() == "g") {
      out.all = true;
    } else if (!flags.text().empty()) {
      call.fail(Error(Code::argument, "REGEX: the only letter for flags is \"g\""));
    }
    return out;
  }
  out.occurrence = call.whole(3);
  if (out.occurrence < 0) call.fail(Code::argument);
  return out;
}

Operand regex(Call& call) {
  const std::string text = call.text(0);
  const std::string expression = call.text(1);
  const Wanted wanted = read_wanted(call);
  const bool replacing = call.given(2);
  const std::string replacement = replacing ? call.text(2) : std::string();
  if (call.failed()) return call.failure();
  if (!wanted.all && wanted.occurrence == 0) return Operand::text(text);
  const auto pattern = Pattern::expression(expression);
  if (!pattern) {
    return Error(Code::argument, "REGEX: \"" + expression + "\" is no regular expression", 1);
  }
  std::string out;
  std::size_t done = 0;
  std::int64_t seen = 0;
  for (std::size_t from = 0; from <= text.size();) {
    bool gave_up = false;
    const auto found = pattern->find(text, from, &gave_up);
    if (gave_up) return Error(Code::argument, "REGEX: the search takes too many steps", 1);
    if (!found) break;
    const bool chosen = wanted.all || ++seen == wanted.occurrence;
    if (chosen && !replacing)
      return Operand::text(text.substr(found->begin, found->end - found->begin));
    if (chosen) {
      const auto fresh = pattern->filled(replacement, text, *found);
      if (!fresh) return Code::argument;
      out.append(text, done, found->begin - done);
      out += *fresh;
      done = found->end;
      if (!wanted.all) break;
    }
    from = found->end;
    if (found->begin == found->end) {
      // An empty match: go on behind the next character.
      if (from >= text.size()) break;
      decode(text, from);
    }
  }
  if (!replacing) return Error(Code::not_available, "REGEX: the expression matches nothing");
  out.append(text, done);
  return text_or_failure(call, std::move(out));
}

// --- Joining

Operand concatenate(Call& call) {
  std::string out;
  for (std::size_t i = 0; i < call.count() && !call.failed() && out.size() <= kLongestText; ++i) {
    out += call.text(i);
  }
  return text_or_failure(call, std::move(out));
}

// Visits what CONCAT and TEXTJOIN join, row by row, empty cells as empty texts.
void joined_values(Call& call, std::size_t index, FunctionRef<void(const Value&)> visit) {
  if (call[index].kind == Operand::Kind::areas) {
    for (const Area& area : *call[index].areas) {
      const std::array part{Operand(area)};
      Call inner(call.function(), part, call.cells(), call.here(), true);
      joined_values(inner, 0, visit);
      if (inner.failed()) call.fail(inner.failure().value);
    }
    return;
  }
  const Matrix matrix = call.matrix(index);
  for (const Value& value : matrix.cells()) {
    if (value.is_error()) call.fail(value);
    visit(value);
  }
}

Operand concat(Call& call) {
  std::string out;
  for (std::size_t i = 0; i < call.count() && !call.failed(); ++i) {
    joined_values(call, i, [&](const Value& value) {
      if (out.size() <= kLongestText) out += to_text(value);
    });
  }
  return text_or_failure(call, std::move(out));
}

Operand text_join(Call& call) {
  const bool skip_empty = call.truth(1);
  std::vector<std::string> between;
  joined_values(call, 0, [&](const Value& value) { between.push_back(to_text(value)); });
  std::string out;
  std::size_t joined = 0;
  for (std::size_t i = 2; i < call.count() && !call.failed(); ++i) {
    joined_values(call, i, [&](const Value& value) {
      const std::string text = to_text(value);
      if ((skip_empty && text.empty()) || out.size() > kLongestText) return;
      if (joined > 0 && !between.empty()) out += between[(joined - 1) % between.size()];
      out += text;
      ++joined;
    });
  }
  return text_or_failure(call, std::move(out));
}

Operand repeat(Call& call) {
  const std::size_t times = position(call, 1, 0);
  const std::string text = call.text(0);
  if (call.failed()) return call.failure();
  if (!text.empty() && times > kLongestText / text.size()) return Code::text_too_long;
  std::string out;
  out.reserve(text.size() * times);
  for (std::size_t i = 0; i < times && !text.empty(); ++i) out += text;
  return Operand::text(std::move(out));
}

// --- Case and cleaning

Operand lower_text(Call& call) { return text_or_failure(call, lower_case(call.text(0))); }
Operand upper_text(Call& call) { return text_or_failure(call, upper_case(call.text(0))); }

Operand proper(Call& call) {
  const std::string text = call.text(0);
  std::string out;
  bool inside = false;
  for (std::size_t i = 0; i < text.size();) {
    const char32_t point = decode(text, i);
    append(out, inside ? lower(point) : upper(point));
    inside = is_letter(point);
  }
  return text_or_failure(call, std::move(out));
}

Operand trim(Call& call) {
  const std::string text = call.text(0);
  std::string out;
  for (char c : text) {
    if (c == ' ' && (out.empty() || out.back() == ' ')) continue;
    out += c;
  }
  if (!out.empty() && out.back() == ' ') out.pop_back();
  return text_or_failure(call, std::move(out));
}

bool printable(char32_t point) { return point >= 0x20 && (point < 0x7F || point >= 0xA0); }

Operand clean(Call& call) {
  const std::string text = call.text(0);
  std::string out;
  for (std::size_t i = 0; i < text.size();) {
    const char32_t point = decode(text, i);
    if (printable(point)) append(out, point);
  }
  return text_or_failure(call, std::move(out));
}

Operand exact(Call& call) {
  const std::string b = call.text(1);
  const std::string a = call.text(0);
  return call.failed() ? call.failure() : Operand::truth(a == b);
}

// The text of a text, nothing of anything else.
Operand only_text(Call& call) {
  const Value value = call.scalar(0);
  return text_or_failure(call, std::string(value.text()));
}

constexpr StandardFunction kFunctions[] = {
    {"CLEAN", clean, 1, 1, "v", Group::medium},
    {"COM.MICROSOFT.CONCAT", concat, 0, -1, "r"},
    {"COM.MICROSOFT.TEXTJOIN", text_join, 3, -1, "rvr"},
    {"CONCATENATE", concatenate, 0, -1, "v", Group::medium},
    {"EXACT", exact, 2, 2, "v", Group::small},
    {"FIND", find, 2, 3, "v", Group::small},
    {"FINDB", find_bytes, 2, 3, "v", Group::large},
    {"LEFT", left, 1, 2, "v", Group::small},
    {"LEFTB", left_bytes, 1, 2, "v", Group::large},
    {"LEN", text_length, 1, 1, "v", Group::small},
    {"LENB", length_bytes, 1, 1, "v", Group::large, false, 1, Counting::last},
    {"LOWER", lower_text, 1, 1, "v", Group::small},
    {"MID", mid, 3, 3, "v", Group::small},
    {"MIDB", mid_bytes, 3, 3, "v", Group::large},
    {"ORG.LIBREOFFICE.REGEX", regex, 2, 4, "v"},
    {"PROPER", proper, 1, 1, "v", Group::small},
    {"REPLACE", replace, 4, 4, "v", Group::small},
    {"REPLACEB", replace_bytes, 4, 4, "v", Group::large},
    {"REPT", repeat, 2, 2, "v", Group::small},
    {"RIGHT", right, 1, 2, "v", Group::small},
    {"RIGHTB", right_bytes, 1, 2, "v", Group::large},
    {"SEARCH", search, 2, 3, "v", Group::large},
    {"SEARCHB", search_bytes, 2, 3, "v", Group::large},
    {"SUBSTITUTE", substitute, 3, 4, "v", Group::small},
    {"T", only_text, 1, 1, "v", Group::small},
    {"TRIM", trim, 1, 1, "v", Group::small},
    {"UPPER", upper_text, 1, 1, "v", Group::small},
};

}  // namespace

StandardFunctions text_functions() { return kFunctions; }

}  // namespace loftledger::standard
