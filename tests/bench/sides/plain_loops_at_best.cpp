#include "tests/bench/sides/plain_loops.hpp"

namespace loftledger::bench {

void plain_loops_at_best(ByHand::Columns& columns, double factor) {
  plain_loops_here(columns, factor);
}

}  // namespace loftledger::bench
