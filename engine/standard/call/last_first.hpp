// Arguments read from the last to the first, as the office reads those of its regressions and
// forecasts. An error of converting does not end the call: it waits, and is forgotten where the
// call comes to an array.
#pragma once

#include <cstddef>
#include <optional>
#include <utility>

#include "engine/standard/call/call.hpp"

namespace loftledger::standard {

class LastFirst {
 public:
  explicit LastFirst(Call& call);

  // An option; 0 where it cannot be converted, `otherwise` where it is not given.
  double option(std::size_t index, double otherwise);
  // An argument as an array, none where it is not one. A single value becomes the error that waits;
  // a single cell in error waits in the place of any other.
  std::optional<Matrix> array(std::size_t index);

  // Two arguments that stand side by side, as arrays; where one is none the call fails.
  struct Arrays {
    Matrix first;
    Matrix second;
  };
  std::optional<Arrays> arrays(std::size_t first);

  // Notes an error that waits unless one does.
  void wait(Value error);

  // That an argument is no array, or the error that waits.
  Error no_array(std::size_t index) const;
  // What a refused call is answered with: the error that waits, or this one.
  Error refused(Error otherwise) const;
  void refuse(Error otherwise) { call_.fail(refused(std::move(otherwise))); }
  const Value& waiting() const { return waiting_; }

 private:
  Call& call_;
  Value waiting_;  // the error, or empty
  bool several_areas_ = false;
};

}  // namespace loftledger::standard
