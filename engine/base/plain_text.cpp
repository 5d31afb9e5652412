#include "engine/base/plain_text.hpp"

namespace loftledger {

namespace {

// The marks of typography that mean the same as a plain one.
struct Alias {
  std::string_view written;
  std::string_view plain;
};
constexpr Alias kAliases[] = {
    {"\u00A0", " "},     {"\u202F", " "},      {"\u2007", " "},     {"\u2009", " "},
    {"\t", " "},         {"\n", " "},          {"\r", " "},         {"\u2212", "-"},
    {"\u2010", "-"},     {"\u2011", "-"},      {"\u2012", "-"},     {"\u2013", "-"},
    {"\u2014", "-"},     {"\u2044", "/"},      {"\u00B2", "2"},     {"\u00B3", "3"},
    {"\u2033", "\""},    {"\u201D", "\""},     {"\u2032", "'"},     {"\u2019", "'"},
    {"\u00BC", " 1/4 "}, {"\u00BD", " 1/2 "},  {"\u00BE", " 3/4 "}, {"\u2150", " 1/7 "},
    {"\u2151", " 1/9 "}, {"\u2152", " 1/10 "}, {"\u2153", " 1/3 "}, {"\u2154", " 2/3 "},
    {"\u2155", " 1/5 "}, {"\u2156", " 2/5 "},  {"\u2157", " 3/5 "}, {"\u2158", " 4/5 "},
    {"\u2159", " 1/6 "}, {"\u215A", " 5/6 "},  {"\u215B", " 1/8 "}, {"\u215C", " 3/8 "},
    {"\u215D", " 5/8 "}, {"\u215E", " 7/8 "},
};

}  // namespace

std::string plain(std::string_view text) {
  std::string out;
  auto add = [&out](char c) {
    if (c != ' ' || (!out.empty() && out.back() != ' ')) out += c;
  };
  while (!text.empty()) {
    const Alias* found = nullptr;
    if (text[0] < ' ' || static_cast<unsigned char>(text[0]) >= 0x80) {
      for (const Alias& each : kAliases) {
        if (text.starts_with(each.written)) found = &each;
      }
    }
    if (found == nullptr) {
      add(text[0]);
      text.remove_prefix(1);
    } else {
      for (char c : found->plain) add(c);
      text.remove_prefix(found->written.size());
    }
  }
  if (!out.empty() && out.back() == ' ') out.pop_back();
  return out;
}

}  // namespace loftledger
