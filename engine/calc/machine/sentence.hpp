// An error in words, as the cell says them that shows it.
#pragma once

#include <string>

#include "engine/base/address.hpp"
#include "engine/base/error.hpp"
#include "engine/standard/call/cells.hpp"

namespace loftledger::calc {

// The sentence of an error that the cell `at` shows; it begins with the cell where the error arose,
// where that is another one.
std::string sentence_at(const Error& error, CellAddress at, const standard::Cells& cells);

}  // namespace loftledger::calc
