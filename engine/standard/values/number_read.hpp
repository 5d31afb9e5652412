// What a text was read as.
#pragma once

#include <cstdint>

namespace loftledger::standard {

enum class Reading : std::uint8_t {
  number,
  percent,
  currency,
  date,
  time,
  date_time,
  fraction,
  boolean,
  scientific
};

struct NumberRead {
  double value = 0;
  Reading reading = Reading::number;
};

}  // namespace loftledger::standard
