#include "engine/ods/document.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <memory>
#include <optional>
#include <utility>

#include "engine/base/ascii.hpp"
#include "engine/ods/file.hpp"
#include "engine/ods/forms/convert.hpp"
#include "engine/ods/markup/xml.hpp"
#include "engine/ods/markup/xml_text.hpp"
#include "engine/ods/package/zip.hpp"
#include "engine/ods/reading/content.hpp"
#include "engine/ods/reading/loader.hpp"
#include "engine/ods/writing/update.hpp"

namespace loftledger::ods {

namespace {

constexpr std::string_view kSpreadsheet = "application/vnd.oasis.opendocument.spreadsheet";
constexpr std::string_view kTemplate = "application/vnd.oasis.opendocument.spreadsheet-template";
constexpr std::string_view kManifest = "META-INF/manifest.xml";
constexpr std::uint64_t kLongestMimetype = 1024;

// What a name's ending asks for.
enum class Kind : std::uint8_t { package, package_template, flat };

Result<Kind> kind_of(std::string_view name) {
  const std::string ending = ascii::lower(name.substr(std::min(name.rfind('.'), name.size())));
  if (ending == ".ods") return Kind::package;
  if (ending == ".ots") return Kind::package_template;
  if (ending == ".fods") return Kind::flat;
  return Error(Code::argument,
               fmt::format("{}: the name must end in .ods, .ots or .fods, which tells the form in "
                           "which the document is written",
                           name));
}

std::string_view mimetype_of(Kind kind) {
  return kind == Kind::package_template ? kTemplate : kSpreadsheet;
}

Error in_part(const Error& error, std::string_view part) {
  return Error(error.code, fmt::format("{}, {}", part, error.sentence));
}

}  // namespace

struct Document::Impl {
  std::string bytes;
  std::optional<Archive> archive;  // of a package
  // The content in UTF-8 where the file has it in another encoding.
  std::optional<std::string> recoded;
  std::string content_bytes;  // then, as the package has it
  sheet::Workbook workbook;
  Surroundings around;
  std::vector<std::string> remarks;

  Outcome read();
  Outcome read_flat();
  Outcome read_package();
  Outcome check_type() const;
  Outcome check_protection() const;
  Outcome read_styles();
  Outcome recode(const ZipEntry& content);

  Result<std::string> write(Kind kind) const;
  Result<std::string> write_package(Kind kind) const;
  Result<bool> update_content(FunctionRef<void(std::string_view)> sink) const;
};

Outcome Document::Impl::read() {
  const std::string_view head = std::string_view(bytes).substr(0, 4);
  if (head.starts_with("PK")) return read_package();
  const std::size_t first = bytes.find_first_not_of(" \t\r\n");
  const bool wide = head.starts_with("\xFF\xFE") || head.starts_with("\xFE\xFF");
  if (wide || head.starts_with("\xEF\xBB\xBF") || (first != bytes.npos && bytes[first] == '<')) {
    return read_flat();
  }
  return Error(Code::argument, bytes.empty() ? "the file is empty"
                                             : "the file is neither an OpenDocument package nor "
                                               "XML");
}

Outcome Document::Impl::read_flat() {
  Result<std::optional<std::string>> other = in_utf8(bytes);
  if (!other) return std::move(other).error();
  recoded = std::move(*other);
  Scanner scanner{std::string_view(recoded ? *recoded : bytes)};
  return load(scanner, workbook, around);
}

Outcome Document::Impl::read_package() {
  Result<Archive> opened = Archive::open(bytes);
  if (!opened) return std::move(opened).error();
  archive = std::move(*opened);
  if (Outcome fine = check_type(); !fine) return fine;
  if (Outcome fine = check_protection(); !fine) return fine;
  const ZipEntry* content = archive->find("content.xml");
  if (content == nullptr) {
    return Error(Code::argument, "the package has no content.xml: it is no OpenDocument file");
  }
  if (Outcome done = read_styles(); !done) return done;
  if (Outcome done = recode(*content); !done) return done;
  Outcome done = Done{};
  if (recoded) {
    Scanner scanner{std::string_view(*recoded)};
    done = load(scanner, workbook, around);
  } else {
    const std::unique_ptr<Blocks> blocks = inflate(*content);
    Scanner scanner(*blocks);
    done = load(scanner, workbook, around);
  }
  if (!done) return in_part(done.error(), "content.xml");
  return done;
}

Outcome Document::Impl::check_type() const {
  const ZipEntry* entry = archive->find("mimetype");
  if (entry == nullptr) return Done{};  // only recommended by the standard
  Result<std::string> type = archive->unpack(*entry, kLongestMimetype);
  if (!type) return std::move(type).error();
  if (type->starts_with(kSpreadsheet)) return Done{};
  return Error(Code::argument, fmt::format("this is a document of the type {}, no spreadsheet",
                                           type->substr(0, type->find_first_of("\r\n"))));
}

Outcome Document::Impl::check_protection() const {
  const ZipEntry* entry = archive->find(kManifest);
  if (archive->find("encrypted-package") != nullptr) {
    return Error(Code::argument, "the document is protected with a password, and cannot be read");
  }
  if (entry == nullptr) return Done{};
  const std::unique_ptr<Blocks> blocks = inflate(*entry);
  Scanner scanner(*blocks);
  for (;;) {
    const Scanner::Token token = scanner.next();
    if (token == Scanner::Token::failed) return in_part(scanner.error(), entry->name);
    if (token == Scanner::Token::done) return Done{};
    if (token == Scanner::Token::start && scanner.name() == "manifest:encryption-data"_name) {
      return Error(Code::argument, "the document is protected with a password, and cannot be read");
    }
  }
}

Outcome Document::Impl::read_styles() {
  const ZipEntry* entry = archive->find("styles.xml");
  if (entry == nullptr) return Done{};
  const std::unique_ptr<Blocks> blocks = inflate(*entry);
  Scanner scanner(*blocks);
  for (;;) {
    Scanner::Token token = scanner.next();
    if (token == Scanner::Token::start && scanner.name() == "office:styles"_name) {
      token = around.styles.read(scanner);
    }
    if (token == Scanner::Token::failed) return in_part(scanner.error(), entry->name);
    if (token == Scanner::Token::done) return Done{};
  }
}

Outcome Document::Impl::recode(const ZipEntry& content) {
  const std::unique_ptr<Blocks> blocks = inflate(content, false);
  const Result<std::string_view> head = blocks->next();
  if (!head) return head.error();
  Result<std::optional<std::string>> other = in_utf8(*head);
  if (!other) return in_part(other.error(), "content.xml");
  if (!*other) return Done{};
  Result<std::string> whole = archive->unpack(content);
  if (!whole) return std::move(whole).error();
  other = in_utf8(*whole);
  if (!other) return in_part(other.error(), "content.xml");
  recoded = std::move(*other);
  content_bytes = std::move(*whole);
  return Done{};
}

// --- Writing.

Result<bool> Document::Impl::update_content(FunctionRef<void(std::string_view)> sink) const {
  if (recoded || !archive) {
    Scanner scanner{std::string_view(recoded ? *recoded : bytes)};
    return update(scanner, workbook, around.styles, sink);
  }
  const std::unique_ptr<Blocks> blocks = inflate(*archive->find("content.xml"));
  Scanner scanner(*blocks);
  return update(scanner, workbook, around.styles, sink);
}

Result<std::string> Document::Impl::write_package(Kind kind) const {
  ZipWriter out;
  bool changed = false;
  for (const ZipEntry& entry : archive->entries()) {
    if (entry.name == "content.xml") {
      Outcome packed = out.begin(entry.name, &entry);
      if (!packed) return std::move(packed).error();
      std::string text;
      Result<bool> updated = update_content([&](std::string_view piece) {
        if (recoded) {
          text += piece;
        } else {
          out.add(piece);
        }
      });
      if (!updated) return std::move(updated).error();
      if (recoded) out.add(in_encoding_of(content_bytes, text));
      packed = out.end();
      if (!packed) return std::move(packed).error();
      changed = changed || *updated;
      if (*updated) continue;
      out.drop();
    } else if (entry.name == "mimetype" || entry.name == kManifest) {
      Result<std::string> text = archive->unpack(entry);
      if (!text) return std::move(text).error();
      Result<std::string> other = entry.name == kManifest
                                      ? manifest_of_type(*text, mimetype_of(kind))
                                      : std::string(mimetype_of(kind));
      if (!other) return in_part(other.error(), entry.name);
      if (*other != *text) {
        changed = true;
        if (entry.name == "mimetype") {
          out.store(entry.name, *other);
        } else if (Outcome packed = out.deflate(entry.name, *other); !packed) {
          return std::move(packed).error();
        }
        continue;
      }
    }
    out.copy(*archive, entry);
  }
  if (!changed) return bytes;
  return out.finish(archive->comment());
}

Result<std::string> Document::Impl::write(Kind kind) const {
  if (archive && kind != Kind::flat) return write_package(kind);
  std::string content;
  Result<bool> updated = update_content([&](std::string_view piece) { content += piece; });
  if (!updated) return std::move(updated).error();
  if (archive) return flat_from_package(*archive, content);
  if (kind == Kind::flat && !*updated) return bytes;
  if (kind == Kind::flat) return recoded ? in_encoding_of(bytes, content) : content;
  return package_from_flat(content, mimetype_of(kind));
}

Result<std::string> Document::bytes(const std::string& ending) const {
  const Result<Kind> kind = kind_of(ending);
  if (!kind) return kind.error();
  return impl_->write(*kind);
}

Outcome Document::save(const std::string& path) const {
  const Result<Kind> kind = kind_of(path);
  if (!kind) return kind.error();
  Result<std::string> written = impl_->write(*kind);
  if (!written) {
    return Error(Code::argument, fmt::format("{}: {}", path, written.error().text()));
  }
  return replace_file(path, *written);
}

const std::vector<std::string>& Document::remarks() const { return impl_->remarks; }

Document::Document(std::unique_ptr<Impl> impl) : impl_(std::move(impl)) {}
Document::Document(Document&&) noexcept = default;
Document& Document::operator=(Document&&) noexcept = default;
Document::~Document() = default;

sheet::Workbook& Document::workbook() { return impl_->workbook; }
const sheet::Workbook& Document::workbook() const { return impl_->workbook; }

Result<Document> Document::read(std::string bytes, const std::string& name) {
  auto impl = std::make_unique<Impl>();
  impl->bytes = std::move(bytes);
  Outcome done = impl->read();
  if (!done) return Error(Code::argument, fmt::format("{}: {}", name, done.error().text()));
  for (auto& [sheet, remark] : impl->around.remarks) impl->remarks.push_back(std::move(remark));
  return Document(std::move(impl));
}

Result<Document> Document::open(const std::string& path) {
  Result<std::string> bytes = read_file(path);
  if (!bytes) return std::move(bytes).error();
  return read(std::move(*bytes), path);
}

}  // namespace loftledger::ods
