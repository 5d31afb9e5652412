// Errors as values: a code that a cell shows, and a sentence a person can act on.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <utility>

#include "engine/base/address.hpp"

namespace loftledger {

// The numbers are those that the office suite's ERRORTYPE and status line use.
enum class Code : std::uint16_t {
  none = 0,
  character = 501,
  argument = 502,
  number = 503,
  parameters = 504,
  brackets = 508,
  missing_operator = 509,
  missing_variable = 510,
  missing_argument = 511,
  too_long = 512,
  text_too_long = 513,
  too_deep = 514,
  internal = 516,
  no_operand = 518,
  value = 519,
  unfinished = 520,
  no_intersection = 521,
  circular = 522,
  no_convergence = 523,
  reference = 524,
  name = 525,
  division = 532,
  nested_array = 533,
  array_size = 538,
  array_content = 539,
  not_available = 32767,
};

// What a cell shows for the code: "#DIV/0!", "Err:502".
std::string shown(Code code);

// The code for a shown form ("#VALUE!" -> value, "Err:502" -> argument, "Err:540" -> 540), or
// Code::none where the text is none.
Code code_of(std::string_view shown_form);

// A plain sentence for a code that came without one of its own.
std::string_view general_sentence(Code code);

struct Error {
  Code code = Code::none;
  int argument = -1;     // index of the argument it is about, or -1
  std::string sentence;  // names the argument, the value and the rule; may be empty
  // The cell in which it arose; cells that only hand it on leave this as it is.
  std::optional<CellAddress> origin;

  Error() = default;
  explicit Error(Code c) : code(c) {}
  Error(Code c, std::string text, int index = -1)
      : code(c), argument(index), sentence(std::move(text)) {}

  // The sentence, or the general one of the code.
  std::string_view text() const {
    return sentence.empty() ? general_sentence(code) : std::string_view(sentence);
  }
};

}  // namespace loftledger
