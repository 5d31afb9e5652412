#include "engine/base/error.hpp"

#include <array>
#include <charconv>

namespace loftledger {

namespace {

struct Row {
  Code code;
  std::string_view shown;
  std::string_view sentence;
};

constexpr std::array kRows{
    Row{Code::character, "Err:501", "a character is not allowed here"},
    Row{Code::argument, "Err:502", "an argument is not allowed"},
    Row{Code::number, "#NUM!", "the result is no finite number"},
    Row{Code::parameters, "Err:504", "the arguments do not fit the function"},
    Row{Code::brackets, "Err:508", "a bracket is missing or one too many"},
    Row{Code::missing_operator, "Err:509", "an operator is missing"},
    Row{Code::missing_variable, "Err:510", "a value is missing"},
    Row{Code::missing_argument, "Err:511", "an argument is missing"},
    Row{Code::too_long, "Err:512", "the formula is too long"},
    Row{Code::text_too_long, "Err:513", "a text is too long"},
    Row{Code::too_deep, "Err:514", "the formula is nested too deeply"},
    Row{Code::internal, "Err:516", "the formula could not be evaluated"},
    Row{Code::no_operand, "Err:518", "an argument is left out that the result is taken from"},
    Row{Code::value, "#VALUE!", "a value is not of the kind that is due"},
    Row{Code::no_common_cells, "#NULL!", "the references have no cell in common"},
    Row{Code::unfinished, "Err:520", "the formula ends, or goes on, where a value is due"},
    Row{Code::circular, "Err:522", "the formula refers to itself, directly or through others"},
    Row{Code::no_convergence, "Err:523", "the calculation found no result"},
    Row{Code::reference, "#REF!", "a reference leads to no cell"},
    Row{Code::name, "#NAME?", "a name is not known"},
    Row{Code::division, "#DIV/0!", "a division by zero"},
    Row{Code::nested_array, "Err:533", "an array inside an array is not allowed"},
    Row{Code::array_size, "Err:538", "an array is too large"},
    Row{Code::array_content, "Err:539", "an inline array is uneven or holds more than constants"},
    Row{Code::not_available, "#N/A", "a value is not available"},
};

}  // namespace

std::string shown(Code code) {
  for (const Row& row : kRows) {
    if (row.code == code) return std::string(row.shown);
  }
  return "Err:" + std::to_string(static_cast<int>(code));
}

Code code_of(std::string_view shown_form) {
  for (const Row& row : kRows) {
    if (row.shown == shown_form) return row.code;
  }
  constexpr std::string_view kNumbered = "Err:";
  if (!shown_form.starts_with(kNumbered)) return Code::none;
  shown_form.remove_prefix(kNumbered.size());
  std::uint16_t number = 0;
  const char* last = shown_form.data() + shown_form.size();
  const auto [end, problem] = std::from_chars(shown_form.data(), last, number);
  return problem == std::errc{} && end == last ? Code{number} : Code::none;
}

std::string_view general_sentence(Code code) {
  for (const Row& row : kRows) {
    if (row.code == code) return row.sentence;
  }
  return "an error";
}

}  // namespace loftledger
