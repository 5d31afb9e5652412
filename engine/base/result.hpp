// A value or an error; nothing in the engine throws for what a user can type.
#pragma once

#include <cassert>
#include <type_traits>
#include <utility>
#include <variant>

#include "engine/base/error.hpp"

namespace loftledger {

template <class T>
class [[nodiscard]] Result {
 public:
  Result(T value) : state_(std::in_place_index<0>, std::move(value)) {}
  Result(Error error) : state_(std::in_place_index<1>, std::move(error)) {}

  explicit operator bool() const { return state_.index() == 0; }
  bool ok() const { return state_.index() == 0; }

  // Only for a result that is ok (a programmer's error otherwise).
  T& operator*() & { return *checked(); }
  const T& operator*() const& { return *checked(); }
  T&& operator*() && { return std::move(*checked()); }
  T* operator->() { return checked(); }
  const T* operator->() const { return checked(); }

  const Error& error() const& {
    assert(!ok());
    return *std::get_if<1>(&state_);
  }
  Error&& error() && {
    assert(!ok());
    return std::move(*std::get_if<1>(&state_));
  }

 private:
  T* checked() {
    assert(ok());
    return std::get_if<0>(&state_);
  }
  const T* checked() const {
    assert(ok());
    return std::get_if<0>(&state_);
  }
  std::variant<T, Error> state_;
};

// For work that yields nothing but may fail.
struct Done {};
using Outcome = Result<Done>;

}  // namespace loftledger
