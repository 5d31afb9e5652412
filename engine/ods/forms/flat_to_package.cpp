#include <fmt/format.h>

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

constexpr std::string_view kXlink = "http://www.w3.org/1999/xlink";
constexpr std::string_view kPictureRecord =
    "application/x-openoffice-gdimetafile;windows_formatname=\"GDIMetaFile\"";

struct Entry {
  std::string name;
  std::string type;
  std::string bytes;
  std::string version;  // of a document
};

// What a picture is, by how its bytes begin.
struct PictureKind {
  std::string_view begins;
  std::string_view ending;
  std::string_view type;
};
constexpr PictureKind kPictures[] = {
    {"\x89PNG", "png", "image/png"},
    {"\xFF\xD8\xFF", "jpg", "image/jpeg"},
    {"GIF8", "gif", "image/gif"},
    {"<svg", "svg", "image/svg+xml"},
    {"<?xml", "svg", "image/svg+xml"},
    {"VCLMTF", "svm", kPictureRecord},
    {"BM", "bmp", "image/bmp"},
    {"%PDF", "pdf", "application/pdf"},
    {"\xD7\xCD\xC6\x9A", "wmf", "image/x-wmf"},
};
PictureKind kind_of(std::string_view bytes) {
  for (const PictureKind& kind : kPictures) {
    if (bytes.starts_with(kind.begins)) return kind;
  }
  return {"", "bin", ""};
}

// A child of the root.
struct Part {
  Name name = kNoName;
  std::uint64_t begin = 0;
  std::uint64_t end = 0;
};

// What of a document's own element its new roots need.
struct Root {
  std::string prefix;  // of the office's namespace, with its colon
  std::string declarations;
  std::string others;   // attributes, but for the version and the type
  std::string version;  // as it stands in an attribute
  std::uint64_t begin = 0;
  std::uint64_t tag_end = 0;
  std::uint64_t content_end = 0;
  std::uint64_t end = 0;
  std::vector<Part> parts;
};

// Those that have files of their own. Whatever else stands in the document stays in its content:
// comments and elements that we do not know as well.
bool moves_out(Name part) {
  return part == "office:meta"_name || part == "office:settings"_name ||
         part == "office:styles"_name || part == "office:master-styles"_name;
}

// Takes one document, which may stand inside another one, apart into the entries of a package.
class Splitter {
 public:
  Splitter(std::string_view text, std::vector<Entry>& entries) : text_(text), entries_(entries) {}

  // From behind the start of office:document to its end.
  Token split(Scanner& scanner, const std::string& folder, int level);
  const Error& problem() const { return problem_; }

 private:
  // An element that can hold its data in itself or refer to them.
  struct Holder {
    Name name;
    std::uint64_t tag_end;
    bool closed;
    int object;  // the one that its frame shows
  };

  Token fail(const Scanner& scanner, std::string sentence) {
    problem_ = scanner.error_here(std::move(sentence));
    return Token::failed;
  }
  Token data(Scanner& scanner, const Holder& holder, const std::string& folder);
  Token embedded(Scanner& scanner, const Holder& holder, const std::string& folder, int level);
  void refer(const Scanner& scanner, const Holder& holder, const std::string& path);
  void compose(const std::string& folder, const Root& root, bool outermost);
  std::string content(const Root& root, bool outermost);

  std::string_view text_;
  std::vector<Entry>& entries_;
  Splices splices_;
  Error problem_;
  int objects_ = 0;
  int pictures_ = 0;
};

Root root_of(const Scanner& scanner) {
  Root out;
  out.prefix = scanner.bound_prefix("office").value_or("");
  out.begin = scanner.begin();
  out.tag_end = scanner.end();
  out.others = other_attributes(scanner);
  for (const auto& [bound, uri] : scanner.declarations()) {
    out.declarations += bound.empty() ? " xmlns=\"" : fmt::format(" xmlns:{}=\"", bound);
    append_escaped(out.declarations, uri, true);
    out.declarations += '"';
  }
  append_escaped(out.version, scanner.text_of("office:version"_name), true);
  // Without a version the standard's own rules for old documents would hold.
  if (out.version.empty()) out.version = "1.3";
  return out;
}

Token Splitter::split(Scanner& scanner, const std::string& folder, int level) {
  const std::size_t inside = scanner.depth();
  Root root = root_of(scanner);
  entries_.push_back({folder, scanner.text_of("office:mimetype"_name), "", root.version});
  bool in_part = false;
  std::vector<Holder> holders;  // those that are open, by depth
  std::vector<std::size_t> depths;
  int shown = 0;
  for (;;) {
    Token token = scanner.next();
    if (token == Token::start) {
      const Name name = scanner.name();
      if (scanner.depth() == inside + 1) {
        root.parts.push_back({name, scanner.begin(), 0});
        in_part = true;
      }
      const bool direct = !holders.empty() && depths.back() + 1 == scanner.depth();
      if (name == "draw:frame"_name) shown = 0;
      if (name == "office:binary-data"_name && direct) {
        token = data(scanner, holders.back(), folder);
      } else if (name == "office:document"_name && direct) {
        if (level == kMostLevels) return fail(scanner, "documents stand too deep in each other");
        shown = ++objects_;
        holders.back().object = shown;
        token = embedded(scanner, holders.back(), folder, level);
      } else if (holds_data(name)) {
        holders.push_back({name, scanner.end(), scanner.closed(), shown});
        depths.push_back(scanner.depth());
      }
    }
    if (token == Token::failed) return token;
    if (token != Token::end) continue;
    if (scanner.depth() == inside && in_part) {
      root.parts.back().end = scanner.end();
      in_part = false;
    }
    while (!depths.empty() && depths.back() > scanner.depth()) {
      depths.pop_back();
      holders.pop_back();
    }
    if (scanner.depth() < inside) {
      root.content_end = scanner.begin();
      root.end = scanner.end();
      compose(folder, root, level == 1);
      return token;
    }
  }
}

// The holder's tag gets a reference to the entry.
void Splitter::refer(const Scanner& scanner, const Holder& holder, const std::string& path) {
  const std::optional<std::string> bound = scanner.bound_prefix("xlink");
  const std::string prefix = bound.value_or("xlink:");
  std::string text = bound ? "" : fmt::format(" xmlns:xlink=\"{}\"", kXlink);
  text += fmt::format(" {0}href=\"{1}\" {0}type=\"simple\" {0}show=\"embed\" {0}actuate=\"onLoad\"",
                      prefix, path);
  splices_.insert(holder.tag_end - 1, std::move(text));
}

Token Splitter::data(Scanner& scanner, const Holder& holder, const std::string& folder) {
  const std::size_t inside = scanner.depth();
  const std::uint64_t begin = scanner.begin();
  std::string text;
  for (;;) {
    const Token token = scanner.next();
    if (token == Token::text) scanner.append_text(text);
    if (token == Token::failed) return token;
    if (token == Token::end && scanner.depth() < inside) break;
  }
  std::optional<std::string> bytes = from_base64(text);
  if (!bytes) return fail(scanner, "the embedded data that end here are not in base64");
  const PictureKind kind = kind_of(*bytes);
  std::string name;
  std::string type(kind.type);
  if (holder.name == "draw:object-ole"_name) {
    name = fmt::format("Object {}", ++objects_);
    type = "application/vnd.sun.star.oleobject";
  } else if (holder.object > 0) {
    name = fmt::format("ObjectReplacements/Object {}", holder.object);
  } else {
    name = fmt::format("Pictures/{}.{}", ++pictures_, kind.ending);
  }
  splices_.replace(begin, scanner.end(), "");
  refer(scanner, holder, name);
  entries_.push_back({folder + name, std::move(type), std::move(*bytes), ""});
  return Token::end;
}

Token Splitter::embedded(Scanner& scanner, const Holder& holder, const std::string& folder,
                         int level) {
  const std::uint64_t begin = scanner.begin();
  const std::string name = fmt::format("Object {}", holder.object);
  Splitter inner(text_, entries_);
  const Token token = inner.split(scanner, folder + name + "/", level + 1);
  if (token == Token::failed) {
    problem_ = inner.problem();
    return token;
  }
  splices_.replace(begin, scanner.end(), "");
  refer(scanner, holder, "./" + name);
  return token;
}

constexpr std::string_view kDeclaration = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n";

// The document as it stands, without the parts that move out.
std::string Splitter::content(const Root& root, bool outermost) {
  std::string out(outermost ? text_.substr(0, root.begin) : kDeclaration);
  out += fmt::format("<{0}document-content{1}{2} {0}version=\"{3}\">", root.prefix,
                     root.declarations, root.others, root.version);
  std::uint64_t copied = root.tag_end;
  for (const Part& part : root.parts) {
    if (!moves_out(part.name)) continue;
    out += splices_.apply(text_, copied, part.begin);
    copied = part.end;
  }
  out += splices_.apply(text_, copied, root.content_end);
  out += fmt::format("</{}document-content>", root.prefix);
  if (outermost) out += text_.substr(root.end);
  return out;
}

void Splitter::compose(const std::string& folder, const Root& root, bool outermost) {
  const auto add = [&](std::string_view element, std::string_view file,
                       std::initializer_list<Name> children) {
    std::string body;
    for (const Name child : children) {
      for (const Part& part : root.parts) {
        if (part.name == child) body += splices_.apply(text_, part.begin, part.end);
      }
    }
    if (body.empty()) return;
    entries_.push_back({folder + std::string(file), "text/xml",
                        fmt::format("{0}<{1}{2}{3} {1}version=\"{4}\">{5}</{1}{2}>", kDeclaration,
                                    root.prefix, element, root.declarations, root.version, body),
                        ""});
  };
  add("document-meta", "meta.xml", {"office:meta"_name});
  add("document-settings", "settings.xml", {"office:settings"_name});
  // Automatic styles serve cells and page styles alike here; both files get them.
  add("document-styles", "styles.xml",
      {"office:font-face-decls"_name, "office:styles"_name, "office:automatic-styles"_name,
       "office:master-styles"_name});
  entries_.push_back({folder + "content.xml", "text/xml", content(root, outermost), ""});
}

std::string manifest(const std::vector<Entry>& entries, std::string_view mimetype) {
  std::string out = fmt::format(
      "{}<manifest:manifest xmlns:manifest=\"urn:oasis:names:tc:opendocument:xmlns:manifest:1.0\" "
      "manifest:version=\"1.3\">\n",
      kDeclaration);
  for (const Entry& entry : entries) {
    const bool whole = entry.name.empty();
    out += fmt::format(" <manifest:file-entry manifest:full-path=\"{}\"",
                       whole ? "/" : std::string_view(entry.name));
    if (!entry.version.empty()) out += fmt::format(" manifest:version=\"{}\"", entry.version);
    out += " manifest:media-type=\"";
    append_escaped(out, whole ? mimetype : std::string_view(entry.type), true);
    out += "\"/>\n";
  }
  return out + "</manifest:manifest>\n";
}

}  // namespace

Result<std::string> package_from_flat(std::string_view flat, std::string_view mimetype) {
  Scanner scanner(flat);
  std::vector<Entry> entries;
  Splitter splitter(flat, entries);
  Token token = scanner.next();
  if (token == Token::start) token = splitter.split(scanner, "", 1);
  if (token == Token::failed) {
    return splitter.problem().code != Code::none ? splitter.problem() : scanner.error();
  }
  ZipWriter out;
  out.store("mimetype", mimetype);
  const std::string list = manifest(entries, mimetype);
  for (const Entry& entry : entries) {
    if (entry.name.empty() || entry.name.ends_with('/')) continue;
    if (Outcome done = out.deflate(entry.name, entry.bytes); !done) return std::move(done).error();
  }
  if (Outcome done = out.deflate("META-INF/manifest.xml", list); !done) {
    return std::move(done).error();
  }
  return out.finish();
}

}  // namespace loftledger::ods
