#include "engine/formula/parse.hpp"

#include <fmt/format.h>

#include "engine/formula/error_names.hpp"
#include "engine/formula/expectations.hpp"
#include "engine/formula/grammar.hpp"
#include "engine/formula/spelling.hpp"

namespace loftledger::formula {

namespace {

constexpr std::size_t kShownRest = 20;  // characters of the text that a sentence repeats

bool continues(char c) { return (static_cast<unsigned char>(c) & 0xC0) == 0x80; }

// Characters before a byte offset, counting UTF-8 sequences as one.
std::size_t characters_before(std::string_view text, std::size_t at) {
  std::size_t count = 0;
  for (char c : text.substr(0, at)) count += continues(c) ? 0 : 1;
  return count;
}

std::string beginning(std::string_view rest) {
  std::size_t length = 0;
  std::size_t end = 0;
  while (end < rest.size()) {
    if (!continues(rest[end]) && ++length > kShownRest)
      return std::string(rest.substr(0, end)) + "…";
    ++end;
  }
  return std::string(rest);
}

std::string place(std::string_view text, std::size_t at) {
  if (at >= text.size()) return "at the end of the formula";
  return fmt::format("at character {}, before \"{}\"", characters_before(text, at) + 1,
                     beginning(text.substr(at)));
}

bool one_of(char c, std::string_view set) { return set.find(c) != std::string_view::npos; }

// The codes are those that the office shows for the same text (tried with version 7.4), except
// that it closes open brackets at the end by itself.
Code code_of_stop(std::string_view text, const Stop& stop, const Builder& builder) {
  const bool at_end = stop.at >= text.size();
  const char found = at_end ? '\0' : text[stop.at];
  const std::string_view expected = stop.expected;
  if (expected == kQuote || expected == kReference) return Code::name;
  if (expected == kReferenceClosing) return at_end ? Code::brackets : Code::name;
  if (expected == kConstant || expected == kArrayClosing) {
    return at_end ? Code::brackets : kArrayContent;
  }
  if (expected == kValue) {
    if (at_end && stop.at == 0) return Code::name;
    if (one_of(found, "+-%")) return kUnfinished;
    if (builder.in_brackets() && (at_end || one_of(found, ";)"))) return kMissingParameter;
    if (at_end) return kUnfinished;
    if (one_of(found, ")}")) return Code::brackets;
    if (found == ';') return Code::missing_operator;
    return one_of(found, "=<>&*/^~!:") ? Code::missing_variable : Code::name;
  }
  // After a whole value.
  if (at_end || one_of(found, ")}")) return Code::brackets;
  const char before = stop.at > 0 ? text[stop.at - 1] : '\0';
  if (is_digit(before) && (starts_word(found) || one_of(found, ",?$"))) return Code::name;
  if (found == ',' && builder.in_call()) return Code::brackets;
  return Code::missing_operator;
}

Error error_of_stop(std::string_view text, const Stop& stop, const Builder& builder) {
  const char found = stop.at < text.size() ? text[stop.at] : '\0';
  std::string sentence = fmt::format("expected {} {}", stop.expected, place(text, stop.at));
  if (found == ',') sentence += "; a semicolon separates arguments, a point decimals";
  return Error(code_of_stop(text, stop, builder), std::move(sentence));
}

}  // namespace

Result<Tree> parse(std::string_view text, Syntax syntax) {
  if (text.size() > kMaxLength) {
    return Error(Code::too_long, fmt::format("the formula has {} bytes; at most {} are allowed",
                                             text.size(), kMaxLength));
  }
  Builder builder(text);
  const std::optional<Stop> stop = read_formula(text, syntax, builder);
  if (const auto& problem = builder.problem()) {
    return Error(problem->code, fmt::format("{}, {}", problem->sentence, place(text, problem->at)));
  }
  if (stop) return error_of_stop(text, *stop, builder);
  return builder.take();
}

}  // namespace loftledger::formula
