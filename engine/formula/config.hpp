// The types that the grammar is compiled for; only grammar.cpp includes this.
#pragma once

#include <boost/spirit/home/x3.hpp>
#include <functional>

#include "engine/formula/builder.hpp"
#include "engine/formula/parse.hpp"
#include "engine/formula/spelling.hpp"

namespace loftledger::formula::grammar {

namespace x3 = boost::spirit::x3;

using Iterator = const char*;

// What the actions work on.
struct Work {
  Builder& builder;
  Iterator first;
  Syntax syntax;
  std::size_t at(Iterator i) const { return static_cast<std::size_t>(i - first); }
};
struct WorkTag;

template <class Context>
Work& work(Context& context) {
  return x3::get<WorkTag>(context).get();
}

// One byte of a class that we define ourselves: Spirit's own classes ask the locale or refuse bytes
// beyond ASCII.
template <bool (*Test)(char)>
struct CharacterOf : x3::char_parser<CharacterOf<Test>> {
  using attribute_type = char;
  static constexpr bool has_attribute = true;
  template <class Char, class Context>
  bool test(Char c, const Context&) const {
    return Test(c);
  }
};

// A letter of a name, in as many bytes as it takes.
struct Letter : x3::parser<Letter> {
  using attribute_type = x3::unused_type;
  static constexpr bool has_attribute = false;
  template <class Context, class Other, class Attribute>
  bool parse(Iterator& first, const Iterator& last, const Context&, Other&, Attribute&) const {
    const std::size_t bytes = letter_bytes({first, static_cast<std::size_t>(last - first)});
    first += bytes;
    return bytes > 0;
  }
};

// A parser with a name that an error's sentence can use.
struct Plain;
template <class Parser>
auto expected(const char* name, Parser parser) {
  return x3::rule<Plain>{name} = parser;
}

}  // namespace loftledger::formula::grammar
