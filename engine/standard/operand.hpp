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
  bool range = false;      // an area that is no single cell, or [.A1:.A1] as a range of one
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

  bool is_reference() const { return kind == Kind::area || kind == Kind::areas; }
  bool is_error() const { return kind == Kind::value && value.is_error(); }
};

}  // namespace loftledger::standard
