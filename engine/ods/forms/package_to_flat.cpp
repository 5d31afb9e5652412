#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <optional>
#include <set>
#include <utility>
#include <vector>

#include "engine/ods/forms/convert.hpp"
#include "engine/ods/markup/splices.hpp"
#include "engine/ods/markup/xml.hpp"
#include "engine/ods/markup/xml_text.hpp"
#include "engine/ods/package/base64.hpp"

namespace loftledger::ods {

namespace {

using Token = Scanner::Token;
using Declarations = std::map<std::string, std::string>;

constexpr std::uint64_t kMostBytes = std::uint64_t{4} << 30;
constexpr Name kAutomatic = "office:automatic-styles"_name;

// One XML file of the package: its text, with pictures and embedded documents put in.
struct File {
  std::string name;
  std::string text;
  Declarations declarations;
  std::string version;          // as it stands in an attribute
  std::string root_attributes;  // but for namespaces, version and type
  struct Child {
    Name name = kNoName;
    std::uint64_t begin = 0;
    std::uint64_t end = 0;
  };
  Child root;
  std::uint64_t tag_end = 0;      // of the root
  std::uint64_t content_end = 0;  // before its end tag
  std::vector<Child> children;    // of the root
  Splices splices;

  const Child* child(Name wanted) const {
    const auto found = std::find_if(children.begin(), children.end(),
                                    [wanted](const Child& c) { return c.name == wanted; });
    return found == children.end() ? nullptr : &*found;
  }
};

// A style or font by its kind, family and name, and where it stands.
struct Style {
  std::string key;
  std::string name;
  std::uint64_t begin = 0;
  std::uint64_t end = 0;
};

class Joiner {
 public:
  explicit Joiner(const Archive& archive) : archive_(archive) { read_types(); }

  // The document in that folder of the package as an office:document.
  Result<std::string> join(const std::string& folder, std::optional<std::string_view> content,
                           std::string_view mimetype, int level);

 private:
  Result<File> read(const std::string& folder, std::string_view name,
                    std::optional<std::string_view> text, int level);
  Outcome put_in(File& file, const Scanner& scanner, const std::string& folder, int level);
  Result<std::string> data_for(const Scanner& scanner, const std::string& path, int level);
  std::string child(File& file, Name name, const Declarations& root) const;
  std::string start_tag(const File& content, const Declarations& root,
                        std::string_view mimetype) const;
  std::string styles(File& content, File& styles, Name name, const Declarations& root,
                     const std::set<std::string>& renamed) const;

  void read_types();

  const Archive& archive_;
  std::map<std::string, std::string> types_;  // of the folders that are documents
  std::uint64_t written_ = 0;
};

std::string in_scope(const Declarations& own, const Declarations& outer) {
  std::string out;
  for (const auto& [prefix, uri] : own) {
    const auto held = outer.find(prefix);
    if (held != outer.end() && held->second == uri) continue;
    out += prefix.empty() ? " xmlns=\"" : fmt::format(" xmlns:{}=\"", prefix);
    append_escaped(out, uri, true);
    out += '"';
  }
  return out;
}

bool part_of_reference(Name attribute) {
  return attribute == "xlink:href"_name || attribute == "xlink:type"_name ||
         attribute == "xlink:show"_name || attribute == "xlink:actuate"_name;
}

std::string_view office_prefix(const Declarations& declarations) {
  for (const auto& [prefix, uri] : declarations) {
    if (standard_prefix(uri) == "office" && !prefix.empty()) return prefix;
  }
  return "office";
}

// What stands for the reference inside the element; empty where the package has nothing there.
Result<std::string> Joiner::data_for(const Scanner& scanner, const std::string& path, int level) {
  const ZipEntry* entry = archive_.find(path);
  if (entry != nullptr && !entry->folder()) {
    Result<std::string> bytes = archive_.unpack(*entry);
    if (!bytes) return std::move(bytes).error();
    const std::string prefix = scanner.bound_prefix("office").value_or("office:");
    return fmt::format("<{0}binary-data>{1}</{0}binary-data>", prefix, base64(*bytes));
  }
  const bool document = scanner.name() == "draw:object"_name && path.size() > 0 &&
                        archive_.find(path + "/content.xml") != nullptr;
  if (!document) return std::string();
  if (level == kMostLevels) return Error(Code::argument, "documents stand too deep in each other");
  return join(path + "/", std::nullopt, types_[path + "/"], level + 1);
}

void Joiner::read_types() {
  const ZipEntry* entry = archive_.find("META-INF/manifest.xml");
  if (entry == nullptr) return;
  const std::unique_ptr<Blocks> blocks = inflate(*entry);
  Scanner scanner(*blocks);
  for (Token token = scanner.next(); token != Token::done && token != Token::failed;
       token = scanner.next()) {
    if (token != Token::start) continue;
    const std::string path = scanner.text_of("manifest:full-path"_name);
    if (path.ends_with('/')) types_[path] = scanner.text_of("manifest:media-type"_name);
  }
}

Outcome Joiner::put_in(File& file, const Scanner& scanner, const std::string& folder, int level) {
  std::string href = scanner.text_of("xlink:href"_name);
  if (href.starts_with("./")) href.erase(0, 2);
  if (href.empty() || href.find("..") != href.npos || href.find(':') != href.npos) return Done{};
  Result<std::string> data = data_for(scanner, folder + href, level);
  if (!data) return std::move(data).error();
  if (data->empty()) return Done{};
  written_ += data->size();
  if (written_ > kMostBytes) return Error(Code::argument, "the flat document would be too large");
  const std::uint64_t begin = scanner.begin();
  const std::string_view text(file.text);
  for (const Attribute& a : scanner.attributes()) {
    if (!part_of_reference(a.name)) continue;
    std::uint64_t from = begin + a.begin;
    while (std::string_view(" \t\r\n").find(text[from - 1]) != std::string_view::npos) --from;
    file.splices.replace(from, begin + a.end(), "");
  }
  if (scanner.closed()) {
    const std::size_t name_end = text.find_first_of(" \t\r\n/>", begin);
    file.splices.replace(
        scanner.end() - 2, scanner.end(),
        fmt::format(">{}</{}>", *data, text.substr(begin + 1, name_end - begin - 1)));
  } else {
    file.splices.insert(scanner.end(), std::move(*data));
  }
  return Done{};
}

Result<File> Joiner::read(const std::string& folder, std::string_view name,
                          std::optional<std::string_view> text, int level) {
  File file;
  file.name = folder + std::string(name);
  if (text) {
    file.text = *text;
  } else {
    const ZipEntry* entry = archive_.find(file.name);
    if (entry == nullptr) return file;
    Result<std::string> bytes = archive_.unpack(*entry);
    if (!bytes) return std::move(bytes).error();
    Result<std::optional<std::string>> other = in_utf8(*bytes);
    if (!other) return std::move(other).error();
    file.text = *other ? std::move(**other) : std::move(*bytes);
  }
  Scanner scanner{std::string_view(file.text)};
  bool open = false;
  for (;;) {
    const Token token = scanner.next();
    if (token == Token::failed) {
      return Error(Code::argument, fmt::format("{}, {}", file.name, scanner.error().sentence));
    }
    if (token == Token::done) return file;
    if (token == Token::start && scanner.depth() == 1) {
      file.declarations = scanner.declarations();
      append_escaped(file.version, scanner.text_of("office:version"_name), true);
      file.root_attributes = other_attributes(scanner);
      file.root = {scanner.name(), scanner.begin(), 0};
      file.tag_end = scanner.end();
    }
    if (token == Token::end && scanner.depth() == 0) {
      file.content_end = scanner.begin();
      file.root.end = scanner.end();
    }
    if (token == Token::start && scanner.depth() == 2) {
      file.children.push_back({scanner.name(), scanner.begin(), 0});
      open = true;
    }
    if (token == Token::start && holds_data(scanner.name())) {
      if (Outcome done = put_in(file, scanner, folder, level); !done)
        return std::move(done).error();
    }
    if (token == Token::end && scanner.depth() == 1 && open) {
      file.children.back().end = scanner.end();
      open = false;
    }
  }
}

// A child of the file's root, with the namespaces that the new root does not bind alike.
std::string Joiner::child(File& file, Name name, const Declarations& root) const {
  const File::Child* const found = file.child(name);
  if (found == nullptr) return {};
  std::string out = file.splices.apply(file.text, found->begin, found->end);
  const std::string scope = in_scope(file.declarations, root);
  if (!scope.empty()) out.insert(out.find_first_of(" \t\r\n/>"), scope);
  return out;
}

std::string_view stretch(const File& file, const Style& style) {
  return std::string_view(file.text).substr(style.begin, style.end - style.begin);
}

// The styles that stand in a child of the root.
std::vector<Style> styles_in(const File& file, Name parent) {
  std::vector<Style> out;
  if (file.child(parent) == nullptr) return out;
  Scanner scanner{std::string_view(file.text)};
  bool inside = false;
  for (;;) {
    Token token = scanner.next();
    if (token == Token::done || token == Token::failed) return out;
    if (token == Token::start && scanner.depth() == 2) inside = scanner.name() == parent;
    if (token != Token::start || scanner.depth() != 3 || !inside) continue;
    Style style;
    style.begin = scanner.begin();
    style.name = scanner.text_of("style:name"_name);
    style.key =
        fmt::format("{} {} {}", scanner.name(), scanner.text_of("style:family"_name), style.name);
    token = scanner.skip();
    style.end = scanner.end();
    out.push_back(std::move(style));
  }
}

// Automatic styles of the styles' file whose names mean something else in the content.
std::set<std::string> other_styles(const File& content, const File& styles) {
  std::map<std::string, std::string_view> bytes_of;
  for (const Style& style : styles_in(content, kAutomatic)) {
    bytes_of[style.key] = stretch(content, style);
  }
  std::set<std::string> out;
  for (const Style& style : styles_in(styles, kAutomatic)) {
    const auto held = bytes_of.find(style.key);
    if (held != bytes_of.end() && held->second != stretch(styles, style)) out.insert(style.name);
  }
  return out;
}

// In the styles' file, automatic styles of these names get other ones, and so does what uses them.
void rename_styles(File& file, const std::set<std::string>& names) {
  Scanner scanner{std::string_view(file.text)};
  bool common = false;
  for (;;) {
    const Token token = scanner.next();
    if (token == Token::done || token == Token::failed) return;
    if (token != Token::start) continue;
    if (scanner.depth() == 2) common = scanner.name() == "office:styles"_name;
    if (common) continue;
    std::string scratch;
    for (const Attribute& a : scanner.attributes()) {
      const std::uint64_t begin = scanner.begin();
      const std::string_view qualified =
          std::string_view(file.text).substr(begin + a.begin, a.name_end - a.begin);
      const bool names_style = qualified.ends_with("style-name") ||
                               a.name == "style:page-layout-name"_name ||
                               (a.name == "style:name"_name && scanner.depth() == 3);
      if (names_style && names.contains(std::string(scanner.value(a, scratch)))) {
        file.splices.insert(begin + a.value_end, "_of_pages");
      }
    }
  }
}

// The two files' styles in one element; where both have one of a name, the content's stays.
std::string Joiner::styles(File& content, File& styles, Name name, const Declarations& root,
                           const std::set<std::string>& renamed) const {
  std::string out = child(content, name, root);
  const std::vector<Style> more = styles_in(styles, name);
  if (more.empty()) return out;
  if (out.empty()) return child(styles, name, root);
  std::set<std::string> held;
  for (const Style& style : styles_in(content, name)) held.insert(style.key);
  // Where the prefixes of one file mean other things in the other, each style brings its own.
  const std::string scope = in_scope(styles.declarations, root);
  std::string added;
  for (const Style& style : more) {
    if (held.contains(style.key) && !renamed.contains(style.name)) continue;
    std::string text = styles.splices.apply(styles.text, style.begin, style.end);
    text.insert(text.find_first_of(" \t\r\n/>"), scope);
    added += text;
  }
  const std::string_view qualified =
      std::string_view(out).substr(1, out.find_first_of(" \t\r\n/>") - 1);
  if (out.ends_with("/>")) {
    out.replace(out.size() - 2, 2, fmt::format(">{}</{}>", added, qualified));
  } else {
    out.insert(out.rfind('<'), added);
  }
  return out;
}

// That of the content under its new name, with the namespaces of all files.
std::string Joiner::start_tag(const File& content, const Declarations& root,
                              std::string_view mimetype) const {
  const std::string prefix(office_prefix(root));
  std::string out =
      fmt::format("<{0}:document{1} {0}:version=\"{2}\" {0}:mimetype=\"", prefix,
                  in_scope(root, {}), content.version.empty() ? "1.3" : content.version);
  append_escaped(out, mimetype, true);
  return out + '"' + content.root_attributes + '>';
}

Result<std::string> Joiner::join(const std::string& folder,
                                 std::optional<std::string_view> content_text,
                                 std::string_view mimetype, int level) {
  Result<File> content = read(folder, "content.xml", content_text, level);
  if (!content) return std::move(content).error();
  // A formula is embedded as it is.
  if (content->root.name != "office:document-content"_name) {
    return content->splices.apply(content->text, content->root.begin, content->root.end);
  }
  Result<File> styles_file = read(folder, "styles.xml", std::nullopt, level);
  if (!styles_file) return std::move(styles_file).error();
  Result<File> meta = read(folder, "meta.xml", std::nullopt, level);
  if (!meta) return std::move(meta).error();
  Result<File> settings = read(folder, "settings.xml", std::nullopt, level);
  if (!settings) return std::move(settings).error();

  Declarations root = content->declarations;
  for (const Result<File>* file : {&styles_file, &meta, &settings}) {
    root.insert((*file)->declarations.begin(), (*file)->declarations.end());
  }
  const std::set<std::string> other = other_styles(*content, *styles_file);
  if (!other.empty()) rename_styles(*styles_file, other);

  // The content as it stands, comments and unknown elements included, with the other files' parts
  // where the standard wants them.
  std::string out;
  if (level == 1) out += content->text.substr(0, content->root.begin);
  out += start_tag(*content, root, mimetype);
  std::uint64_t copied = content->tag_end;
  bool first_known = true;
  bool common_done = false;
  for (const File::Child& part : content->children) {
    const bool fonts = part.name == "office:font-face-decls"_name;
    const bool body = part.name == "office:body"_name;
    out += content->splices.apply(content->text, copied, part.begin);
    copied = part.end;
    if (first_known &&
        (fonts || body || part.name == kAutomatic || part.name == "office:scripts"_name)) {
      out += child(*meta, "office:meta"_name, root);
      out += child(*settings, "office:settings"_name, root);
      first_known = false;
    }
    const bool common_due = !common_done && (body || part.name == kAutomatic);
    if (common_due) {
      if (content->child("office:font-face-decls"_name) == nullptr) {
        out += child(*styles_file, "office:font-face-decls"_name, root);
      }
      out += child(*styles_file, "office:styles"_name, root);
      common_done = true;
    }
    if (fonts) {
      out += styles(*content, *styles_file, part.name, root, {});
    } else if (common_due) {
      out += styles(*content, *styles_file, kAutomatic, root, other);
      out += child(*styles_file, "office:master-styles"_name, root);
    }
    if (!fonts && part.name != kAutomatic) {
      out += content->splices.apply(content->text, part.begin, part.end);
    }
  }
  out += content->splices.apply(content->text, copied, content->content_end);
  out += fmt::format("</{}:document>", office_prefix(root));
  if (level == 1) out += content->text.substr(content->root.end);
  return out;
}

}  // namespace

Result<std::string> flat_from_package(const Archive& archive, std::string_view content) {
  Joiner joiner(archive);
  Result<std::string> document =
      joiner.join("", content, "application/vnd.oasis.opendocument.spreadsheet", 1);
  if (!document) return document;
  if (document->starts_with("<?xml") || document->starts_with("\xEF\xBB\xBF")) return document;
  return "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n" + *document;
}

}  // namespace loftledger::ods
