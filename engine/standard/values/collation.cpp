#include "engine/standard/values/collation.hpp"

#include <algorithm>
#include <array>
#include <cstdint>
#include <vector>

#include "engine/standard/values/unicode.hpp"

namespace loftledger::standard {

namespace {

// One weight a level: which letter, which accent, which case.
struct Element {
  std::uint32_t primary = 0;  // 0: no weight of its own (accents, controls)
  std::uint16_t secondary = 0;
  std::uint16_t tertiary = 0;
};

// Spaces, punctuation, signs and currencies in the order of the Unicode root collation (CLDR 42),
// as far as western texts have them. Digits and letters follow.
constexpr std::u32string_view kSigns =
    U"\t\n\v\f\r\u0085\u2028\u2029 \u203E_\u2017-\u2012\u2013\u2014\u2015,;:!\u203C\u00A1?\u00BF."
    U"\u2025\u2026\u00B7'\u2018\u2019\u201A\u201B\u2039\u203A\"\u201C\u201D\u201E\u201F\u00AB\u00BB"
    U"()[]{}\u00A7\u00B6@*/\\&#%\u2030\u2031\u2020\u2021\u2022\u2032\u2033\u2034`\u00B4^\u00AF"
    U"\u00A8\u00B8\u00B0\u00A9\u00AE+\u00B1\u00F7\u00D7<=>\u00AC|\u00A6~\u2212\u2044";
constexpr std::u32string_view kCurrencies = U"\u00A4\u00A2$\u00A3\u00A5\u20AC";

constexpr std::uint32_t kOtherSigns = 0x1000;
constexpr std::uint32_t kMoney = 0x4000;
constexpr std::uint32_t kDigits = 0x5000;
constexpr std::uint32_t kLatin = 0x6000;
constexpr std::uint32_t kOtherLetters = 0x10000;

// Accents in the order of their weights.
constexpr std::u32string_view kAccents =
    U"\u0301\u0300\u0306\u0302\u030C\u030A\u0308\u030B\u0303\u0307\u0338\u0327\u0328\u0304";

// Letters with an accent: the plain small letter, the accent, and the small
// letters that have it.
struct Accented {
  char32_t letter;
  char32_t accent;
  std::u32string_view forms;
};
constexpr Accented kAccented[] = {
    {U'a', U'\u0301', U"\u00E1"},       {U'a', U'\u0300', U"\u00E0"},
    {U'a', U'\u0306', U"\u0103"},       {U'a', U'\u0302', U"\u00E2"},
    {U'a', U'\u030C', U"\u01CE"},       {U'a', U'\u030A', U"\u00E5"},
    {U'a', U'\u0308', U"\u00E4"},       {U'a', U'\u0303', U"\u00E3"},
    {U'a', U'\u0328', U"\u0105"},       {U'a', U'\u0304', U"\u0101"},
    {U'c', U'\u0301', U"\u0107"},       {U'c', U'\u0302', U"\u0109"},
    {U'c', U'\u030C', U"\u010D"},       {U'c', U'\u0307', U"\u010B"},
    {U'c', U'\u0327', U"\u00E7"},       {U'd', U'\u030C', U"\u010F"},
    {U'd', U'\u0338', U"\u0111\u00F0"}, {U'e', U'\u0301', U"\u00E9"},
    {U'e', U'\u0300', U"\u00E8"},       {U'e', U'\u0306', U"\u0115"},
    {U'e', U'\u0302', U"\u00EA"},       {U'e', U'\u030C', U"\u011B"},
    {U'e', U'\u0308', U"\u00EB"},       {U'e', U'\u0307', U"\u0117"},
    {U'e', U'\u0328', U"\u0119"},       {U'e', U'\u0304', U"\u0113"},
    {U'g', U'\u0306', U"\u011F"},       {U'g', U'\u0302', U"\u011D"},
    {U'g', U'\u0307', U"\u0121"},       {U'g', U'\u0327', U"\u0123"},
    {U'h', U'\u0302', U"\u0125"},       {U'h', U'\u0338', U"\u0127"},
    {U'i', U'\u0301', U"\u00ED"},       {U'i', U'\u0300', U"\u00EC"},
    {U'i', U'\u0306', U"\u012D"},       {U'i', U'\u0302', U"\u00EE"},
    {U'i', U'\u0308', U"\u00EF"},       {U'i', U'\u0303', U"\u0129"},
    {U'i', U'\u0328', U"\u012F"},       {U'i', U'\u0304', U"\u012B"},
    {U'j', U'\u0302', U"\u0135"},       {U'k', U'\u0327', U"\u0137"},
    {U'l', U'\u0301', U"\u013A"},       {U'l', U'\u030C', U"\u013E"},
    {U'l', U'\u0338', U"\u0142"},       {U'l', U'\u0327', U"\u013C"},
    {U'n', U'\u0301', U"\u0144"},       {U'n', U'\u030C', U"\u0148"},
    {U'n', U'\u0303', U"\u00F1"},       {U'n', U'\u0327', U"\u0146"},
    {U'o', U'\u0301', U"\u00F3"},       {U'o', U'\u0300', U"\u00F2"},
    {U'o', U'\u0306', U"\u014F"},       {U'o', U'\u0302', U"\u00F4"},
    {U'o', U'\u0308', U"\u00F6"},       {U'o', U'\u030B', U"\u0151"},
    {U'o', U'\u0303', U"\u00F5"},       {U'o', U'\u0338', U"\u00F8"},
    {U'o', U'\u0304', U"\u014D"},       {U'r', U'\u0301', U"\u0155"},
    {U'r', U'\u030C', U"\u0159"},       {U'r', U'\u0327', U"\u0157"},
    {U's', U'\u0301', U"\u015B"},       {U's', U'\u0302', U"\u015D"},
    {U's', U'\u030C', U"\u0161"},       {U's', U'\u0327', U"\u015F\u0219"},
    {U't', U'\u030C', U"\u0165"},       {U't', U'\u0327', U"\u0163\u021B"},
    {U'u', U'\u0301', U"\u00FA"},       {U'u', U'\u0300', U"\u00F9"},
    {U'u', U'\u0306', U"\u016D"},       {U'u', U'\u0302', U"\u00FB"},
    {U'u', U'\u030A', U"\u016F"},       {U'u', U'\u0308', U"\u00FC"},
    {U'u', U'\u030B', U"\u0171"},       {U'u', U'\u0303', U"\u0169"},
    {U'u', U'\u0328', U"\u0173"},       {U'u', U'\u0304', U"\u016B"},
    {U'w', U'\u0302', U"\u0175"},       {U'y', U'\u0301', U"\u00FD"},
    {U'y', U'\u0302', U"\u0177"},       {U'y', U'\u0308', U"\u00FF"},
    {U'z', U'\u0301', U"\u017A"},       {U'z', U'\u030C', U"\u017E"},
    {U'z', U'\u0307', U"\u017C"},
};

// Letters that are ordered as two.
struct Joined {
  char32_t letter;
  std::u32string_view parts;
};
constexpr Joined kJoined[] = {
    {U'\u00E6', U"ae"}, {U'\u0153', U"oe"}, {U'\u00DF', U"ss"},
    {U'\u00FE', U"th"}, {U'\u0133', U"ij"},
};

constexpr std::uint16_t kCapital = 8;
constexpr std::uint16_t kJoinedMark = 200;

std::uint32_t place(std::u32string_view list, char32_t point) {
  const std::size_t at = list.find(point);
  return at == list.npos ? 0 : static_cast<std::uint32_t>(at + 1);
}

Element ascii_element(char32_t point) {
  if (point >= 'a' && point <= 'z') return {kLatin + (point - 'a') * 16, 0, 0};
  if (point >= 'A' && point <= 'Z') return {kLatin + (point - 'A') * 16, 0, kCapital};
  if (point >= '0' && point <= '9') return {kDigits + (point - '0'), 0, 0};
  if (point == '$') return {kMoney + place(kCurrencies, point), 0, 0};
  return {place(kSigns, point), 0, 0};
}

constexpr std::size_t kAscii = 128;

const std::array<Element, kAscii>& ascii_elements() {
  static const std::array<Element, kAscii> table = [] {
    std::array<Element, kAscii> out;
    for (char32_t c = 0; c < kAscii; ++c) out[c] = ascii_element(c);
    return out;
  }();
  return table;
}

void add_elements(char32_t point, std::vector<Element>& out) {
  if (point < kAscii) {
    out.push_back(ascii_elements()[point]);
    return;
  }
  if (point == 0xA0) {
    out.push_back(ascii_elements()[' ']);
    return;
  }
  if (point == 0xAD || (point >= 0x80 && point <= 0x9F && point != 0x85)) {
    out.push_back({});
    return;
  }
  const char32_t small = lower(point);
  const std::uint16_t capital = small == point ? 0 : kCapital;
  for (const Accented& each : kAccented) {
    if (each.forms.find(small) == each.forms.npos) continue;
    Element letter = ascii_elements()[each.letter];
    letter.secondary = static_cast<std::uint16_t>(place(kAccents, each.accent));
    letter.tertiary = capital;
    out.push_back(letter);
    return;
  }
  for (const Joined& each : kJoined) {
    if (each.letter != small) continue;
    for (char32_t part : each.parts) {
      Element letter = ascii_elements()[part];
      letter.secondary = kJoinedMark;
      letter.tertiary = capital;
      out.push_back(letter);
    }
    return;
  }
  if (const std::uint32_t accent = place(kAccents, point)) {
    out.push_back({0, static_cast<std::uint16_t>(accent), 0});
  } else if (const std::uint32_t sign = place(kSigns, point)) {
    out.push_back({sign, 0, 0});
  } else if (const std::uint32_t money = place(kCurrencies, point)) {
    out.push_back({kMoney + money, 0, 0});
  } else if (small == 0x131) {  // the dotless i stands between i and j
    out.push_back({ascii_elements()['i'].primary + 1, 0, capital});
  } else if (small == 0x14B) {  // eng, after n
    out.push_back({ascii_elements()['n'].primary + 1, 0, capital});
  } else if (is_letter(point)) {
    out.push_back({kOtherLetters + small, 0, capital});
  } else {
    out.push_back({std::min<std::uint32_t>(kOtherSigns + point, kMoney - 1), 0, 0});
  }
}

std::vector<Element> elements(std::string_view text) {
  std::vector<Element> out;
  out.reserve(text.size());
  for (std::size_t i = 0; i < text.size();) add_elements(decode(text, i), out);
  return out;
}

// Compares one level, passing over the elements that have no weight there.
template <class Weight>
std::weak_ordering level(const std::vector<Element>& a, const std::vector<Element>& b,
                         Weight weight, bool all) {
  std::size_t i = 0;
  std::size_t k = 0;
  auto skip = [&](const std::vector<Element>& list, std::size_t& at) {
    while (!all && at < list.size() && list[at].primary == 0) ++at;
  };
  for (;; ++i, ++k) {
    skip(a, i);
    skip(b, k);
    if (i >= a.size() || k >= b.size()) {
      return (i < a.size() ? 1 : 0) <=> (k < b.size() ? 1 : 0);
    }
    if (const auto order = weight(a[i]) <=> weight(b[k]); order != 0) return order;
  }
}

bool plain_ascii(std::string_view text) {
  return std::all_of(text.begin(), text.end(), [](char c) {
    const auto byte = static_cast<unsigned char>(c);
    return byte >= 0x20 && byte < 0x7F;
  });
}

std::weak_ordering compare_ascii(std::string_view a, std::string_view b, bool case_sensitive) {
  const auto& table = ascii_elements();
  std::weak_ordering by_case = std::weak_ordering::equivalent;
  const std::size_t shared = std::min(a.size(), b.size());
  for (std::size_t i = 0; i < shared; ++i) {
    if (a[i] == b[i]) continue;
    const Element& x = table[static_cast<unsigned char>(a[i])];
    const Element& y = table[static_cast<unsigned char>(b[i])];
    if (x.primary != y.primary) return x.primary <=> y.primary;
    if (by_case == 0) by_case = x.tertiary <=> y.tertiary;
  }
  if (a.size() != b.size()) return a.size() <=> b.size();
  return case_sensitive ? by_case : std::weak_ordering::equivalent;
}

std::string mapped(std::string_view text, char32_t (*change)(char32_t)) {
  std::string out;
  out.reserve(text.size());
  for (std::size_t i = 0; i < text.size();) append(out, change(decode(text, i)));
  return out;
}

}  // namespace

std::weak_ordering compare_texts(std::string_view a, std::string_view b, bool case_sensitive) {
  if (plain_ascii(a) && plain_ascii(b)) return compare_ascii(a, b, case_sensitive);
  // Equality is that of the capital letters, whatever the order says.
  const std::string x = case_sensitive ? std::string(a) : upper_case(a);
  const std::string y = case_sensitive ? std::string(b) : upper_case(b);
  if (x == y) return std::weak_ordering::equivalent;
  const std::vector<Element> first = elements(a);
  const std::vector<Element> second = elements(b);
  auto primary = [](const Element& e) { return e.primary; };
  auto secondary = [](const Element& e) { return e.secondary; };
  auto tertiary = [](const Element& e) { return e.tertiary; };
  if (const auto order = level(first, second, primary, false); order != 0) return order;
  if (const auto order = level(first, second, secondary, true); order != 0) return order;
  if (const auto order = level(first, second, tertiary, false); order != 0 && case_sensitive) {
    return order;
  }
  return x <=> y;
}

std::string lower_case(std::string_view text) {
  std::string out;
  out.reserve(text.size());
  bool after_letter = false;
  for (std::size_t i = 0; i < text.size();) {
    const char32_t point = decode(text, i);
    if (point == 0x3A3 && after_letter) {
      // A sigma that ends a word has a shape of its own.
      std::size_t next = i;
      const bool ends = next >= text.size() || !is_letter(decode(text, next));
      append(out, ends ? 0x3C2 : 0x3C3);
    } else {
      append(out, lower(point));
    }
    after_letter = is_letter(point);
  }
  return out;
}

std::string upper_case(std::string_view text) { return mapped(text, upper); }

}  // namespace loftledger::standard
