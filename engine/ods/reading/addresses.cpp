#include "engine/ods/reading/addresses.hpp"

#include <algorithm>
#include <charconv>
#include <optional>

#include "engine/base/address.hpp"

namespace loftledger::ods {

namespace {

// The place of the first such character outside quotes.
std::size_t find_outside_quotes(std::string_view text, char wanted) {
  bool quoted = false;
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (text[i] == '\'') quoted = !quoted;
    if (text[i] == wanted && !quoted) return i;
  }
  return text.npos;
}

std::string absolute_cell(std::string_view cell) {
  const SheetAndRest parts = split_sheet(cell);
  const std::optional<CellAddress> address = parse_cell(parts.rest);
  if (!address) return {};
  std::string out = parts.has_sheet && !parts.sheet.empty() ? "$" + quoted_sheet(parts.sheet) : "";
  out += ".$" + column_letters(address->column) + "$" + std::to_string(address->row + 1);
  return out;
}

}  // namespace

std::string bracketed(std::string_view ranges) {
  std::string out;
  while (!ranges.empty()) {
    const std::size_t end = std::min(find_outside_quotes(ranges, ' '), ranges.size());
    if (end > 0) {
      if (!out.empty()) out += '~';
      out += '[';
      out += ranges.substr(0, end);
      out += ']';
    }
    ranges.remove_prefix(std::min(end + 1, ranges.size()));
  }
  return out;
}

std::string absolute_range(std::string_view range) {
  const std::size_t colon = find_outside_quotes(range, ':');
  const std::string first = absolute_cell(range.substr(0, colon));
  if (colon == range.npos || first.empty()) return first;
  const std::string last = absolute_cell(range.substr(colon + 1));
  return last.empty() ? last : first + ":" + last;
}

std::string plain_formula(std::string_view formula) {
  if (formula.starts_with("of:")) formula.remove_prefix(3);
  if (formula.starts_with("=")) formula.remove_prefix(1);
  return std::string(formula);
}

std::int32_t count_of(std::string_view text) {
  std::int32_t count = 1;
  const auto [end, problem] = std::from_chars(text.data(), text.data() + text.size(), count);
  if (problem == std::errc::result_out_of_range && text[0] != '-') return kMaxRows;
  return std::clamp(count, 1, kMaxRows);
}

}  // namespace loftledger::ods
