// Text to tree and back.
#pragma once

#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>

#include "engine/base/result.hpp"
#include "engine/formula/ast.hpp"

namespace loftledger::formula {

enum class Syntax : std::uint8_t {
  open_formula,  // references in brackets: SUM([.A1:.B2]); the stored form
  plain,         // as typed in a cell: SUM(A1:B2), Sheet2.A1, $'My sheet'.$A$1
};

// At least what the office takes; more is refused, so that no formula exhausts the stack.
inline constexpr std::size_t kMaxDepth = 200;
inline constexpr std::size_t kMaxLength = 65536;  // bytes
inline constexpr std::size_t kMaxNodes = 16384;

// Parses a formula without its "of:" prefix; a leading "=" may be there. The error's sentence says
// what was expected and where ("expected a closing bracket at character 12, before \";3)\"").
Result<Tree> parse(std::string_view text, Syntax syntax);

// Writes the tree back. parse(print(t)) gives the same tree, positions aside.
std::string print(const Tree& tree, Syntax syntax);

// The tree in brackets, for tests: "(+ 1 (call SUM [.A1:.B2]))".
std::string dump(const Tree& tree);

}  // namespace loftledger::formula
