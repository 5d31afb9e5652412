// The grammar: ODF 1.3 part 4, section 5, and the references as the office shows them. Actions only
// stand where nothing is taken back any more, or fill the draft of a reference, which starts anew
// with each attempt.
#pragma once

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

constexpr bool in_sheet(char c) { return in_word(c) && c != '.'; }
// Within brackets, a sheet's name needs quotes only for these.
constexpr bool in_bracket_sheet(char c) {
  constexpr std::string_view kEnds = "[].#$':\"";
  return static_cast<unsigned char>(c) >= 0x20 && kEnds.find(c) == std::string_view::npos;
}

const CharacterOf<is_space> space;
const CharacterOf<is_digit> digit;
const CharacterOf<is_ascii_letter> column_letter;
const CharacterOf<starts_word> word_start;
const CharacterOf<in_word> word_part;
const CharacterOf<in_sheet> sheet_part;
const CharacterOf<in_bracket_sheet> bracket_sheet_part;

const auto ws = x3::omit[*space];
const auto word = word_start >> *word_part;

// ---- actions ----

// An action on the stretch of text that was read: member(begin, end).
template <void (Builder::*Member)(std::size_t, std::size_t)>
constexpr auto operand = [](auto& context) {
  Work& w = work(context);
  (w.builder.*Member)(w.at(_attr(context).begin()), w.at(_attr(context).end()));
};

std::string_view view(const boost::iterator_range<Iterator>& range) {
  return {range.begin(), static_cast<std::size_t>(range.size())};
}

template <auto Member>
constexpr auto draft = [](auto& context) {
  ReferenceDraft& d = work(context).builder.draft;
  if constexpr (std::is_invocable_v<decltype(Member), ReferenceDraft&>) {
    (d.*Member)();
  } else if constexpr (std::is_same_v<bool, std::invoke_result_t<decltype(Member), ReferenceDraft&,
                                                                 std::string_view>>) {
    _pass(context) = (d.*Member)(view(_attr(context)));
  } else {
    (d.*Member)(view(_attr(context)));
  }
};

constexpr auto missing = [](auto& context) {
  Work& w = work(context);
  w.builder.missing(w.at(_where(context).begin()));
};

// ---- references ----

const auto in_quotes = lit('\'') >> +((char_ - '\'') | "''") >> lit('\'');
const auto dollar = -lit('$');

const auto column = raw[dollar >> +column_letter][draft<&ReferenceDraft::column>];
const auto row = raw[dollar >> +digit][draft<&ReferenceDraft::row>];
const auto lost_corner = x3::omit[-(dollar >> +column_letter) >> "#REF!" >> -(dollar >> +digit)]
                                 [draft<&ReferenceDraft::lost_corner>];
const auto corner = (column >> row) | lost_corner;

// A sheet only counts where its dot follows, a source where its number sign does.
template <class Written>
auto sheet_before_dot(Written written) {
  return (raw[written >> &lit('.')][draft<&ReferenceDraft::sheet>] |
          raw[dollar >> "#REF!" >> &lit('.')][draft<&ReferenceDraft::lost_sheet>]) >>
         '.';
}
const auto source = raw[in_quotes >> &lit('#')][draft<&ReferenceDraft::source>] >> '#';

// With Sheet as the way in which a sheet is written before a corner, Edge as what must follow.
template <class Sheet, class Edge>
auto any_reference(Sheet sheet, Edge edge) {
  const auto start = eps[draft<&ReferenceDraft::start>] >> -source >> sheet;
  const auto to = lit(':') >> eps[draft<&ReferenceDraft::second>] >> sheet;
  const auto cells =
      start >> corner >> edge >> -(to >> corner >> edge >> eps[draft<&ReferenceDraft::range_done>]);
  const auto columns =
      start >> column >> to >> column >> edge >> eps[draft<&ReferenceDraft::columns_done>];
  const auto rows = start >> row >> to >> row >> edge >> eps[draft<&ReferenceDraft::rows_done>];
  return columns | rows | cells;
}

const auto bracket_sheet =
    sheet_before_dot(dollar >> (in_quotes | +bracket_sheet_part)) | -lit('.');
const auto bracket_reference = any_reference(bracket_sheet, eps);

const auto plain_sheet_name = dollar >> (in_quotes | (word_start >> *sheet_part));
const auto word_ends = !(word_part | '$') >> !(ws >> '(');
const auto plain_reference = any_reference(-sheet_before_dot(plain_sheet_name), word_ends);

// ---- constants ----

const auto exponent = no_case['e'] >> -char_("+-") >> +digit;
const auto number = ((+digit >> -('.' >> *digit)) | ('.' >> +digit)) >> -exponent;
const auto text = lit('"') >> *((char_ - '"') | "\"\"") > expected(kQuote, lit('"'));

struct ErrorNames : x3::symbols<Code> {
  ErrorNames() {
    for (const ErrorName& known : kErrorNames) add(std::string(known.name), known.code);
  }
};
const ErrorNames error_names;
const auto error_number = !lit('0') >> x3::uint_parser<std::uint16_t, 10, 3, 5>{};
const auto error = no_case[error_names] | (no_case["#ERR"] >> error_number >> '!') |
                   (no_case["Err:"] >> error_number);

// ---- names ----

const auto simple_name = ("$$" >> (in_quotes | word)) | word;
const auto sheet_name = plain_sheet_name >> '.' >>
                        (("$$" >> (in_quotes | word)) | (word_start >> *sheet_part >> !lit('.')));
const auto name = -(in_quotes >> '#') >> (sheet_name | simple_name);

// ---- expressions ----

struct Operators : x3::symbols<Operator> {
  explicit Operators(Place place) {
    for (const OperatorRow& known : kOperators) {
      if (known.place == place) add(std::string(known.symbol), known.op);
    }
  }
};
const Operators prefix_operator{Place::prefix};
const Operators infix_operator{Place::infix};
const Operators postfix_operator{Place::postfix};

constexpr auto push_prefix = [](auto& context) {
  Work& w = work(context);
  _pass(context) = w.builder.prefix(_attr(context), w.at(_where(context).begin()));
};
constexpr auto push_infix = [](auto& context) { work(context).builder.infix(_attr(context)); };
constexpr auto push_postfix = [](auto& context) {
  Work& w = work(context);
  w.builder.postfix(_attr(context), w.at(_where(context).begin()) + 1);
};
constexpr auto open_group = [](auto& context) {
  Work& w = work(context);
  _pass(context) = w.builder.open_group(w.at(_where(context).begin()) - 1);
};
constexpr auto open_call = [](auto& context) {
  Work& w = work(context);
  _pass(context) = w.builder.open_call(w.at(_attr(context).begin()), w.at(_attr(context).end()));
};
constexpr auto open_array = [](auto& context) {
  Work& w = work(context);
  w.builder.open_array(w.at(_where(context).begin()) - 1);
};
constexpr auto end_row = [](auto& context) {
  Work& w = work(context);
  w.builder.end_row(w.at(_where(context).begin()));
};
template <void (Builder::*Member)(std::size_t)>
constexpr auto close = [](auto& context) {
  Work& w = work(context);
  (w.builder.*Member)(w.at(_where(context).begin()));
};
constexpr auto in_brackets_only = [](auto& context) {
  _pass(context) = work(context).syntax == Syntax::open_formula;
};

struct ExpressionId;
struct OperandId;
const x3::rule<ExpressionId> expression = "expression";
const x3::rule<OperandId> single = kValue;

const auto bracketed =
    raw[&lit('[') >> eps[in_brackets_only] > expected(kReference, '[' >> bracket_reference) >
        expected(kReferenceClosing, lit(']'))][operand<&Builder::reference>];

const auto group = lit('(') >> eps[open_group] >> ws > expression >
                   expected(kClosing, lit(')')) > eps[close<&Builder::close_group>];

const auto argument = (&char_(";)") >> eps[missing]) | expression;
const auto call = raw[word >> &(ws >> '(')][open_call] >> ws >> '(' >> ws >
                  -(!lit(')') >> argument >> *(';' > ws > argument)) >
                  expected(kArguments, lit(')')) > eps[close<&Builder::close_call>];

const auto truth = (no_case["TRUE"] | no_case["FALSE"]) >> !word_part >> -(ws >> '(' >> ws >> ')');
const auto constant = (('-' >> ws >> raw[number][operand<&Builder::negative_number>]) |
                       (-lit('+') >> ws >> raw[number][operand<&Builder::number>]) |
                       raw[text][operand<&Builder::text>] | raw[error][operand<&Builder::error>] |
                       raw[truth][operand<&Builder::truth>] | (&char_(";|}") >> eps[missing])) >>
                      ws;
const auto array_row = (eps > expected(kConstant, constant)) % (';' >> ws) >> eps[end_row];
const auto array = lit('{') >> eps[open_array] >> ws > array_row > *('|' > ws > array_row) >
                   expected(kArrayClosing, lit('}')) > eps[close<&Builder::close_array>];

const auto label = in_quotes;

const auto single_def = raw[text][operand<&Builder::text>] | bracketed | group | array | call |
                        raw[plain_reference][operand<&Builder::reference>] |
                        raw[number][operand<&Builder::number>] |
                        raw[error][operand<&Builder::error>] | raw[name][operand<&Builder::name>] |
                        raw[label][operand<&Builder::label>];

const auto signed_single = (*(prefix_operator[push_prefix] >> ws) > single) >> ws >>
                           *(postfix_operator[push_postfix] >> ws);

constexpr auto open_expression = [](auto& context) { work(context).builder.open_expression(); };
constexpr auto close_expression = [](auto& context) { work(context).builder.close_expression(); };

const auto expression_def =
    eps[open_expression] >> signed_single >>
    *(infix_operator[push_infix] > ws > signed_single) >> eps[close_expression];

BOOST_SPIRIT_DEFINE(expression, single)

// The office marks a formula to be recalculated on load by a second equals sign.
const auto formula = ws >> -(lit('=') >> -lit('=')) >> ws > expression > expected(kEnd, x3::eoi);

}  // namespace loftledger::formula::grammar
