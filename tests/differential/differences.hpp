// What the office may show where the engine shows something else: the differences that a rule
// allows. Any other between the same formula's answers counts.
#pragma once

#include <string_view>

#include "engine/base/value.hpp"

namespace loftledger::differential {

bool both_numbers(const Value& office, const Value& engine);
bool both_texts(const Value& office, const Value& engine);
// Numbers so near, relative to the engine's, or texts that are the same but for such numbers.
bool near(const Value& office, const Value& engine, double relative);
// Texts that are the same but for the digits of one number behind so many.
bool same_digits(const Value& office, const Value& engine, std::size_t digits);
// Texts that are the same but for numbers so near, relative to the second's.
bool texts_near(std::string_view office, std::string_view engine, double relative);
// The office's text lacks the characters that no XML file can hold, and nothing else.
bool without_controls(const Value& office, const Value& engine);

}  // namespace loftledger::differential
