// Bytes that come piece by piece.
#pragma once

#include <string_view>

#include "engine/base/result.hpp"

namespace loftledger::ods {

// Where the bytes come from, block by block.
class Blocks {
 public:
  virtual ~Blocks() = default;
  // The next block, valid until the next call; empty at the end.
  virtual Result<std::string_view> next() = 0;
};

}  // namespace loftledger::ods
