#include "tests/support/xml/xml_events.hpp"

#include <expat.h>

#include <algorithm>
#include <vector>

#include "engine/ods/markup/xml.hpp"

namespace loftledger::support {

namespace {

struct Events {
  std::string out;
  std::string text;

  void flush() {
    if (!text.empty()) out += "text " + text + "\n";
    text.clear();
  }
  void start(std::string_view name, std::vector<std::string> attributes) {
    flush();
    std::sort(attributes.begin(), attributes.end());
    out += "<";
    out += name;
    for (const std::string& a : attributes) out += " " + a;
    out += "\n";
  }
  void end(std::string_view name) {
    flush();
    out += name;
    out += ">\n";
  }
};

void at_start(void* data, const char* name, const char** attributes) {
  std::vector<std::string> list;
  for (; *attributes != nullptr; attributes += 2) {
    list.push_back(std::string(attributes[0]) + "=" + attributes[1]);
  }
  static_cast<Events*>(data)->start(name, std::move(list));
}
void at_end(void* data, const char* name) { static_cast<Events*>(data)->end(name); }
void at_text(void* data, const char* text, int size) {
  static_cast<Events*>(data)->text.append(text, static_cast<std::size_t>(size));
}

class Pieces : public ods::Blocks {
 public:
  Pieces(std::string_view text, std::size_t size) : text_(text), size_(size) {}
  Result<std::string_view> next() override {
    const std::string_view out = text_.substr(0, size_);
    text_.remove_prefix(out.size());
    return out;
  }

 private:
  std::string_view text_;
  std::size_t size_;
};

std::string_view name_at(std::string_view tag, std::size_t from) {
  return tag.substr(from, tag.find_first_of(" \t\r\n/>", from) - from);
}

}  // namespace

std::optional<std::string> expat_events(std::string_view text) {
  Events events;
  XML_Parser parser = XML_ParserCreate("UTF-8");
  XML_SetUserData(parser, &events);
  XML_SetElementHandler(parser, at_start, at_end);
  XML_SetCharacterDataHandler(parser, at_text);
  const bool fine =
      XML_Parse(parser, text.data(), static_cast<int>(text.size()), 1) == XML_STATUS_OK;
  XML_ParserFree(parser);
  if (!fine) return std::nullopt;
  return events.out;
}

namespace {

struct List {
  std::vector<std::string> events;
  bool in_text = false;

  void add(std::string event) {
    events.push_back(std::move(event));
    in_text = false;
  }
  void text(std::string_view piece) {
    if (!in_text) events.emplace_back("text ");
    events.back() += piece;
    in_text = true;
  }
};

List& list(void* data) { return *static_cast<List*>(data); }

}  // namespace

std::optional<std::vector<std::string>> everything_seen(std::string_view text) {
  List seen;
  XML_Parser parser = XML_ParserCreate("UTF-8");
  XML_SetUserData(parser, &seen);
  XML_SetElementHandler(
      parser,
      [](void* data, const char* name, const char** attributes) {
        std::vector<std::string> each;
        for (; *attributes != nullptr; attributes += 2) {
          const std::string_view attribute = attributes[0];
          if (attribute == "xmlns" || attribute.starts_with("xmlns:")) continue;
          each.push_back(std::string(attribute) + "=" + attributes[1]);
        }
        std::sort(each.begin(), each.end());
        std::string event = "<" + std::string(name);
        for (const std::string& attribute : each) event += " " + attribute;
        list(data).add(std::move(event));
      },
      [](void* data, const char* name) { list(data).add(std::string(name) + ">"); });
  XML_SetCharacterDataHandler(parser, [](void* data, const char* piece, int size) {
    list(data).text({piece, static_cast<std::size_t>(size)});
  });
  XML_SetCommentHandler(parser, [](void* data, const char* comment) {
    list(data).add("comment " + std::string(comment));
  });
  XML_SetProcessingInstructionHandler(
      parser, [](void* data, const char* target, const char* content) {
        list(data).add("instruction " + std::string(target) + " " + content);
      });
  XML_SetCdataSectionHandler(
      parser, [](void* data) { list(data).add("CDATA"); },
      [](void* data) { list(data).add("end of CDATA"); });
  const bool fine =
      XML_Parse(parser, text.data(), static_cast<int>(text.size()), 1) == XML_STATUS_OK;
  XML_ParserFree(parser);
  if (!fine) return std::nullopt;
  return std::move(seen.events);
}

std::optional<std::string> scanner_events(std::string_view text, std::size_t block) {
  using Token = ods::Scanner::Token;
  Pieces pieces(text, block);
  ods::Scanner scanner = block == 0 ? ods::Scanner(text) : ods::Scanner(pieces);
  Events events;
  std::vector<std::string> open;
  for (;;) {
    switch (scanner.next()) {
      case Token::start: {
        const std::string_view tag = scanner.bytes(scanner.begin(), scanner.end());
        std::vector<std::string> list;
        std::string scratch;
        for (const ods::Attribute& a : scanner.attributes()) {
          list.push_back(std::string(tag.substr(a.begin, a.name_end - a.begin)) + "=");
          list.back() += scanner.value(a, scratch);
        }
        open.emplace_back(name_at(tag, 1));
        events.start(open.back(), std::move(list));
        break;
      }
      case Token::end:
        events.end(open.back());
        open.pop_back();
        break;
      case Token::text:
        scanner.append_text(events.text);
        break;
      case Token::done:
        return events.out;
      case Token::failed:
        return std::nullopt;
    }
  }
}

}  // namespace loftledger::support
