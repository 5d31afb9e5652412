#include "tests/differential/differences.hpp"

#include <algorithm>
#include <cmath>
#include <string>
#include <string_view>

#include "engine/base/ascii.hpp"
#include "engine/base/number_text.hpp"

namespace loftledger::differential {

namespace {

bool of_number(char c) { return ascii::is_digit(c) || c == '.'; }

std::string_view after_number(std::string_view text) {
  return text.substr(
      static_cast<std::size_t>(std::ranges::find_if_not(text, of_number) - text.begin()));
}

}  // namespace

bool both_numbers(const Value& office, const Value& engine) {
  return office.is_numeric() && engine.is_numeric();
}

bool both_texts(const Value& office, const Value& engine) {
  return office.is_text() && engine.is_text();
}

bool near(const Value& office, const Value& engine, double relative) {
  if (!both_numbers(office, engine)) {
    return same_digits(office, engine, static_cast<std::size_t>(-std::log10(relative)));
  }
  return std::fabs(office.number() - engine.number()) <= relative * std::fabs(engine.number());
}

bool same_digits(const Value& office, const Value& engine, std::size_t digits) {
  if (!both_texts(office, engine)) return false;
  const std::string_view a = office.text();
  const std::string_view b = engine.text();
  const auto shared = static_cast<std::size_t>(std::ranges::mismatch(a, b).in1 - a.begin());
  std::size_t same = 0;
  for (std::size_t at = shared; at > 0 && of_number(a[at - 1]); --at)
    same += ascii::is_digit(a[at - 1]);
  return same >= digits && after_number(a.substr(shared)) == after_number(b.substr(shared));
}

bool texts_near(std::string_view office, std::string_view engine, double relative) {
  while (!office.empty() && !engine.empty()) {
    if (!of_number(office.front()) || !of_number(engine.front())) {
      if (office.front() != engine.front()) return false;
      office.remove_prefix(1);
      engine.remove_prefix(1);
      continue;
    }
    const std::string_view office_rest = after_number(office);
    const std::string_view engine_rest = after_number(engine);
    const double a = read_number(office.substr(0, office.size() - office_rest.size())).value_or(0);
    const double b = read_number(engine.substr(0, engine.size() - engine_rest.size())).value_or(0);
    if (std::fabs(a - b) > relative * std::fabs(b)) return false;
    office = office_rest;
    engine = engine_rest;
  }
  return office.empty() && engine.empty();
}

bool without_controls(const Value& office, const Value& engine) {
  if (!both_texts(office, engine) && !(office.is_empty() && engine.is_text())) return false;
  std::string kept(engine.text());
  std::erase_if(kept, [](char c) { return c >= 0 && c < ' ' && c != '\t' && c != '\n'; });
  return kept.size() < engine.text().size() && kept == (office.is_text() ? office.text() : "");
}

}  // namespace loftledger::differential
