#include "addin/uno/convert.hpp"

#include <bit>
#include <com/sun/star/uno/Sequence.hxx>
#include <cstdint>

#include "addin/uno/text.hpp"

namespace loftledger::uno {

using com::sun::star::uno::Any;
using com::sun::star::uno::Sequence;
using com::sun::star::uno::TypeClass;
using Rows = Sequence<Sequence<Any>>;

namespace {

// A number that carries an error's code in its lower half is how Calc itself keeps an error where
// only a number fits.
constexpr std::uint64_t kQuietNan = 0x7ff8000000000000;
constexpr std::uint64_t kCodeBits = 0x00000000ffffffff;

Value number_value(double number) {
  const std::uint64_t bits = std::bit_cast<std::uint64_t>(number);
  if (number == number) return number;
  const std::uint64_t code = bits & kCodeBits;
  return static_cast<Code>(code == 0 || code > 0xffff ? static_cast<std::uint64_t>(Code::value)
                                                      : code);
}

Value scalar(const Any& any) {
  switch (any.getValueTypeClass()) {
    case TypeClass::TypeClass_STRING:
      return to_utf8(*static_cast<const rtl::OUString*>(any.getValue()));
    case TypeClass::TypeClass_BOOLEAN:
      return Value::boolean(*static_cast<const sal_Bool*>(any.getValue()) != sal_False);
    case TypeClass::TypeClass_VOID:
      return {};
    default:
      break;
  }
  double number = 0;
  if (any >>= number) return number_value(number);
  return Code::value;
}

Matrix matrix_of(const Rows& rows) {
  std::size_t width = 0;
  for (const Sequence<Any>& row : rows) {
    width = std::max(width, static_cast<std::size_t>(row.getLength()));
  }
  Matrix out(static_cast<std::size_t>(rows.getLength()), width);
  std::size_t r = 0;
  for (const Sequence<Any>& row : rows) {
    std::size_t c = 0;
    for (const Any& each : row) {
      Value value = scalar(each);
      if (!(value.is_text() && value.text().empty())) out.at(r, c) = std::move(value);
      ++c;
    }
    ++r;
  }
  return out;
}

Any any_of(const Value& value) {
  switch (value.kind()) {
    case Value::Kind::number:
      return Any(value.number());
    case Value::Kind::boolean:
      return Any(value.number() != 0);
    case Value::Kind::text:
      return Any(from_utf8(value.text()));
    case Value::Kind::error:
      return Any(error_number(value.code()));
    case Value::Kind::empty:
      break;
  }
  // Nothing at all would show as #N/A.
  return Any(rtl::OUString());
}

}  // namespace

Received::Received(const Any& any) {
  switch (any.getValueTypeClass()) {
    case TypeClass::TypeClass_VOID:
      omitted_ = true;
      return;
    case TypeClass::TypeClass_SEQUENCE: {
      Rows rows;
      if (any >>= rows) {
        matrix_ = matrix_of(rows);
      } else {
        scalar_ = Code::value;
      }
      return;
    }
    case TypeClass::TypeClass_INTERFACE:
      object_ = true;
      return;
    default:
      scalar_ = scalar(any);
  }
}

void Received::set_cell(std::optional<catalogue::CellState> state) { cell_ = std::move(state); }

catalogue::Argument Received::argument() const {
  if (omitted_) return {};
  if (cell_) return catalogue::Argument::of(*cell_);
  if (matrix_) return catalogue::Argument::of(*matrix_);
  return catalogue::Argument::of(scalar_);
}

double error_number(Code code) {
  return std::bit_cast<double>(kQuietNan | static_cast<std::uint64_t>(code));
}

Any to_any(const catalogue::Answer& answer) {
  if (const Value* value = std::get_if<Value>(&answer)) return any_of(*value);
  const Matrix& matrix = std::get<Matrix>(answer);
  if (matrix.empty()) return Any(rtl::OUString());
  Rows rows(static_cast<sal_Int32>(matrix.rows()));
  Sequence<Any>* row = rows.getArray();
  for (std::size_t r = 0; r < matrix.rows(); ++r, ++row) {
    row->realloc(static_cast<sal_Int32>(matrix.columns()));
    Any* cells = row->getArray();
    for (std::size_t c = 0; c < matrix.columns(); ++c) cells[c] = any_of(matrix.at(r, c));
  }
  return Any(rows);
}

Exit exit_of(Code code) {
  if (code == Code::argument) return Exit::illegal_argument;
  if (code == Code::no_convergence) return Exit::no_convergence;
  return Exit::number;
}

}  // namespace loftledger::uno
