// Reads XML piece by piece: a document of any length takes the room of one block.
#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "engine/base/result.hpp"
#include "engine/ods/markup/blocks.hpp"
#include "engine/ods/markup/name.hpp"
#include "engine/ods/markup/namespaces.hpp"
#include "engine/ods/markup/text_position.hpp"
#include "engine/ods/markup/xml_text.hpp"

namespace loftledger::ods {

// Positions count bytes from the beginning of the tag.
struct Attribute {
  Name name = kNoName;
  std::uint32_t begin = 0;
  std::uint32_t name_end = 0;
  std::uint32_t value_begin = 0;
  std::uint32_t value_end = 0;
  bool plain = true;  // the value stands as it is: nothing to decode
  std::uint32_t end() const { return value_end + 1; }
};

// A pull parser for what OpenDocument files are: namespaces, no entities of their own. Checks that
// the text is well-formed and says where it is not.
class Scanner {
 public:
  // A text that is in memory as a whole; nothing is copied.
  explicit Scanner(std::string_view whole);
  explicit Scanner(Blocks& blocks);

  enum class Token : std::uint8_t { start, end, text, done, failed };
  // An element that closes itself ("<a/>") gives a start and an end.
  Token next();
  // After a start: passes over the element's content and its end tag.
  Token skip();

  // Of a start or an end.
  Name name() const { return name_; }
  // Of a start. What the following functions give is valid until the next token.
  bool closed() const { return closed_; }  // "<a/>"
  const std::vector<Attribute>& attributes() const { return attributes_; }
  std::string_view raw(const Attribute& a) const {
    return {token_ + a.value_begin, a.value_end - a.value_begin};
  }
  // The attribute's value; `scratch` is used where it has to be decoded.
  std::string_view value(const Attribute& a, std::string& scratch) const;
  // The value of the attribute of that name; empty where there is none.
  std::string text_of(Name attribute) const;
  bool has(Name attribute) const;

  // Of a text: adds it, decoded.
  void append_text(std::string& out) const;

  // Where the token stands in the whole text, in bytes.
  std::uint64_t begin() const { return offset_of(token_); }
  std::uint64_t end() const { return offset_of(at_); }
  // Holds the bytes from there on, so that bytes() can give them.
  void keep(std::uint64_t from) { keep_ = from; }
  // A stretch that is kept, up to the end of the present token at most.
  std::string_view bytes(std::uint64_t from, std::uint64_t to) const {
    return {window_ + (from - window_offset_), static_cast<std::size_t>(to - from)};
  }

  std::size_t depth() const { return open_ends_.size(); }
  // As Namespaces has it for the present place.
  std::optional<std::string> bound_prefix(std::string_view standard) const {
    return names_.bound_prefix(standard);
  }
  std::string_view standard_of(std::string_view prefix) const { return names_.standard_of(prefix); }
  bool binds(std::string_view prefix) const { return names_.binds(prefix); }
  std::map<std::string, std::string> declarations() const { return names_.declarations(); }

  // With the line and the column where it is.
  const Error& error() const { return error_; }
  // An error about the present token, in the same form.
  Error error_here(std::string sentence) const;

 private:
  enum class Step : std::uint8_t { done, more, failed };
  std::uint64_t offset_of(const char* at) const {
    return window_offset_ + static_cast<std::uint64_t>(at - window_);
  }
  bool refill();
  bool check(std::string_view block, const char* where);
  Error error_at(const char* at, std::string sentence) const;
  Step failed(const char* at, std::string sentence);
  Token finish();

  // Each begins at at_ and leaves it behind what it read. Where the window ends before that, they
  // say `more` and begin again when it holds more.
  Step scan(Token& token);
  Step scan_mark();
  Step scan_text();
  Step scan_comment();
  Step scan_cdata();
  Step scan_instruction();
  Step scan_doctype();
  Step scan_start();
  Step scan_attribute(const char*& at);
  Step scan_reference(const char*& at);
  Step scan_end();
  // Whether `text` stands at at_; more where the window ends inside it.
  Step expect(std::string_view text) const;
  const char* find(const char* from, std::string_view mark) const;

  std::string_view innermost() const;
  Step open_element(std::string_view qualified);
  void close_element();
  void bind();

  Blocks* blocks_ = nullptr;
  std::vector<char> room_;
  const char* window_ = nullptr;  // what is held of the text
  const char* window_end_ = nullptr;
  std::uint64_t window_offset_ = 0;
  const char* token_ = nullptr;
  const char* at_ = nullptr;
  std::uint64_t keep_ = ~std::uint64_t{0};
  TextPosition window_position_;
  TextCheck check_;
  bool started_ = false;
  bool at_end_ = false;

  Name name_ = kNoName;
  bool closed_ = false;
  bool end_due_ = false;
  bool declares_ = false;  // the present tag declares namespaces
  bool text_plain_ = true;
  bool text_cdata_ = false;
  bool root_seen_ = false;
  std::uint64_t tag_ = 0;  // counts tags
  std::vector<Attribute> attributes_;
  std::string open_;  // the names of the elements that are open, one behind the other
  std::vector<std::uint32_t> open_ends_;
  std::vector<Name> open_names_;
  Namespaces names_;
  Error error_;
};

}  // namespace loftledger::ods
