// A formula as a tree that can be cut up and put together again: small terms, shared and never
// changed once they are made.
#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "engine/formula/ast.hpp"

namespace loftledger::differential {

struct Term;
using TermPointer = std::shared_ptr<const Term>;

struct Term {
  formula::Node node;            // its children stand in parts, its reference in reference
  formula::Reference reference;  // where the node is one
  std::vector<TermPointer> parts;
};

TermPointer number_term(double number);
TermPointer text_term(std::string text);
TermPointer error_term(Code code);
TermPointer missing_term();
TermPointer name_term(std::string name);
TermPointer reference_term(formula::Reference reference);
TermPointer call_term(std::string_view name, std::vector<TermPointer> arguments);
TermPointer operation_term(formula::Kind kind, formula::Operator op,
                           std::vector<TermPointer> operands);
TermPointer group_term(TermPointer inside);
// An array of the constants, row by row.
TermPointer array_term(std::uint32_t rows, std::uint32_t columns, std::vector<TermPointer> parts);

TermPointer term_of(const formula::Tree& tree, formula::NodeIndex node);
// In the stored form, with "of:=", as it stands that many rows below the cell that it was made for.
std::string stored(const Term& term, std::int32_t rows_below = 0);

std::size_t size(const Term& term);
// Calls the visitor with every part of the term, itself first.
void each_part(const TermPointer& term, const std::function<void(const TermPointer&)>& visit);
// The term with the part of that number, as each_part counts, replaced.
TermPointer replaced(const TermPointer& term, std::size_t part, const TermPointer& by);

}  // namespace loftledger::differential
