// What a formula computes with: a value, a rectangle of cells, several rectangles, or an array.
#pragma once

#include <cstdint>
#include <memory>
#include <utility>
#include <vector>

#include "engine/base/address.hpp"
#include "engine/base/value.hpp"

namespace loftledger::standard {

struct Operand {
  enum class Kind : std::uint8_t {
    value,
    area,     // a reference; not yet read
    areas,    // a union of references
    matrix,   // an array
    missing,  // an argument left out between separators
  };
  Kind kind = Kind::value;
  Value value;
  Area area;
  bool range = false;      // an area, or one of several, that is no single cell; also [.A1:.A1]
  bool from_cell = false;  // a value that a reference led to
  std::shared_ptr<const std::vector<Area>> areas;
  std::shared_ptr<const Matrix> matrix;

  Operand() = default;
  Operand(Value v) : value(std::move(v)) {}
  Operand(double number) : value(number) {}
  Operand(Code code) : value(code) {}
  Operand(Error error) : value(std::move(error)) {}
  Operand(const Area& a) : kind(Kind::area), area(a), range(!a.single()) {}
  static Operand range_of(const Area& a) {
    Operand o(a);
    o.range = true;
    return o;
  }
  Operand(Matrix m) : kind(Kind::matrix), matrix(std::make_shared<const Matrix>(std::move(m))) {}
  static Operand absent() {
    Operand o;
    o.kind = Kind::missing;
    return o;
  }
  static Operand truth(bool b) { return Operand(Value::boolean(b)); }
  static Operand text(std::string s) { return Operand(Value(std::move(s))); }

  // A reference to one cell, written as one.
  bool is_cell() const { return kind == Kind::area && !range && area.single(); }
  bool is_reference() const { return kind == Kind::area || kind == Kind::areas; }
  bool is_error() const { return kind == Kind::value && value.is_error(); }
};

// The elements of an array as the office goes through them, column by column from the top, until
// the visitor says false.
template <class Visitor>
void each_by_column(const Matrix& matrix, Visitor visit) {
  for (std::size_t c = 0; c < matrix.columns(); ++c) {
    for (std::size_t r = 0; r < matrix.rows(); ++r) {
      if (!visit(matrix.at(r, c))) return;
    }
  }
}

}  // namespace loftledger::standard
