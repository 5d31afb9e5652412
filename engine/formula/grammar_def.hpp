// The grammar: ODF 1.3 part 4, section 5, and the references as the office shows them. Actions only
// stand where nothing is taken back any more, or fill the draft of a reference or name, which
// starts anew with each attempt.
#pragma once

#include <type_traits>

#include "engine/formula/config.hpp"
#include "engine/formula/error_names.hpp"
#include "engine/formula/expectations.hpp"
#include "engine/formula/operators.hpp"

namespace loftledger::formula::grammar {

using x3::char_;
using x3::eps;
using x3::lit;
using x3::no_case;
using x3::raw;

// ---- actions ----

inline std::string_view view(const boost::iterator_range<Iterator>& range) {
  return {range.begin(), static_cast<std::size_t>(range.size())};
}

// On the stretch of text that was read: Member(begin, end).
template <auto Member>
constexpr auto on_stretch = [](auto& context) {
  Work& w = work(context);
  const std::size_t begin = w.at(_attr(context).begin());
  const std::size_t end = w.at(_attr(context).end());
  if constexpr (std::is_void_v<decltype((w.builder.*Member)(begin, end))>) {
    (w.builder.*Member)(begin, end);
  } else {
    _pass(context) = (w.builder.*Member)(begin, end);
  }
};

// On the place that was reached: Member(offset).
template <auto Member>
constexpr auto on_place = [](auto& context) {
  Work& w = work(context);
  const std::size_t at = w.at(_where(context).begin());
  if constexpr (std::is_void_v<decltype((w.builder.*Member)(at))>) {
    (w.builder.*Member)(at);
  } else {
    _pass(context) = (w.builder.*Member)(at);
  }
};

// Into the draft: Member() or Member(text).
template <auto Member>
constexpr auto into_draft = [](auto& context) {
  Draft& draft = work(context).builder.draft;
  if constexpr (std::is_invocable_v<decltype(Member), Draft&>) {
    (draft.*Member)();
  } else if constexpr (std::is_void_v<decltype((draft.*Member)(std::string_view()))>) {
    (draft.*Member)(view(_attr(context)));
  } else {
    _pass(context) = (draft.*Member)(view(_attr(context)));
  }
};

// On an operator, with the place behind its sign.
template <auto Member>
constexpr auto on_operator = [](auto& context) {
  Work& w = work(context);
  _pass(context) = (w.builder.*Member)(_attr(context), w.at(_where(context).begin()));
};
constexpr auto open_expression = [](auto& context) { work(context).builder.open_expression(); };
constexpr auto close_expression = [](auto& context) { work(context).builder.close_expression(); };
constexpr auto brackets_allowed = [](auto& context) {
  _pass(context) = work(context).syntax == Syntax::open_formula;
};

// ---- words ----

constexpr bool part_of_bracket_sheet(char c) {
  constexpr std::string_view kEnds = "[].#$':\"";
  return static_cast<unsigned char>(c) >= 0x20 && kEnds.find(c) == std::string_view::npos;
}

const CharacterOf<is_space> space;
const CharacterOf<ascii::is_digit> digit;
const CharacterOf<ascii::is_letter> column_letter;
const CharacterOf<part_of_bracket_sheet> bracket_sheet_part;
const Letter letter;

const auto ws = x3::omit[*space];
const auto name_part = letter | x3::omit[digit];
const auto word_part = name_part | '.';
const auto word = letter >> *word_part;
const auto in_quotes = lit('\'') >> +((char_ - '\'') | "''") >> lit('\'');
const auto dollar = -lit('$');

// ---- references ----

const auto column = raw[dollar >> +column_letter][into_draft<&Draft::column>];
const auto row = raw[dollar >> +digit][into_draft<&Draft::row>];
const auto lost_corner = x3::omit[-(dollar >> +column_letter) >> "#REF!" >> -(dollar >> +digit)]
                                 [into_draft<&Draft::lost_corner>];
const auto corner = (column >> row) | lost_corner;

// A sheet only counts where its dot follows, a source where its number sign does.
template <class Written>
auto sheet(Written written) {
  return raw[written >> &lit('.')][into_draft<&Draft::sheet>] >> '.';
}
const auto lost_sheet = raw[dollar >> "#REF!" >> &lit('.')][into_draft<&Draft::lost_sheet>] >> '.';
const auto source = raw[in_quotes >> &lit('#')][into_draft<&Draft::source>] >> '#';

// Sheet reads what may stand before a corner, Edge what has to follow the reference.
template <class Sheet, class Edge>
auto any_reference(Sheet any_sheet, Edge edge) {
  const auto start = eps[into_draft<&Draft::start>] >> -source >> any_sheet;
  const auto to = lit(':') >> eps[into_draft<&Draft::second>] >> any_sheet;
  const auto columns =
      start >> column >> to >> column >> edge >> eps[into_draft<&Draft::columns_done>];
  const auto rows = start >> row >> to >> row >> edge >> eps[into_draft<&Draft::rows_done>];
  const auto cells =
      start >> corner >> edge >> -(to >> corner >> edge >> eps[into_draft<&Draft::range_done>]);
  return columns | rows | cells;
}

// The office also takes references in brackets without the dot, and without quotes what stands in
// quotes elsewhere.
const auto bracket_sheet =
    sheet(dollar >> (in_quotes | +bracket_sheet_part)) | lost_sheet | -lit('.');
const auto bracket_reference = any_reference(bracket_sheet, eps);

const auto plain_sheet_name = dollar >> (in_quotes | (letter >> *name_part));
const auto plain_edge = !(word_part | '$') >> !(ws >> '(');
const auto plain_reference = any_reference(-(sheet(plain_sheet_name) | lost_sheet), plain_edge);

// ---- names ----

const auto marked_name = "$$" >> raw[in_quotes | word][into_draft<&Draft::name>];
const auto name_start = eps[into_draft<&Draft::start>] >> -source;
// A word with dots is a sheet and its name where it has two parts, else one name.
const auto name =
    (name_start >> sheet(plain_sheet_name) >>
     (marked_name | (raw[letter >> *name_part][into_draft<&Draft::name>] >> !lit('.')))) |
    (name_start >> (marked_name | raw[word][into_draft<&Draft::name>]));

// ---- constants ----

const auto exponent = no_case['e'] >> -char_("+-") >> +digit;
const auto number = ((+digit >> -('.' >> *digit)) | ('.' >> +digit)) >> -exponent;
const auto text = (lit('"') >> *((char_ - '"') | "\"\"")) > expected(kQuote, lit('"'));

struct ErrorSymbols : x3::symbols<Code> {
  ErrorSymbols() {
    for (const Code code : kNamedErrors) add(shown(code), code);
  }
};
const ErrorSymbols error_symbols;
const auto error_number = !lit('0') >> x3::uint_parser<std::uint16_t, 10, 3, 5>{};
const auto error = no_case[error_symbols] | (no_case["#ERR"] >> error_number >> '!') |
                   (no_case["Err:"] >> error_number);

// ---- arrays ----

const auto truth = (no_case["TRUE"] | no_case["FALSE"]) >> !word_part >> -(ws >> '(' >> ws >> ')');
const auto constant =
    (raw['-' >> ws >> number][on_stretch<&Builder::negative_number>] |
     (-lit('+') >> ws >> raw[number][on_stretch<&Builder::number>]) |
     raw[text][on_stretch<&Builder::text>] | raw[error][on_stretch<&Builder::error>] |
     raw[truth][on_stretch<&Builder::truth>] |
     (&char_(";|}") >> eps[on_place<&Builder::missing>])) >>
    ws;
const auto array_row =
    (eps > expected(kConstant, constant)) % (';' >> ws) >> eps[on_place<&Builder::end_row>];
const auto array = (&lit('{') >> eps[on_place<&Builder::open_array>] >> '{' >> ws) >
                   (array_row % ('|' >> ws)) >
                   expected(kArrayClosing, lit('}')) > eps[on_place<&Builder::close_array>];

// ---- expressions ----

struct OperatorSymbols : x3::symbols<Operator> {
  explicit OperatorSymbols(Place place) {
    for (const OperatorRow& known : kOperators) {
      if (known.place == place) add(std::string(known.symbol), known.op);
    }
  }
};
const OperatorSymbols prefix_operator{Place::prefix};
const OperatorSymbols infix_operator{Place::infix};
const OperatorSymbols postfix_operator{Place::postfix};

struct ExpressionId;
struct OperandId;
const x3::rule<ExpressionId> expression = "expression";
const x3::rule<OperandId> operand = kValue;

const auto bracketed =
    raw[(&lit('[') >> eps[brackets_allowed]) > expected(kReference, '[' >> bracket_reference) >
        expected(kReferenceClosing, lit(']'))][on_stretch<&Builder::reference>];

const auto group = (&lit('(') >> eps[on_place<&Builder::open_group>] >> '(' >> ws) > expression >
                   expected(kClosing, lit(')')) > eps[on_place<&Builder::close_group>];

const auto argument = (&char_(";)") >> eps[on_place<&Builder::missing>]) | expression;
const auto arguments = !lit(')') >> argument >> *((';' >> ws) > argument);
const auto call = (raw[word >> &(ws >> '(')][on_stretch<&Builder::open_call>] >> ws >> '(' >> ws >>
                   -arguments) >
                  expected(kArguments, lit(')')) > eps[on_place<&Builder::close_call>];

const auto operand_def =
    raw[text][on_stretch<&Builder::text>] | bracketed | group | array | call |
    raw[plain_reference][on_stretch<&Builder::reference>] |
    raw[number][on_stretch<&Builder::number>] | raw[error][on_stretch<&Builder::error>] |
    raw[name][on_stretch<&Builder::name>] | raw[in_quotes][on_stretch<&Builder::label>];

const auto signed_operand = (*(prefix_operator[on_operator<&Builder::prefix>] >> ws) > operand) >>
                            ws >> *(postfix_operator[on_operator<&Builder::postfix>] >> ws);
const auto expression_def = eps[open_expression] >> signed_operand >>
                            *((infix_operator[on_operator<&Builder::infix>] >> ws) >
                              signed_operand) >>
                            eps[close_expression];

BOOST_SPIRIT_DEFINE(expression, operand)

// The office marks a formula to be recalculated on load by a second equals sign.
const auto formula = (ws >> -(lit('=') >> -lit('=')) >> ws) > expression > expected(kEnd, x3::eoi);

}  // namespace loftledger::formula::grammar
