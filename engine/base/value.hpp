// One cell's worth of data: empty, number, boolean, text or error. Sixteen bytes.
#pragma once

#include <atomic>
#include <concepts>
#include <cstdint>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "engine/base/error.hpp"

namespace loftledger {

namespace detail {
// Shared and immutable once built; counted so that copying a text or an error is cheap.
template <class T>
struct Counted {
  explicit Counted(T held) : content(std::move(held)) {}
  mutable std::atomic<std::uint32_t> uses{1};
  const T content;
};
}  // namespace detail

class Value {
 public:
  enum class Kind : std::uint8_t { empty, number, boolean, text, error };
  using Text = detail::Counted<std::string>;
  using Fault = detail::Counted<Error>;

  Value() noexcept : number_(0) {}
  Value(double number) noexcept : number_(number), kind_(Kind::number) {}
  template <std::same_as<bool> B>
  Value(B) = delete;  // say Value::boolean(), so that no truth slips in as a number
  Value(std::string text) : text_(new Text(std::move(text))), kind_(Kind::text) {}
  Value(std::string_view text) : Value(std::string(text)) {}
  Value(const char* text) : Value(std::string(text)) {}
  // An error without words of its own costs no allocation.
  Value(Code code) noexcept : fault_(nullptr), code_(code), kind_(Kind::error) {}
  Value(Error error) : fault_(nullptr), code_(error.code), kind_(Kind::error) {
    if (!error.sentence.empty() || error.argument >= 0 || error.origin)
      fault_ = new Fault(std::move(error));
  }
  static Value boolean(bool truth) noexcept {
    Value v(truth ? 1.0 : 0.0);
    v.kind_ = Kind::boolean;
    return v;
  }

  Value(const Value& other) noexcept : number_(0) { assign(other); }
  Value(Value&& other) noexcept : number_(0) { swap(other); }
  Value& operator=(const Value& other) noexcept {
    if (this != &other) {
      Value copy(other);
      swap(copy);
    }
    return *this;
  }
  Value& operator=(Value&& other) noexcept {
    swap(other);
    return *this;
  }
  ~Value() { release(); }

  Kind kind() const { return kind_; }
  bool is_empty() const { return kind_ == Kind::empty; }
  bool is_text() const { return kind_ == Kind::text; }
  bool is_error() const { return kind_ == Kind::error; }
  bool is_boolean() const { return kind_ == Kind::boolean; }
  // Numbers and booleans: a boolean computes as 1 or 0.
  bool is_numeric() const { return kind_ == Kind::number || kind_ == Kind::boolean; }

  // The number of a numeric value; 0 for anything else.
  double number() const { return is_numeric() ? number_ : 0.0; }
  // The text of a text value; empty for anything else.
  std::string_view text() const {
    return is_text() ? std::string_view(text_->content) : std::string_view();
  }
  Code code() const { return is_error() ? code_ : Code::none; }
  // The whole error; Error::text() has a sentence even where none was given.
  Error error() const {
    if (!is_error()) return Error{};
    return fault_ != nullptr ? fault_->content : Error(code_);
  }
  // True where the error is known to have arisen in a cell.
  bool has_origin() const { return is_error() && fault_ != nullptr && fault_->content.origin; }

  void swap(Value& other) noexcept {
    // Whichever member of the union is live, all are one pointer or one double wide.
    std::swap(bits_, other.bits_);
    std::swap(code_, other.code_);
    std::swap(kind_, other.kind_);
  }

  // Same kind and same content; numbers bit for bit (for tests and change detection).
  bool identical(const Value& other) const;

 private:
  void assign(const Value& other) noexcept {
    bits_ = other.bits_;
    code_ = other.code_;
    kind_ = other.kind_;
    if (kind_ == Kind::text) text_->uses.fetch_add(1, std::memory_order_relaxed);
    if (kind_ == Kind::error && fault_ != nullptr) {
      fault_->uses.fetch_add(1, std::memory_order_relaxed);
    }
  }
  void release() noexcept {
    if (kind_ == Kind::text && text_->uses.fetch_sub(1, std::memory_order_acq_rel) == 1) {
      delete text_;
    }
    if (kind_ == Kind::error && fault_ != nullptr &&
        fault_->uses.fetch_sub(1, std::memory_order_acq_rel) == 1) {
      delete fault_;
    }
  }

  union {
    double number_;
    const Text* text_;
    const Fault* fault_;
    std::uint64_t bits_;
  };
  Code code_ = Code::none;
  Kind kind_ = Kind::empty;
};
static_assert(sizeof(Value) == 16);

// A rectangle of values, row by row.
class Matrix {
 public:
  Matrix() = default;
  Matrix(std::size_t rows, std::size_t columns, const Value& fill = {})
      : rows_(rows), columns_(columns), cells_(rows * columns, fill) {}

  std::size_t rows() const { return rows_; }
  std::size_t columns() const { return columns_; }
  std::size_t size() const { return cells_.size(); }
  bool empty() const { return cells_.empty(); }
  Value& at(std::size_t row, std::size_t column) { return cells_[row * columns_ + column]; }
  const Value& at(std::size_t row, std::size_t column) const {
    return cells_[row * columns_ + column];
  }
  std::vector<Value>& cells() { return cells_; }
  const std::vector<Value>& cells() const { return cells_; }

 private:
  std::size_t rows_ = 0;
  std::size_t columns_ = 0;
  std::vector<Value> cells_;
};

}  // namespace loftledger
