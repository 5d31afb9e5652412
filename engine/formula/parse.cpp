#include "engine/formula/parse.hpp"

#include <fmt/format.h>

#include <array>

#include "engine/formula/error_names.hpp"
#include "engine/formula/expectations.hpp"
#include "engine/formula/grammar.hpp"
#include "engine/formula/spelling.hpp"

namespace loftledger::formula {

namespace {

constexpr std::size_t kShownRest = 20;  // characters of the text that a sentence repeats

std::size_t characters(std::string_view text) {
  std::size_t count = 0;
  for (; !text.empty(); ++count) text.remove_prefix(first_character(text).bytes);
  return count;
}

// The beginning of the rest, on one line.
std::string beginning(std::string_view rest) {
  std::string out;
  for (std::size_t count = 0; !rest.empty(); ++count) {
    if (count == kShownRest) return out + "…";
    const std::size_t bytes = first_character(rest).bytes;
    const bool control = static_cast<unsigned char>(rest[0]) < 0x20;
    out += control ? " " : rest.substr(0, bytes);
    rest.remove_prefix(bytes);
  }
  return out;
}

std::string place(std::string_view text, std::size_t at) {
  if (at >= text.size()) return "at the end of the formula";
  return fmt::format("at character {}, before \"{}\"", characters(text.substr(0, at)) + 1,
                     beginning(text.substr(at)));
}

// What people type, or paste from elsewhere, in place of what a formula takes.
struct Hint {
  std::string_view found;
  std::string_view advice;
};
constexpr std::array kHints{
    Hint{",", "a semicolon parts arguments, a point is the decimal mark"},
    Hint{"[", "references stand here without brackets, as A1 or Sheet2.A1"},
    Hint{"\u00A0", "this is a no-break space; type a plain one"},
    Hint{"\u201C", "texts stand in straight quotes"},
    Hint{"\u201D", "texts stand in straight quotes"},
    Hint{"\u201E", "texts stand in straight quotes"},
    Hint{"\u2212", "minus is written -"},
    Hint{"\u2013", "minus is written -"},
    Hint{"\u00D7", "times is written *"},
    Hint{"\u00F7", "a division is written /"},
};

std::string_view advice(std::string_view rest) {
  for (const Hint& hint : kHints) {
    if (rest.starts_with(hint.found)) return hint.advice;
  }
  return {};
}

bool one_of(char c, std::string_view set) { return set.find(c) != std::string_view::npos; }

// Where a value was due.
Code code_without_value(std::string_view text, std::size_t at, const Builder& builder) {
  if (text.find_first_not_of("= \t\r\n") == text.npos) return Code::name;
  const char found = at < text.size() ? text[at] : '\0';
  if (one_of(found, "+-%")) return Code::unfinished;
  const bool at_end = found == '\0' && at >= text.size();
  if (builder.in_brackets() && (at_end || one_of(found, ";)"))) return Code::missing_argument;
  if (at_end) return Code::unfinished;
  if (one_of(found, ")}")) return Code::brackets;
  if (found == ';') return Code::missing_operator;
  if (beyond_ascii(found)) return Code::character;
  return one_of(found, "=<>&*/^~!:") ? Code::missing_variable : Code::name;
}

// Where an operator, a closing bracket or the end was due.
Code code_after_value(std::string_view text, std::size_t at, const Builder& builder) {
  if (at >= text.size() || one_of(text[at], ")}")) return Code::brackets;
  const std::string_view rest = text.substr(at);
  if (beyond_ascii(rest[0]) && letter_bytes(rest) == 0) return Code::character;
  const bool glued = at > 0 && ascii::is_digit(text[at - 1]);
  if (glued && (letter_bytes(rest) > 0 || one_of(rest[0], ",?$"))) return Code::name;
  if (rest[0] == ',' && builder.in_call()) return Code::brackets;
  return Code::missing_operator;
}

// The codes are those that the office shows for the same text (tried with version 7.4), except
// that it closes open brackets at the end by itself.
Code code_of_stop(std::string_view text, const Stop& stop, const Builder& builder) {
  const bool at_end = stop.at >= text.size();
  const std::string_view expected = stop.expected;
  if (expected == kQuote || expected == kReference) return Code::name;
  if (expected == kReferenceClosing) return at_end ? Code::brackets : Code::name;
  if (expected == kConstant || expected == kArrayClosing) {
    return at_end ? Code::brackets : Code::array_content;
  }
  return expected == kValue ? code_without_value(text, stop.at, builder)
                            : code_after_value(text, stop.at, builder);
}

Error error_of_stop(std::string_view text, const Stop& stop, const Builder& builder) {
  std::string sentence = fmt::format("expected {} {}", stop.expected, place(text, stop.at));
  if (stop.at < text.size() && stop.expected != kReference) {
    const std::string_view hint = advice(text.substr(stop.at));
    if (!hint.empty()) sentence += fmt::format(": {}", hint);
  }
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
