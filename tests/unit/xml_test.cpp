// Our scanner against expat, a parser that the world relies on: the same texts are well-formed, and
// the same is found in them.
#include <gtest/gtest.h>

#include <random>
#include <string>
#include <vector>

#include "engine/ods/markup/name.hpp"
#include "engine/ods/markup/xml.hpp"
#include "tests/support/xml/xml_events.hpp"

namespace loftledger::ods {
namespace {

using support::expat_events;
using support::scanner_events;

void expect_agreement(const std::string& text) {
  const auto expected = expat_events(text);
  for (const std::size_t block : {0, 1, 2, 7, 64}) {
    ASSERT_EQ(scanner_events(text, block), expected) << "blocks of " << block << ": " << text;
  }
}

TEST(Xml, AgreesWithExpatOnWellFormedTexts) {
  for (const char* text : {
           "<a/>",
           "<a></a>\n",
           "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<a b='1' c=\"2\"/>",
           "<a b=\"x&amp;y&#10;z &lt;&gt;&quot;&apos;\">t&#x20AC;xt</a>",
           "<a b=\"line\r\nbreak\ttab\">\r\ntext\r</a>",
           "<a><![CDATA[<b>&amp;]]]]><![CDATA[>]]></a>",
           "<!-- before --><a><!-- in --><b/>tail</a><!-- after -->",
           "<?go now?><a><?go?></a>",
           "<!DOCTYPE a PUBLIC \"-//x//y\" \"z.dtd\"><a/>",
           "<a:b xmlns:a=\"urn:x\" a:c=\"1\"><d/></a:b>",
           "<a b = \"1\"\n c\t=\n'2' ><b /></a >",
           "<a>\xC3\xA4\xE2\x82\xAC\xF0\x9F\xA7\xB8</a>",
           "\xEF\xBB\xBF<a/>",
           "<a>]] > ]]&gt; ></a>",
           "<a b='&#65;&#x41;'/>",
       }) {
    ASSERT_TRUE(expat_events(text)) << text;
    expect_agreement(text);
  }
}

TEST(Xml, AgreesWithExpatOnWhatIsNotWellFormed) {
  for (const char* text : {
           "",
           "text",
           "<a>",
           "<a",
           "<a b",
           "<a b=",
           "<a b=\"1",
           "<a b=1/>",
           "<a b=\"1\"c=\"2\"/>",
           "<a b=\"1\" b=\"2\"/>",
           "<a b=\"<\"/>",
           "<a></b>",
           "<a/><b/>",
           "</a>",
           "<a/>text",
           "<a>&nosuch;</a>",
           "<a>&</a>",
           "<a>&amp</a>",
           "<a>&#0;</a>",
           "<a>&#xD800;</a>",
           "<a>&#x110000;</a>",
           "<a>]]></a>",
           "<a>\x01</a>",
           "<a>\xFF</a>",
           "<a>\xC3</a>",
           "<a>\xC0\x80</a>",
           "<a>\xED\xA0\x80</a>",
           "<a><!-- -- --></a>",
           "<a><!-- ---></a>",
           "<a><![CDATA[</a>",
           "<a><?></a>",
           "<a><?xml version=\"1.0\"?></a>",
           " <?xml version=\"1.0\"?><a/>",
           "<1/>",
           "< a/>",
           "<a/ >",
           "<a><![cdata[x]]></a>",
           "<a/><!DOCTYPE a>",
           "<a>\xC3\xA4",
       }) {
    ASSERT_FALSE(expat_events(text)) << text;
    expect_agreement(text);
  }
}

// Small texts put together from pieces that matter, by a seeded generator.
TEST(Xml, AgreesWithExpatOnAnyMixture) {
  const std::vector<std::string> pieces = {
      "<a>",
      "</a>",
      "<b c=\"1\">",
      "</b>",
      "<d/>",
      "&amp;",
      "&#9;",
      "]]>",
      "<!--x-->",
      "\r\n",
      "<![CDATA[",
      "]]",
      "text",
      "\xC3\xA4",
      "\xC3",
      "\"",
      "'",
      "<",
      ">",
      "&",
      " ",
      "=",
      "<b c='&lt;' d=\"\t\"/>",
      "<?p q?>",
      "/",
      "<b c=\"",
      "-->",
      "<!--",
      "x:y",
      ";",
  };
  std::mt19937 random(7);
  int fine = 0;
  for (int round = 0; round < 40000; ++round) {
    std::string text = random() % 4 == 0 ? "" : "<a>";
    const bool closed = !text.empty() && random() % 4 != 0;
    for (auto n = random() % 6; n > 0; --n) text += pieces[random() % pieces.size()];
    if (closed) text += "</a>";
    const auto expected = expat_events(text);
    fine += expected.has_value();
    ASSERT_EQ(scanner_events(text, 0), expected) << text;
    ASSERT_EQ(scanner_events(text, 1 + random() % 9), expected) << text;
  }
  EXPECT_GT(fine, 3000);  // neither side of the comparison may run dry
}

TEST(Xml, RefusesEntitiesOfTheDocumentsOwn) {
  // Such a few hundred bytes would stand for gigabytes.
  const std::string text =
      "<!DOCTYPE a [<!ENTITY b \"bbbb\"><!ENTITY c \"&b;&b;&b;\">]>\n<a>&c;</a>";
  Scanner scanner{std::string_view(text)};
  EXPECT_EQ(scanner.next(), Scanner::Token::failed);
  EXPECT_EQ(scanner.error().sentence,
            "line 1, column 13: the document declares entities of its own, which are not read");
}

TEST(Xml, SaysWhereItFails) {
  const std::string text = "<a>\n<b>\xC3\xA4\xC3\xA4</c></a>";
  for (const bool whole : {true, false}) {
    struct Single : Blocks {
      std::string_view rest;
      Result<std::string_view> next() override {
        const std::string_view out = rest.substr(0, 1);
        rest.remove_prefix(out.size());
        return out;
      }
    } blocks;
    blocks.rest = text;
    Scanner scanner = whole ? Scanner(std::string_view(text)) : Scanner(blocks);
    while (scanner.next() != Scanner::Token::failed) {
    }
    EXPECT_EQ(scanner.error().sentence, "line 2, column 6: </c> stands where </b> is due");
  }
}

TEST(Xml, CountsCharactersOfLongLines) {
  // Of one, two, three and four bytes, in numbers that are no multiple of any stride.
  std::string line = "<a>";
  for (int i = 0; i < 5003; ++i) line += "x\xC3\xA4\xE2\x82\xAC\xF0\x9F\xA7\xB8";
  const std::string text = "<!---->\n" + line + "</b>";
  Scanner scanner{std::string_view(text)};
  while (scanner.next() != Scanner::Token::failed) {
  }
  EXPECT_EQ(scanner.error().sentence, "line 2, column 20016: </b> stands where </a> is due");
}

TEST(Xml, RefusesElementsWithoutEnd) {
  std::string text;
  for (int i = 0; i < 3000; ++i) text += "<a>";
  Scanner scanner{std::string_view(text)};
  while (scanner.next() == Scanner::Token::start) {
  }
  EXPECT_EQ(scanner.error().sentence, "line 1, column 6001: elements stand more than 2000 deep");
}

TEST(Xml, KnowsNamesByTheirNamespace) {
  const std::string text =
      "<x:table-cell xmlns:x=\"urn:oasis:names:tc:opendocument:xmlns:table:1.0\" x:formula=\"f\" "
      "formula=\"g\" table:formula=\"h\">"
      "<table-row xmlns=\"urn:oasis:names:tc:opendocument:xmlns:table:1.0\" xmlns:x=\"urn:other\" "
      "x:name=\"n\"/><x:table-row/></x:table-cell>";
  Scanner scanner{std::string_view(text)};
  ASSERT_EQ(scanner.next(), Scanner::Token::start);
  EXPECT_EQ(scanner.name(), "table:table-cell"_name);
  EXPECT_EQ(scanner.text_of("table:formula"_name), "f");
  ASSERT_EQ(scanner.next(), Scanner::Token::start);
  EXPECT_EQ(scanner.name(), "table:table-row"_name);
  EXPECT_FALSE(scanner.has("table:name"_name));
  EXPECT_EQ(scanner.bound_prefix("table"), std::nullopt);  // bound to no prefix but the empty one
  ASSERT_EQ(scanner.next(), Scanner::Token::end);
  EXPECT_EQ(scanner.name(), "table:table-row"_name);
  ASSERT_EQ(scanner.next(), Scanner::Token::start);
  EXPECT_EQ(scanner.name(), "table:table-row"_name);
  EXPECT_EQ(scanner.bound_prefix("table"), "x:");
  ASSERT_EQ(scanner.next(), Scanner::Token::end);
  ASSERT_EQ(scanner.next(), Scanner::Token::end);
  EXPECT_EQ(scanner.name(), "table:table-cell"_name);
  EXPECT_EQ(scanner.next(), Scanner::Token::done);
}

TEST(Xml, ReadsOtherEncodingsAsUtf8) {
  const std::string plain = "<a>\xC3\xA4\xF0\x9F\xA7\xB8</a>";
  const std::u16string wide = u"<a>\u00E4\U0001F9F8</a>";
  for (const bool little : {true, false}) {
    std::string bytes = little ? "\xFF\xFE" : "\xFE\xFF";
    for (const char16_t unit : wide) {
      const char low = static_cast<char>(unit & 0xFF);
      const char high = static_cast<char>(unit >> 8);
      bytes += little ? low : high;
      bytes += little ? high : low;
    }
    const auto read = in_utf8(bytes);
    ASSERT_TRUE(read);
    EXPECT_EQ(*read, plain);
    EXPECT_FALSE(in_utf8(bytes + "x"));
  }
  const auto latin = in_utf8("<?xml version=\"1.0\" encoding=\"ISO-8859-1\"?><a>\xE4</a>");
  ASSERT_TRUE(latin);
  EXPECT_EQ(*latin, "<a>\xC3\xA4</a>");
  EXPECT_FALSE(*in_utf8("<?xml version=\"1.0\" encoding=\"utf-8\"?><a/>"));  // as it is
  EXPECT_FALSE(in_utf8("<?xml version=\"1.0\" encoding=\"Shift_JIS\"?><a/>"));
}

}  // namespace
}  // namespace loftledger::ods
