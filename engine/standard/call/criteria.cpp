#include "engine/standard/call/criteria.hpp"

#include <algorithm>

#include "engine/base/ascii.hpp"
#include "engine/standard/call/call.hpp"
#include "engine/standard/values/arithmetic.hpp"
#include "engine/standard/values/collation.hpp"
#include "engine/standard/values/text_number.hpp"

namespace loftledger::standard {

namespace {

bool plain_ascii(std::string_view text) {
  return std::all_of(text.begin(), text.end(),
                     [](char c) { return static_cast<unsigned char>(c) < 0x80; });
}

bool same_text(std::string_view a, std::string_view b) {
  if (plain_ascii(a) && plain_ascii(b)) return ascii::same_but_case(a, b);
  return upper_case(a) == upper_case(b);
}

// What a text search sees of a cell.
std::string searched(const Value& cell) {
  return cell.is_error() ? shown(cell.code()) : to_text(cell);
}

}  // namespace

bool may_be_pattern(std::string_view text, Search search) {
  switch (search) {
    case Search::plain:
      return false;
    case Search::wildcards:
      return text.find_first_of("*?~") != text.npos;
    case Search::regular:
      break;
  }
  // One operator alone, other than the dot, is no expression.
  if (text.size() == 1) return text == ".";
  return text.find_first_of("?*+.[]^$\\<>()|") != text.npos;
}

Criterion::Operator Criterion::read_operator(std::string_view& text) {
  struct Spelling {
    std::string_view text;
    Operator meaning;
  };
  constexpr Spelling kSpellings[] = {
      {"<>", Operator::unequal}, {"<=", Operator::less_equal}, {">=", Operator::greater_equal},
      {"<", Operator::less},     {">", Operator::greater},     {"=", Operator::equal},
  };
  for (const Spelling& each : kSpellings) {
    if (!text.starts_with(each.text)) continue;
    text.remove_prefix(each.text.size());
    only_empty_ = text.empty() && (each.text == "=" || each.text == "<>");
    return each.meaning;
  }
  return Operator::equal;
}

void Criterion::search_text(std::string_view text, const sheet::Settings& settings) {
  text_ = text;
  const Search search = search_of(settings);
  // Wildcards are for equality alone, and so is part of a cell.
  const bool equality = operator_ == Operator::equal || operator_ == Operator::unequal;
  if (!equality) return;
  if (may_be_pattern(text, search)) {
    pattern_ = Pattern::make(text, search, false);
    broken_ = !pattern_;
  } else if (!whole_) {
    pattern_ = Pattern::make(text, Search::plain, false);
  }
}

Criterion Criterion::read(const Value& criterion, const sheet::Settings& settings) {
  Criterion out;
  out.whole_ = settings.whole_cell;
  if (!criterion.is_text()) {
    out.number_ = criterion.number();
    return out;
  }
  std::string_view text = criterion.text();
  out.operator_ = out.read_operator(text);
  if (out.only_empty_) return out;
  if (const auto read = read_typed(text, settings)) {
    out.number_ = read->value;
  }
  out.search_text(text, settings);
  return out;
}

Criterion Criterion::lookup(const Value& sought, const sheet::Settings& settings) {
  Criterion out;
  out.whole_ = settings.whole_cell;
  if (sought.is_text()) {
    out.search_text(sought.text(), settings);
  } else {
    out.number_ = sought.number();
  }
  return out;
}

bool Criterion::text_equals(std::string_view text) const {
  if (broken_) return false;
  // No part of a cell is empty.
  if (text_.empty()) return text.empty() && whole_;
  if (pattern_) return pattern_->matches(text, whole_);
  return same_text(text, text_);
}

bool Criterion::equals(const Value& cell) const {
  if (only_empty_) return cell.is_empty();
  if (number_) {
    if (cell.is_numeric()) return nearly_equal(cell.number(), *number_);
    return cell.is_text() && !text_.empty() && text_equals(cell.text());
  }
  if (cell.is_empty()) return text_.empty();
  if (cell.is_text()) return text_equals(cell.text());
  return !text_.empty() && text_equals(searched(cell));
}

bool Criterion::matches(const Value& cell) const {
  if (operator_ == Operator::equal) return equals(cell);
  if (operator_ == Operator::unequal) return !equals(cell);
  std::weak_ordering order = std::weak_ordering::equivalent;
  if (number_) {
    if (!cell.is_numeric()) return false;
    if (!nearly_equal(cell.number(), *number_)) {
      order = cell.number() < *number_ ? std::weak_ordering::less : std::weak_ordering::greater;
    }
  } else {
    if (!cell.is_text()) return false;
    order = compare_texts(cell.text(), text_, false);
  }
  switch (operator_) {
    case Operator::less:
      return order < 0;
    case Operator::less_equal:
      return order <= 0;
    case Operator::greater:
      return order > 0;
    default:
      return order >= 0;
  }
}

}  // namespace loftledger::standard
