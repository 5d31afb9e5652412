// Every error code has a form that cells show, a sentence, and a way back from the shown form.
#include <gtest/gtest.h>

#include <regex>
#include <set>

#include "engine/base/error.hpp"
#include "tests/contract/interface_reader.hpp"

namespace loftledger::contract {
namespace {

// The numbers that the enumeration in error.hpp gives.
std::set<int> enumerated() {
  const std::string text = read_file("engine/base/error.hpp");
  const std::size_t begin = text.find("enum class Code");
  const std::string body = text.substr(begin, text.find("};", begin) - begin);
  static const std::regex kRow(R"(= (\d+),)");
  std::set<int> out;
  for (std::sregex_iterator each(body.begin(), body.end(), kRow), end; each != end; ++each) {
    out.insert(std::stoi((*each)[1]));
  }
  out.erase(0);
  return out;
}

TEST(ErrorMap, EveryCodeIsShownAndExplainedOnceAndRead) {
  const std::set<int> numbers = enumerated();
  ASSERT_GT(numbers.size(), 15U);
  std::set<std::string> forms;
  std::set<std::string_view> sentences;
  for (int number : numbers) {
    const Code code = static_cast<Code>(number);
    const std::string form = shown(code);
    SCOPED_TRACE(form);
    EXPECT_TRUE(form.starts_with('#') || form == "Err:" + std::to_string(number));
    EXPECT_TRUE(forms.insert(form).second);
    EXPECT_TRUE(sentences.insert(general_sentence(code)).second);
    EXPECT_NE(general_sentence(code), general_sentence(static_cast<Code>(1)));
    EXPECT_EQ(code_of(form), code);
  }
}

TEST(ErrorMap, WhatIsNoErrorIsRead) {
  EXPECT_EQ(code_of("60"), Code::none);
  EXPECT_EQ(code_of(""), Code::none);
}

}  // namespace
}  // namespace loftledger::contract
