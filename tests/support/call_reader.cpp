#include "tests/support/call_reader.hpp"

#include <fmt/format.h>

#include <cctype>
#include <cmath>
#include <deque>
#include <optional>
#include <vector>

#include "engine/base/address.hpp"
#include "engine/base/number_text.hpp"

namespace loftledger::support {

namespace {

using catalogue::Answer;
using catalogue::Argument;
using catalogue::CellState;

// What an expression comes to: nothing (an argument left out), a value or array, or a cell.
struct Term {
  bool omitted = false;
  Answer answer = Value();
  std::optional<std::string> cell;
};

Value first_of(const Answer& answer) {
  if (const Value* value = std::get_if<Value>(&answer)) return *value;
  const Matrix& m = std::get<Matrix>(answer);
  return m.empty() ? Value() : m.cells()[0];
}

class CallReader {
 public:
  CallReader(std::string_view text, const Cells& cells) : text_(text), cells_(cells) {}

  Result<Answer> read() {
    if (!take('=')) return wrong("it does not begin with =");
    Result<Term> term = comparison();
    if (!term) return std::move(term).error();
    if (!spaces_to_end()) return wrong("it goes on where it should end");
    return term->answer;
  }

 private:
  Error wrong(std::string_view what) const {
    return Error(Code::brackets, fmt::format("{}: {} (at {})", text_, what, at_));
  }
  char peek() {
    while (at_ < text_.size() && text_[at_] == ' ') ++at_;
    return at_ < text_.size() ? text_[at_] : '\0';
  }
  bool take(char c) {
    if (peek() != c) return false;
    ++at_;
    return true;
  }
  bool spaces_to_end() { return peek() == '\0' && at_ == text_.size(); }

  static Term operate(char sign, const Term& a, const Term& b) {
    const Value left = first_of(a.answer);
    const Value right = first_of(b.answer);
    for (const Value* each : {&left, &right}) {
      if (each->is_error()) return Term{false, *each, {}};
      if (each->is_text()) return Term{false, Value(Code::value), {}};
    }
    const double x = left.number();
    const double y = right.number();
    switch (sign) {
      case '+':
        return {false, Value(x + y), {}};
      case '-':
        return {false, Value(x - y), {}};
      case '*':
        return {false, Value(x * y), {}};
      case '/':
        return {false, y == 0 ? Value(Code::division) : Value(x / y), {}};
      default:
        return {false, Value(std::pow(x, y)), {}};
    }
  }

  Result<Term> comparison() {
    Result<Term> left = sum();
    if (!left || (peek() != '<' && peek() != '>')) return left;
    const bool less = text_[at_++] == '<';
    Result<Term> right = sum();
    if (!right) return right;
    const Term difference = operate('-', less ? *right : *left, less ? *left : *right);
    const Value value = first_of(difference.answer);
    return value.is_error() ? difference : Term{false, Value::boolean(value.number() > 0), {}};
  }
  Result<Term> sum() {
    return chain("+-", [this] { return product(); });
  }
  Result<Term> product() {
    return chain("*/", [this] { return power(); });
  }
  Result<Term> power() {
    return chain("^", [this] { return signed_term(); });
  }

  template <class Next>
  Result<Term> chain(std::string_view signs, Next next) {
    Result<Term> left = next();
    while (left && peek() != '\0' && signs.find(peek()) != signs.npos) {
      const char sign = text_[at_++];
      Result<Term> right = next();
      if (!right) return right;
      left = operate(sign, *left, *right);
    }
    return left;
  }

  Result<Term> signed_term() {
    if (take('-')) {
      Result<Term> term = signed_term();
      if (!term) return term;
      return operate('-', Term{false, Value(0.0), {}}, *term);
    }
    Result<Term> term = plain_term();
    while (term && take('%')) term = operate('/', *term, Term{false, Value(100.0), {}});
    return term;
  }

  Result<Term> plain_term() {
    const char c = peek();
    if (c == '(') {
      ++at_;
      Result<Term> inner = sum();
      if (inner && !take(')')) return wrong("a bracket is missing");
      return inner;
    }
    if (c == '"') return quoted();
    if (c == '{') return array();
    if (std::isdigit(static_cast<unsigned char>(c)) || c == '.') return number();
    if (std::isalpha(static_cast<unsigned char>(c))) return named();
    return wrong("no value stands here");
  }

  Result<Term> quoted() {
    std::string out;
    ++at_;
    while (at_ < text_.size()) {
      const char c = text_[at_++];
      if (c != '"') {
        out += c;
      } else if (at_ < text_.size() && text_[at_] == '"') {
        out += text_[at_++];
      } else {
        return Term{false, Value(std::move(out)), {}};
      }
    }
    return wrong("a text does not end");
  }

  Result<Term> number() {
    const std::size_t start = at_;
    while (at_ < text_.size()) {
      const char c = text_[at_];
      const bool exponent = (c == 'e' || c == 'E') && at_ + 1 < text_.size();
      if (exponent && (text_[at_ + 1] == '-' || text_[at_ + 1] == '+')) ++at_;
      if (!exponent && c != '.' && !std::isdigit(static_cast<unsigned char>(c))) break;
      ++at_;
    }
    const std::optional<double> read = read_number(text_.substr(start, at_ - start));
    if (!read) return wrong("that is no number");
    return Term{false, Value(*read), {}};
  }

  // {1;2|3;4}; a place without a value is an empty cell.
  Result<Term> array() {
    ++at_;
    std::vector<std::vector<Value>> rows(1);
    while (true) {
      const char c = peek();
      if (c == ';' || c == '|' || c == '}') {
        rows.back().emplace_back();
      } else {
        Result<Term> term = sum();
        if (!term) return term;
        rows.back().push_back(first_of(term->answer));
      }
      if (take('}')) break;
      if (take('|')) {
        rows.emplace_back();
      } else if (!take(';')) {
        return wrong("an array does not end");
      }
    }
    if (rows.size() == 1 && rows[0].size() == 1 && rows[0][0].is_empty()) {
      return Term{false, Matrix(1, 1), {}};
    }
    Matrix m(rows.size(), rows[0].size());
    for (std::size_t r = 0; r < rows.size(); ++r) {
      if (rows[r].size() != m.columns()) return wrong("the rows of an array differ in length");
      for (std::size_t k = 0; k < m.columns(); ++k) m.at(r, k) = rows[r][k];
    }
    return Term{false, std::move(m), {}};
  }

  Result<Term> named() {
    const std::size_t start = at_;
    while (at_ < text_.size() && (std::isalnum(static_cast<unsigned char>(text_[at_])) != 0 ||
                                  text_[at_] == '.' || text_[at_] == '_')) {
      ++at_;
    }
    const std::string name(text_.substr(start, at_ - start));
    if (!take('(')) {
      if (name == "TRUE" || name == "FALSE") {
        return Term{false, Value::boolean(name == "TRUE"), {}};
      }
      if (!parse_cell(name)) return wrong("that is no name");
      const auto found = cells_.find(name);
      return Term{false, found == cells_.end() ? Value() : found->second, name};
    }
    std::vector<Term> terms;
    if (!take(')')) {
      while (true) {
        if (peek() == ';' || peek() == ')') {
          terms.push_back(Term{true, Value(), {}});
        } else {
          Result<Term> term = sum();
          if (!term) return term;
          terms.push_back(*std::move(term));
        }
        if (take(')')) break;
        if (!take(';')) return wrong("a call does not end");
      }
    }
    return call(name, terms);
  }

  Result<Term> call(const std::string& name, const std::vector<Term>& terms) {
    if (name == "INDEX" || name == "SUM") return helper(name, terms);
    const catalogue::Function* function = catalogue::find(name);
    if (function == nullptr) return wrong(fmt::format("{} is no planning function", name));
    std::vector<Argument> arguments;
    std::deque<CellState> states;
    for (std::size_t i = 0; i < terms.size(); ++i) {
      const Term& term = terms[i];
      const bool wants_cell =
          i < function->types.size() && function->types[i].shape == catalogue::Shape::cell;
      if (term.omitted) {
        arguments.emplace_back();
      } else if (wants_cell && term.cell) {
        const Value value = first_of(term.answer);
        states.push_back({value.is_error(), value.is_error() ? value.error().sentence : ""});
        arguments.push_back(Argument::of(states.back()));
      } else if (const Matrix* m = std::get_if<Matrix>(&term.answer)) {
        arguments.push_back(Argument::of(*m));
      } else {
        arguments.push_back(Argument::of(std::get<Value>(term.answer)));
      }
    }
    return Term{false, catalogue::call(*function, arguments), {}};
  }

  Result<Term> helper(const std::string& name, const std::vector<Term>& terms) {
    if (terms.empty()) return wrong("an array is missing");
    const Value first = first_of(terms[0].answer);
    const Matrix* m = std::get_if<Matrix>(&terms[0].answer);
    if (m == nullptr) return Term{false, first.is_error() ? first : Value(Code::value), {}};
    if (name == "SUM") {
      double total = 0;
      for (const Value& each : m->cells()) {
        if (each.is_error()) return Term{false, each, {}};
        total += each.number();
      }
      return Term{false, Value(total), {}};
    }
    if (terms.size() != 3) return wrong("INDEX takes an array, a row and a column");
    const double row = first_of(terms[1].answer).number();
    const double column = first_of(terms[2].answer).number();
    if (row < 1 || column < 1 || row > static_cast<double>(m->rows()) ||
        column > static_cast<double>(m->columns())) {
      return Term{false, Value(Code::argument), {}};
    }
    return Term{
        false, m->at(static_cast<std::size_t>(row) - 1, static_cast<std::size_t>(column) - 1), {}};
  }

  std::string_view text_;
  const Cells& cells_;
  std::size_t at_ = 0;
};

}  // namespace

Result<Answer> evaluate(std::string_view formula, const Cells& cells) {
  return CallReader(formula, cells).read();
}

Result<Value> evaluate_one(std::string_view formula, const Cells& cells) {
  Result<Answer> answer = evaluate(formula, cells);
  if (!answer) return std::move(answer).error();
  return first_of(*answer);
}

const catalogue::Function* outer_function(std::string_view formula) {
  if (formula.empty()) return nullptr;
  return catalogue::find(formula.substr(1, formula.find('(') - 1));
}

}  // namespace loftledger::support
