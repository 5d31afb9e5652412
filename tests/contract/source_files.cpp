#include "tests/contract/source_files.hpp"

#include <algorithm>
#include <cctype>
#include <filesystem>
#include <string_view>

namespace loftledger::contract {

namespace {

namespace fs = std::filesystem;

bool is_word(char c) { return std::isalnum(static_cast<unsigned char>(c)) != 0 || c == '_'; }

// Copies a source and blanks what is not kept.
class Stripper {
 public:
  Stripper(const std::string& source, Keep keep) : in_(source), keep_(keep) {}

  std::string run() {
    while (at_ < in_.size()) {
      if (starts("//")) {
        blank(in_.find('\n', at_));
      } else if (starts("/*")) {
        blank(past(in_.find("*/", at_ + 2), 2));
      } else if (in_[at_] == '"') {
        text(raw() ? end_of_raw() : end_of_quoted('"'));
      } else if (in_[at_] == '\'' && !separates_digits()) {
        text(end_of_quoted('\''));
      } else {
        out_ += in_[at_++];
      }
    }
    return out_;
  }

 private:
  bool starts(std::string_view mark) const { return in_.compare(at_, mark.size(), mark) == 0; }
  static std::size_t past(std::size_t found, std::size_t length) {
    return found == std::string::npos ? found : found + length;
  }
  void blank(std::size_t end) {
    for (end = std::min(end, in_.size()); at_ < end; ++at_) out_ += in_[at_] == '\n' ? '\n' : ' ';
  }
  // Up to the end, which stands behind the closing mark; the marks themselves stay.
  void text(std::size_t end) {
    end = std::min(end, in_.size());
    if (keep_ == Keep::code_and_texts) {
      out_.append(in_, at_, end - at_);
      at_ = end;
      return;
    }
    out_ += in_[at_++];
    if (end > at_) blank(end - 1);
    if (at_ < end) out_ += in_[at_++];
  }
  // The word that ends right before the place.
  std::string_view word_before() const {
    std::size_t from = at_;
    while (from > 0 && (is_word(in_[from - 1]) || in_[from - 1] == '\'')) --from;
    return std::string_view(in_).substr(from, at_ - from);
  }
  bool raw() const {
    const std::string_view word = word_before();
    return word == "R" || word == "u8R" || word == "uR" || word == "UR" || word == "LR";
  }
  bool separates_digits() const {
    const std::string_view word = word_before();
    return !word.empty() && std::isdigit(static_cast<unsigned char>(word.front())) != 0;
  }
  std::size_t end_of_raw() const {
    const std::size_t open = in_.find('(', at_);
    if (open == std::string::npos) return open;
    const std::string close = ")" + in_.substr(at_ + 1, open - at_ - 1) + "\"";
    return past(in_.find(close, open), close.size());
  }
  std::size_t end_of_quoted(char mark) const {
    std::size_t end = at_ + 1;
    while (end < in_.size() && in_[end] != mark && in_[end] != '\n') {
      end += in_[end] == '\\' ? 2 : 1;
    }
    return end + 1;
  }

  const std::string& in_;
  Keep keep_;
  std::size_t at_ = 0;
  std::string out_;
};

}  // namespace

std::vector<std::string> source_files() {
  std::vector<std::string> out;
  const fs::path root(LOFTLEDGER_SOURCE);
  for (const char* top : {"engine", "addin", "templates", "tests"}) {
    for (const fs::directory_entry& entry : fs::recursive_directory_iterator(root / top)) {
      const std::string ending = entry.path().extension().string();
      if (ending == ".cpp" || ending == ".hpp") {
        out.push_back(fs::relative(entry.path(), root).generic_string());
      }
    }
  }
  std::sort(out.begin(), out.end());
  return out;
}

std::string folder_of(const std::string& path) {
  const std::size_t slash = path.rfind('/');
  return slash == std::string::npos ? std::string() : path.substr(0, slash);
}

std::string stripped(const std::string& source, Keep keep) { return Stripper(source, keep).run(); }

std::size_t line_at(const std::string& source, std::size_t position) {
  const auto end = source.begin() + static_cast<std::ptrdiff_t>(position);
  return static_cast<std::size_t>(std::count(source.begin(), end, '\n')) + 1;
}

}  // namespace loftledger::contract
