#include "engine/ods/markup/xml.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cstring>
#include <utility>

namespace loftledger::ods {

namespace {

constexpr std::size_t kMaxDepth = 2000;
constexpr std::size_t kMaxToken = std::size_t{1} << 28;  // of one tag or comment, in bytes
constexpr std::string_view kByteOrderMark = "\xEF\xBB\xBF";

enum class Class : std::uint8_t { plain, space, less, ampersand, bracket, carriage_return, quote };

// What a byte means inside a text.
constexpr auto kInText = [] {
  std::array<Class, 256> out{};
  out['<'] = Class::less;
  out['&'] = Class::ampersand;
  out[']'] = Class::bracket;
  out['\r'] = Class::carriage_return;
  return out;
}();

// What a byte means inside an attribute's value.
constexpr auto kInValue = [] {
  std::array<Class, 256> out{};
  out['<'] = Class::less;
  out['&'] = Class::ampersand;
  out['"'] = out['\''] = Class::quote;
  out['\t'] = out['\n'] = out['\r'] = Class::space;
  return out;
}();

constexpr auto kNameBytes = [] {
  std::array<bool, 256> out{};
  for (int c = 0; c < 256; ++c) {
    out[static_cast<std::size_t>(c)] = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') ||
                                       (c >= '0' && c <= '9') || c == '_' || c == ':' || c == '-' ||
                                       c == '.' || c >= 0x80;
  }
  return out;
}();

constexpr bool in_name(char c) { return kNameBytes[static_cast<unsigned char>(c)]; }
constexpr bool begins_name(char c) {
  return in_name(c) && c != '-' && c != '.' && !(c >= '0' && c <= '9');
}

template <class Table>
Class class_of(const Table& table, char c) {
  return table[static_cast<unsigned char>(c)];
}

}  // namespace

Scanner::Scanner(std::string_view whole)
    : window_(whole.data()),
      window_end_(whole.data() + whole.size()),
      token_(whole.data()),
      at_(whole.data()),
      at_end_(true) {}

Scanner::Scanner(Blocks& blocks) : blocks_(&blocks) {}

// --- The window.

bool Scanner::refill() {
  if (at_end_) return false;
  Result<std::string_view> block = blocks_->next();
  if (!block) {
    error_ = std::move(block).error();
    return false;
  }
  if (block->empty()) {
    at_end_ = true;
    return false;
  }
  // What is still needed moves to the front, and the block comes behind it.
  const auto token_at = static_cast<std::size_t>(token_ - window_);
  const std::size_t from =
      keep_ < offset_of(token_) ? static_cast<std::size_t>(keep_ - window_offset_) : token_at;
  const std::size_t held = static_cast<std::size_t>(window_end_ - window_) - from;
  window_position_.pass({window_, from});
  if (held > 0 && from > 0) std::memmove(room_.data(), room_.data() + from, held);
  if (room_.size() < held + block->size()) {
    room_.resize(std::max(held + block->size(), room_.size() * 2));
  }
  std::memcpy(room_.data() + held, block->data(), block->size());
  window_ = room_.data();
  window_end_ = window_ + held + block->size();
  window_offset_ += from;
  token_ = at_ = window_ + (token_at - from);
  return check(*block, window_ + held);
}

bool Scanner::check(std::string_view block, const char* where) {
  const std::size_t wrong = check_.add(block);
  if (wrong == TextCheck::kFine) return true;
  failed(where + wrong, "this is no UTF-8, or a character that XML does not allow");
  return false;
}

Error Scanner::error_at(const char* at, std::string sentence) const {
  TextPosition position = window_position_;
  position.pass({window_, static_cast<std::size_t>(at - window_)});
  return Error(Code::argument, fmt::format("line {}, column {}: {}", position.lines + 1,
                                           position.characters + 1, sentence));
}

Error Scanner::error_here(std::string sentence) const {
  return error_at(token_, std::move(sentence));
}

Scanner::Step Scanner::failed(const char* at, std::string sentence) {
  error_ = error_at(at, std::move(sentence));
  return Step::failed;
}

// --- Tokens.

Scanner::Token Scanner::next() {
  if (!started_) {
    started_ = true;
    if (blocks_ == nullptr &&
        !check({window_, static_cast<std::size_t>(window_end_ - window_)}, window_)) {
      return Token::failed;
    }
  }
  if (error_.code != Code::none) return Token::failed;
  if (end_due_) {
    end_due_ = false;
    token_ = at_;
    close_element();
    return Token::end;
  }
  for (;;) {
    token_ = at_;
    Token token = Token::done;
    const Step step = scan(token);
    if (step == Step::failed) return Token::failed;
    if (step == Step::done) {
      if (token != Token::done) return token;
      continue;  // a comment or the like
    }
    // The window ends inside the token: read on, and scan it anew. Twice as much each time, so
    // that a long one is not scanned over and over.
    at_ = token_;
    const std::ptrdiff_t held = window_end_ - token_;
    if (static_cast<std::size_t>(held) > kMaxToken && !at_end_) {
      failed(token_, "a tag, comment or text is too long to be read");
      return Token::failed;
    }
    const bool ended = at_end_;
    bool more = refill();
    const bool any = more || !ended;  // the end, met just now, completes a text
    while (more && window_end_ - token_ < 2 * held) more = refill();
    if (error_.code != Code::none) return Token::failed;
    if (any) continue;
    return finish();
  }
}

Scanner::Token Scanner::finish() {
  if (!check_.complete()) {
    failed(window_end_, "the text ends inside a character");
  } else if (token_ != window_end_ && (*token_ == '<' || open_ends_.empty())) {
    failed(token_, "the text ends inside what begins here");
  } else if (!open_ends_.empty()) {
    failed(window_end_, fmt::format("the text ends before </{}>", innermost()));
  } else if (!root_seen_) {
    failed(window_end_, "there is no element in the text");
  } else {
    return Token::done;
  }
  return Token::failed;
}

Scanner::Token Scanner::skip() {
  const std::size_t outside = depth() - 1;
  for (;;) {
    const Token token = next();
    if (token == Token::failed || (token == Token::end && depth() == outside)) return token;
  }
}

// One token from at_ on. Leaves `token` as it is where what was read is none of the caller's.
Scanner::Step Scanner::scan(Token& token) {
  if (window_end_ - at_ < 2) {
    if (at_ == window_end_ || *at_ == '<' || !at_end_) return Step::more;
  }
  if (*at_ != '<') {
    if (offset_of(at_) == 0 && *at_ == kByteOrderMark[0]) return scan_mark();
    const Step step = scan_text();
    if (step == Step::done && !open_ends_.empty()) token = Token::text;
    return step;
  }
  switch (at_[1]) {
    case '/': {
      const Step step = scan_end();
      if (step == Step::done) token = Token::end;
      return step;
    }
    case '?':
      return scan_instruction();
    case '!': {
      if (const Step step = expect("<!--"); step != Step::failed) {
        return step == Step::done ? scan_comment() : step;
      }
      if (const Step step = expect("<![CDATA["); step != Step::failed) {
        if (step == Step::more) return step;
        if (open_ends_.empty()) return failed(at_, "text stands outside the document's element");
        token = Token::text;
        return scan_cdata();
      }
      if (const Step step = expect("<!DOCTYPE"); step != Step::failed) {
        return step == Step::done ? scan_doctype() : step;
      }
      return failed(at_, "after \"<!\" a comment or CDATA is due");
    }
    default: {
      const Step step = scan_start();
      if (step == Step::done) token = Token::start;
      return step;
    }
  }
}

Scanner::Step Scanner::expect(std::string_view text) const {
  const std::string_view rest(at_, static_cast<std::size_t>(window_end_ - at_));
  if (rest.starts_with(text)) return Step::done;
  return text.starts_with(rest) ? Step::more : Step::failed;
}

const char* Scanner::find(const char* from, std::string_view mark) const {
  const std::string_view rest(from, static_cast<std::size_t>(window_end_ - from));
  const std::size_t at = rest.find(mark);
  return at == rest.npos ? nullptr : from + at;
}

Scanner::Step Scanner::scan_mark() {
  const Step step = expect(kByteOrderMark);
  if (step == Step::done) at_ += kByteOrderMark.size();
  return step == Step::failed ? failed(at_, "text stands outside the document's element") : step;
}

Scanner::Step Scanner::scan_comment() {
  const char* const dashes = find(at_ + 4, "--");
  if (dashes == nullptr || dashes + 2 == window_end_) return Step::more;
  if (dashes[2] != '>') return failed(dashes, "two dashes cannot stand inside a comment");
  at_ = dashes + 3;
  return Step::done;
}

Scanner::Step Scanner::scan_cdata() {
  const char* const end = find(at_, "]]>");
  if (end == nullptr) return Step::more;
  at_ = end + 3;
  text_cdata_ = true;
  text_plain_ = false;
  return Step::done;
}

Scanner::Step Scanner::scan_instruction() {
  const char* const end = find(at_ + 2, "?>");
  if (end == nullptr) return Step::more;
  const std::string_view inside(at_ + 2, static_cast<std::size_t>(end - at_ - 2));
  const std::string_view target = inside.substr(0, inside.find_first_of(" \t\r\n"));
  if (target.empty() || !begins_name(target[0]) ||
      !std::all_of(target.begin(), target.end(), in_name)) {
    return failed(at_, "a processing instruction needs a name");
  }
  const bool first = offset_of(at_) == 0 || (offset_of(at_) == kByteOrderMark.size() && tag_ == 0 &&
                                             window_[0] == kByteOrderMark[0]);
  const bool reserved = target.size() == 3 && (target[0] | 32) == 'x' && (target[1] | 32) == 'm' &&
                        (target[2] | 32) == 'l';
  if (reserved && !(first && target == "xml" && inside.find("version") != inside.npos)) {
    return failed(at_, "an XML declaration can stand only at the very beginning");
  }
  at_ = end + 2;
  return Step::done;
}

Scanner::Step Scanner::scan_doctype() {
  if (root_seen_) return failed(at_, "a document type can stand only before the first element");
  const char* const end = find(at_, ">");
  const char* const subset = find(at_, "[");
  if (end == nullptr && subset == nullptr) return Step::more;
  if (subset != nullptr && (end == nullptr || subset < end)) {
    return failed(subset, "the document declares entities of its own, which are not read");
  }
  at_ = end + 1;
  return Step::done;
}

// --- Texts.

// A reference that begins at `at`; leaves `at` behind its semicolon.
Scanner::Step Scanner::scan_reference(const char*& at) {
  constexpr std::ptrdiff_t kLongest = 32;
  const char* const limit = std::min(window_end_, at + kLongest);
  const char* const end = std::find(at, limit, ';');
  if (end == limit) {
    if (limit == window_end_ && !at_end_) return Step::more;
    return failed(at, "an \"&\" begins no reference; as a character it is written \"&amp;\"");
  }
  const std::string_view inside(at + 1, static_cast<std::size_t>(end - at - 1));
  if (referred(inside) == 0) {
    return failed(at, fmt::format("\"&{};\" stands for no character", inside));
  }
  at = end + 1;
  return Step::done;
}

Scanner::Step Scanner::scan_text() {
  text_plain_ = true;
  text_cdata_ = false;
  const char* at = at_;
  if (open_ends_.empty()) {
    while (at < window_end_ && xml_space(*at)) ++at;
    if (at < window_end_ && *at != '<') {
      return failed(at, "text stands outside the document's element");
    }
    at_ = at;
    return Step::done;
  }
  for (; at < window_end_; ++at) {
    switch (class_of(kInText, *at)) {
      case Class::less:
        at_ = at;
        return Step::done;
      case Class::ampersand: {
        text_plain_ = false;
        const Step step = scan_reference(at);
        if (step != Step::done) return step;
        --at;
        break;
      }
      case Class::bracket:
        if (std::string_view(at, static_cast<std::size_t>(window_end_ - at)).starts_with("]]>")) {
          return failed(at, "\"]]>\" cannot stand inside a text");
        }
        break;
      case Class::carriage_return:
        text_plain_ = false;
        break;
      default:
        break;
    }
  }
  return Step::more;
}

void Scanner::append_text(std::string& out) const {
  std::string_view raw(token_, static_cast<std::size_t>(at_ - token_));
  if (text_plain_) {
    out += raw;
  } else if (!text_cdata_) {
    append_decoded(out, raw, false);
  } else {
    raw = raw.substr(9, raw.size() - 12);
    for (std::size_t i = 0; i < raw.size(); ++i) {
      const bool crlf = raw[i] == '\r' && i + 1 < raw.size() && raw[i + 1] == '\n';
      if (!crlf) out += raw[i] == '\r' ? '\n' : raw[i];
    }
  }
}

// --- Tags.

Scanner::Step Scanner::scan_start() {
  const char* at = at_ + 1;
  if (!begins_name(*at)) {
    return failed(at_, "a \"<\" begins no tag; as a character it is written \"&lt;\"");
  }
  while (at < window_end_ && in_name(*at)) ++at;
  const std::string_view qualified(at_ + 1, static_cast<std::size_t>(at - at_ - 1));
  if (open_ends_.empty() && root_seen_) {
    return failed(at_, fmt::format("<{}> stands behind the document's one element", qualified));
  }
  attributes_.clear();
  ++tag_;
  declares_ = false;
  for (;;) {
    const char* const gap = at;
    while (at < window_end_ && xml_space(*at)) ++at;
    if (at == window_end_) return Step::more;
    if (*at == '>') {
      closed_ = false;
      ++at;
      break;
    }
    if (*at == '/') {
      if (at + 1 == window_end_) return Step::more;
      if (at[1] != '>') return failed(at, "after \"/\" a tag must end");
      closed_ = true;
      at += 2;
      break;
    }
    if (at == gap || !begins_name(*at)) {
      return failed(at, fmt::format("an attribute or the end of <{}> is due", qualified));
    }
    const Step step = scan_attribute(at);
    if (step != Step::done) return step;
  }
  at_ = at;
  return open_element(qualified);
}

Scanner::Step Scanner::scan_attribute(const char*& at) {
  const auto place = [this](const char* p) { return static_cast<std::uint32_t>(p - token_); };
  Attribute out;
  out.begin = place(at);
  const char* const name = at;
  while (at < window_end_ && in_name(*at)) ++at;
  const std::string_view qualified(name, static_cast<std::size_t>(at - name));
  out.name_end = place(at);
  while (at < window_end_ && xml_space(*at)) ++at;
  if (at == window_end_) return Step::more;
  if (*at != '=') return failed(at, fmt::format("after {} a \"=\" is due", qualified));
  ++at;
  while (at < window_end_ && xml_space(*at)) ++at;
  if (at == window_end_) return Step::more;
  const char quote = *at;
  if (quote != '"' && quote != '\'') {
    return failed(at, fmt::format("the value of {} must stand in quotes", qualified));
  }
  ++at;
  out.value_begin = place(at);
  for (;; ++at) {
    if (at == window_end_) return Step::more;
    const Class c = class_of(kInValue, *at);
    if (c == Class::plain || (c == Class::quote && *at != quote)) continue;
    if (c == Class::quote) break;
    if (c == Class::less) {
      return failed(at, fmt::format("\"<\" cannot stand in the value of {}", qualified));
    }
    out.plain = false;
    if (c != Class::ampersand) continue;
    const Step step = scan_reference(at);
    if (step != Step::done) return step;
    --at;
  }
  out.value_end = place(at);
  ++at;
  if (qualified.starts_with("xmlns") && (qualified.size() == 5 || qualified[5] == ':')) {
    declares_ = true;
  }
  Namespaces::Known& entry = names_.known(qualified, true);
  if (entry.seen == tag_) {
    return failed(name, fmt::format("the attribute {} stands here twice", qualified));
  }
  entry.seen = tag_;
  out.name = entry.name;
  attributes_.push_back(out);
  return Step::done;
}

Scanner::Step Scanner::scan_end() {
  const char* at = at_ + 2;
  while (at < window_end_ && in_name(*at)) ++at;
  const std::string_view qualified(at_ + 2, static_cast<std::size_t>(at - at_ - 2));
  while (at < window_end_ && xml_space(*at)) ++at;
  if (at == window_end_) return Step::more;
  if (*at != '>') return failed(at, "an end tag must end with \">\"");
  if (open_ends_.empty()) return failed(at_, fmt::format("</{}> ends nothing", qualified));
  if (qualified != innermost()) {
    return failed(at_, fmt::format("</{}> stands where </{}> is due", qualified, innermost()));
  }
  at_ = at + 1;
  close_element();
  return Step::done;
}

std::string_view Scanner::innermost() const {
  const std::size_t begin = open_ends_.size() > 1 ? open_ends_[open_ends_.size() - 2] : 0;
  return std::string_view(open_).substr(begin);
}

Scanner::Step Scanner::open_element(std::string_view qualified) {
  if (open_ends_.size() == kMaxDepth) {
    return failed(token_, fmt::format("elements stand more than {} deep", kMaxDepth));
  }
  root_seen_ = true;
  open_ += qualified;
  open_ends_.push_back(static_cast<std::uint32_t>(open_.size()));
  if (declares_) bind();
  name_ = names_.known(qualified, false).name;
  open_names_.push_back(name_);
  end_due_ = closed_;
  return Step::done;
}

// Takes in the namespaces that the present tag declares, and reads its names anew.
void Scanner::bind() {
  std::string scratch;
  for (const Attribute& a : attributes_) {
    const std::string_view qualified(token_ + a.begin, a.name_end - a.begin);
    if (!qualified.starts_with("xmlns") || (qualified.size() > 5 && qualified[5] != ':')) continue;
    const std::string_view prefix = qualified.size() > 5 ? qualified.substr(6) : "";
    names_.bind(prefix, value(a, scratch), depth());
  }
  for (Attribute& a : attributes_) {
    a.name = names_.resolve({token_ + a.begin, a.name_end - a.begin}, true);
  }
}

void Scanner::close_element() {
  name_ = open_names_.back();
  open_names_.pop_back();
  names_.leave(depth());
  open_ends_.pop_back();
  open_.resize(open_ends_.empty() ? 0 : open_ends_.back());
}

// --- Attributes.

std::string_view Scanner::value(const Attribute& a, std::string& scratch) const {
  if (a.plain) return raw(a);
  scratch.clear();
  append_decoded(scratch, raw(a), true);
  return scratch;
}

std::string Scanner::text_of(Name attribute) const {
  std::string scratch;
  for (const Attribute& a : attributes_) {
    if (a.name == attribute) return std::string(value(a, scratch));
  }
  return {};
}

bool Scanner::has(Name attribute) const {
  return std::any_of(attributes_.begin(), attributes_.end(),
                     [&](const Attribute& a) { return a.name == attribute; });
}

}  // namespace loftledger::ods
