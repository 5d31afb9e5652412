// Trees of formulas for tests: comparing them, and making them at random.
#pragma once

#include <string>

#include "engine/formula/ast.hpp"

namespace loftledger::support {

// What differs between two trees, positions aside; empty where nothing does.
std::string difference(const formula::Tree& a, const formula::Tree& b);

// The tree without its group nodes.
formula::Tree without_groups(const formula::Tree& tree);

// A tree that depends on the seed alone: all kinds of nodes and operators, references of all
// shapes. Groups stand where the written formula needs them and now and then where it does not, or
// nowhere.
enum class Groups { where_due, none };
formula::Tree random_tree(unsigned seed, Groups groups);

}  // namespace loftledger::support
