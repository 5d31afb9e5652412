// The records: names that the office, the file format and the compiler take, and texts for people.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <regex>
#include <set>
#include <sstream>

#include "engine/catalogue/function.hpp"
#include "engine/planning/catalogue.hpp"
#include "tests/contract/interface_reader.hpp"

namespace loftledger::contract {
namespace {

using catalogue::Function;
using catalogue::Parameter;
using catalogue::Record;

// Words that mean something to C++ or to the interface language, and methods that the component
// has besides.
const std::set<std::string, std::less<>>& taken_words() {
  static const std::set<std::string, std::less<>> words = [] {
    std::set<std::string, std::less<>> out;
    std::istringstream all(
        "alignas alignof and and_eq asm auto bitand bitor bool break case catch char char8_t "
        "char16_t char32_t class compl concept const consteval constexpr constinit const_cast "
        "continue co_await co_return co_yield decltype default delete do double dynamic_cast else "
        "enum explicit export extern false float for friend goto if inline int long mutable "
        "namespace new noexcept not not_eq nullptr operator or or_eq private protected public "
        "register reinterpret_cast requires return short signed sizeof static static_assert "
        "static_cast struct switch template this thread_local throw true try typedef typeid "
        "typename union unsigned using virtual void volatile wchar_t while xor xor_eq "
        "any attribute boolean bound byte constants constrained context exception get hyper in "
        "inout interface maybeambiguous maybedefault maybevoid methods module needs object "
        "observes oneway optional out property published raises readonly removable sequence "
        "service set singleton string transient type "
        "acquire queryInterface release getImplementationName getSupportedServiceNames getTypes "
        "getImplementationId supportsService document f answer");
    for (std::string word; all >> word;) out.insert(word);
    return out;
  }();
  return words;
}

// The functions of OpenFormula (ODF 1.3, part 4): tests/data/openformula_names.txt.
std::set<std::string, std::less<>> standard_names() {
  std::set<std::string, std::less<>> out;
  std::istringstream lines(read_file("tests/data/openformula_names.txt"));
  for (std::string word; lines >> word;) {
    if (word.front() == '#') {
      std::getline(lines, word);
    } else {
      out.insert(word);
    }
  }
  return out;
}

std::string id_problem(std::string_view id) {
  static const std::regex kCamel("[a-z][a-z0-9]*(?:[A-Z][a-z0-9]*)*");
  if (!std::regex_match(std::string(id), kCamel)) return "is not lowerCamelCase";
  if (taken_words().contains(id)) return "is a word of C++ or of the interface language";
  return {};
}

std::string name_problem(std::string_view name, const std::set<std::string, std::less<>>& taken) {
  static const std::regex kUpper("[A-Z][A-Z0-9]*");
  static const std::regex kCell("[A-Z]{1,3}[0-9]+");
  if (!std::regex_match(std::string(name), kUpper)) return "is not in upper case";
  if (std::regex_match(std::string(name), kCell)) return "reads as a cell";
  if (taken.contains(name)) return "is a standard function's name";
  return {};
}

// What is wrong with a text for people; empty where nothing is.
std::string text_problem(std::string_view text, bool sentence) {
  if (text.empty()) return "is empty";
  for (char c : text) {
    if (static_cast<unsigned char>(c) < ' ') return "has a line break or another control character";
  }
  if (text.front() == ' ' || text.back() == ' ') return "has spaces at an end";
  if (text.find("  ") != std::string_view::npos) return "has two spaces in a row";
  if (sentence && text.back() != '.') return "does not end with a full stop";
  if (sentence && text.front() >= 'a' && text.front() <= 'z') return "begins with a small letter";
  // The rendered text puts the full stop behind a phrase.
  if (!sentence && text.back() == '.') return "ends with a full stop";
  return {};
}

TEST(Catalogue, IdsAreUniqueAndLegal) {
  std::set<std::string> seen;
  for (const Function* f : planning::catalogue().functions()) {
    EXPECT_EQ(id_problem(f->record.id), "") << f->record.id;
    // Saved workbooks hold ids in upper case.
    EXPECT_TRUE(seen.insert(catalogue::stored_name(*f)).second) << f->record.id;
    EXPECT_EQ(catalogue::stored_name(*f), fmt::format("LOFTLEDGER.PLANNING.{}", f->record.name));
  }
}

TEST(Catalogue, NamesAreUniqueAndNobodyElses) {
  const auto taken = standard_names();
  ASSERT_GT(taken.size(), 300U);
  std::set<std::string_view> seen;
  for (const Function* f : planning::catalogue().functions()) {
    EXPECT_EQ(name_problem(f->record.name, taken), "") << f->record.name;
    EXPECT_TRUE(seen.insert(f->record.name).second) << f->record.name;
  }
}

TEST(Catalogue, ParametersHaveUniqueLegalIdentifiers) {
  for (const Function* f : planning::catalogue().functions()) {
    std::set<std::string> seen;
    for (const Parameter& p : f->parameters) {
      const std::string id = catalogue::identifier(p);
      EXPECT_EQ(id_problem(id), "") << f->record.name << ": " << id;
      EXPECT_TRUE(seen.insert(id).second) << f->record.name << ": " << id;
    }
  }
}

TEST(Catalogue, WhatIsDueStandsBeforeWhatMayBeLeftOut) {
  for (const Function* f : planning::catalogue().functions()) {
    ASSERT_EQ(f->types.size(), f->parameters.size());
    for (std::size_t i = 0; i < f->required; ++i) {
      EXPECT_EQ(f->parameters[i].fallback.index(), 0U) << f->record.name << " " << i;
      EXPECT_FALSE(f->types[i].optional) << f->record.name << " " << i;
    }
  }
}

TEST(Catalogue, TextsAreCompleteAndTidy) {
  for (const Function* f : planning::catalogue().functions()) {
    const Record& r = f->record;
    SCOPED_TRACE(std::string(r.name));
    EXPECT_EQ(text_problem(r.summary, true), "") << r.summary;
    EXPECT_EQ(text_problem(r.returns, false), "") << r.returns;
    EXPECT_EQ(text_problem(r.source, false), "") << r.source;
    if (!r.detail.empty()) {
      EXPECT_EQ(text_problem(r.detail, true), "") << r.detail;
    }
    if (!r.caution.empty()) {
      EXPECT_EQ(text_problem(r.caution, true), "") << r.caution;
    }
    for (const Parameter& p : f->parameters) {
      EXPECT_EQ(text_problem(p.name, false), "") << p.name;
      EXPECT_EQ(text_problem(p.text, true), "") << p.text;
    }
  }
}

TEST(Catalogue, ExamplesCallTheirFunction) {
  for (const Function* f : planning::catalogue().functions()) {
    for (const catalogue::Example& e : f->examples) {
      EXPECT_TRUE(e.formula.starts_with('=')) << e.formula;
      EXPECT_NE(e.formula.find(fmt::format("{}(", f->record.name)), std::string_view::npos)
          << e.formula;
      if (!e.note.empty()) {
        EXPECT_EQ(text_problem(e.note, false), "") << e.note;
      }
    }
  }
}

TEST(Catalogue, TheChecksCanFail) {
  EXPECT_NE(id_problem("LoftFactor"), "");
  EXPECT_NE(id_problem("loft_factor"), "");
  EXPECT_NE(id_problem("optional"), "");
  EXPECT_EQ(id_problem("loftFactor"), "");
  const auto taken = standard_names();
  EXPECT_NE(name_problem("SUM", taken), "");
  EXPECT_NE(name_problem("SLN", taken), "");
  EXPECT_NE(name_problem("DAY2", taken), "");
  EXPECT_NE(name_problem("Loft", taken), "");
  EXPECT_EQ(name_problem("LOFTFACTOR", taken), "");
  EXPECT_NE(text_problem("", true), "");
  EXPECT_NE(text_problem("No stop", true), "");
  EXPECT_NE(text_problem("Two  spaces.", true), "");
  EXPECT_NE(text_problem("small letter.", true), "");
  EXPECT_NE(text_problem("a phrase.", false), "");
  EXPECT_EQ(text_problem("A sentence.", true), "");
}

}  // namespace
}  // namespace loftledger::contract
