#include <fmt/format.h>

#include <map>
#include <utility>
#include <vector>

#include "engine/ods/base64.hpp"
#include "engine/ods/convert.hpp"
#include "engine/ods/splices.hpp"
#include "engine/ods/xml.hpp"
#include "engine/ods/xml_text.hpp"

namespace loftledger::ods {

namespace {

using Token = Scanner::Token;

constexpr int kMostLevels = 8;  // of documents inside documents
constexpr std::string_view kXlink = "http://www.w3.org/1999/xlink";
constexpr std::string_view kPictureRecord =
    "application/x-openoffice-gdimetafile;windows_formatname=\"GDIMetaFile\"";

struct Entry {
  std::string name;
  std::string type;
  std::string bytes;
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

struct Part {
  std::uint64_t begin = 0;
  std::uint64_t end = 0;
};

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
  void compose(const std::string& folder, const std::string& prefix,
               const std::map<std::string, std::string>& declarations, const std::string& version,
               const std::map<Name, Part>& parts);

  std::string_view text_;
  std::vector<Entry>& entries_;
  Splices splices_;
  Error problem_;
  int objects_ = 0;
  int pictures_ = 0;
};

bool holds_data(Name element) {
  switch (element) {
    case "draw:image"_name:
    case "draw:fill-image"_name:
    case "draw:object"_name:
    case "draw:object-ole"_name:
    case "style:background-image"_name:
    case "text:list-level-style-image"_name:
      return true;
    default:
      return false;
  }
}

Token Splitter::split(Scanner& scanner, const std::string& folder, int level) {
  const std::size_t inside = scanner.depth();
  const std::map<std::string, std::string> declarations = scanner.declarations();
  const std::string prefix = scanner.bound_prefix("office").value_or("");
  const std::string version = scanner.text_of("office:version"_name);
  std::map<Name, Part> parts;
  Name part = kNoName;
  std::vector<Holder> holders;  // those that are open, by depth
  std::vector<std::size_t> depths;
  int shown = 0;
  for (;;) {
    Token token = scanner.next();
    if (token == Token::start) {
      const Name name = scanner.name();
      if (scanner.depth() == inside + 1) {
        part = name;
        parts[part].begin = scanner.begin();
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
    if (scanner.depth() == inside && part != kNoName) {
      parts[part].end = scanner.end();
      part = kNoName;
    }
    while (!depths.empty() && depths.back() > scanner.depth()) {
      depths.pop_back();
      holders.pop_back();
    }
    if (scanner.depth() < inside) {
      compose(folder, prefix, declarations, version, parts);
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
  entries_.push_back({folder + name, std::move(type), std::move(*bytes)});
  return Token::end;
}

Token Splitter::embedded(Scanner& scanner, const Holder& holder, const std::string& folder,
                         int level) {
  const std::uint64_t begin = scanner.begin();
  const std::string name = fmt::format("Object {}", holder.object);
  entries_.push_back({folder + name + "/", scanner.text_of("office:mimetype"_name), ""});
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

void Splitter::compose(const std::string& folder, const std::string& prefix,
                       const std::map<std::string, std::string>& declarations,
                       const std::string& version, const std::map<Name, Part>& parts) {
  std::string attributes;
  for (const auto& [bound, uri] : declarations) {
    attributes += bound.empty() ? " xmlns=\"" : fmt::format(" xmlns:{}=\"", bound);
    append_escaped(attributes, uri, true);
    attributes += '"';
  }
  // Without a version the standard's own rules for old documents would hold.
  attributes += fmt::format(" {}version=\"{}\"", prefix, version.empty() ? "1.3" : version);
  const auto add = [&](std::string_view root, std::string_view file,
                       std::initializer_list<Name> children) {
    std::string body;
    for (const Name child : children) {
      const auto found = parts.find(child);
      if (found != parts.end()) {
        body += splices_.apply(text_, found->second.begin, found->second.end);
      }
    }
    if (body.empty()) return;
    entries_.push_back(
        {folder + std::string(file), "text/xml",
         fmt::format("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<{0}{1}{2}>{3}</{0}{1}>", prefix,
                     root, attributes, body)});
  };
  // Automatic styles serve cells and page styles alike here; both files get them.
  add("document-meta", "meta.xml", {"office:meta"_name});
  add("document-settings", "settings.xml", {"office:settings"_name});
  add("document-styles", "styles.xml",
      {"office:font-face-decls"_name, "office:styles"_name, "office:automatic-styles"_name,
       "office:master-styles"_name});
  add("document-content", "content.xml",
      {"office:scripts"_name, "office:font-face-decls"_name, "office:automatic-styles"_name,
       "office:body"_name});
}

std::string manifest(const std::vector<Entry>& entries, std::string_view mimetype) {
  std::string out =
      "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
      "<manifest:manifest xmlns:manifest=\"urn:oasis:names:tc:opendocument:xmlns:manifest:1.0\" "
      "manifest:version=\"1.3\">\n";
  const auto add = [&out](std::string_view name, std::string_view type, std::string_view more) {
    out += fmt::format(" <manifest:file-entry manifest:full-path=\"{}\"{} manifest:media-type=\"",
                       name, more);
    append_escaped(out, type, true);
    out += "\"/>\n";
  };
  add("/", mimetype, " manifest:version=\"1.3\"");
  for (const Entry& entry : entries) add(entry.name, entry.type, "");
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
    if (entry.name.ends_with('/')) continue;
    if (Outcome done = out.deflate(entry.name, entry.bytes); !done) return std::move(done).error();
  }
  if (Outcome done = out.deflate("META-INF/manifest.xml", list); !done) {
    return std::move(done).error();
  }
  return out.finish();
}

Result<std::string> manifest_of_type(std::string_view manifest, std::string_view mimetype) {
  Scanner scanner(manifest);
  Splices splices;
  for (;;) {
    const Token token = scanner.next();
    if (token == Token::failed) return scanner.error();
    if (token == Token::done) return splices.apply(manifest, 0, manifest.size());
    if (token != Token::start || scanner.text_of("manifest:full-path"_name) != "/") continue;
    for (const Attribute& a : scanner.attributes()) {
      if (a.name != "manifest:media-type"_name) continue;
      splices.replace(scanner.begin() + a.value_begin, scanner.begin() + a.value_end,
                      std::string(mimetype));
    }
  }
}

}  // namespace loftledger::ods
